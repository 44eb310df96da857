"""What a clip is: length, frame rate, size, key frames, and what to warn of."""

from __future__ import annotations

import shutil
from fractions import Fraction
from pathlib import Path

import av
import pytest

from pose.errors import ClipError
from pose.video.decode import frames
from pose.video.probe import probe
from tests.made_clip import quadrants
from tests.pose.conftest import MakeClip

EVEN_MS = [round(1000 * i / 30) for i in range(60)]


def test_probe_tells_duration_rate_and_size(make_clip: MakeClip) -> None:
    info = probe(make_clip(EVEN_MS)).info
    assert info.duration_s == pytest.approx(2.0, abs=0.02)
    assert info.frame_rate == pytest.approx(30, abs=0.1)
    assert not info.variable_frame_rate
    assert (info.width, info.height, info.rotation_deg) == (64, 48, 0)
    assert len(info.sha256) == 64 and info.name == "clip.mp4"


def test_key_frames_are_listed(make_clip: MakeClip) -> None:
    keys = probe(make_clip(EVEN_MS, key_every=30)).key_times_s
    assert keys == pytest.approx([0.0, 1.0], abs=0.002)


def test_oblong_pixels_are_made_square(tmp_path: Path) -> None:
    path = tmp_path / "oblong.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=30)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        stream.codec_context.sample_aspect_ratio = Fraction(4, 3)
        for _ in range(5):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(quadrants(), format="rgb24")))
        container.mux(stream.encode())
    assert probe(path).info.width == 85
    assert next(frames(path, sample_rate_hz=15)).rgb.shape == (48, 85, 3)


def test_high_dynamic_range_is_warned_of(tmp_path: Path) -> None:
    path = tmp_path / "hdr.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=30)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        stream.codec_context.color_trc = 18
        for _ in range(30):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(quadrants(), format="rgb24")))
        container.mux(stream.encode())
    assert [w.code for w in probe(path).warnings] == ["hdr"]


def test_a_name_with_a_colon_is_no_protocol(make_clip: MakeClip, tmp_path: Path) -> None:
    path = tmp_path / "take:2.mp4"
    shutil.copy(make_clip(EVEN_MS), path)
    assert probe(path).info.width == 64


def hole(length_ms: int) -> list[int]:
    """Two seconds, a hole, two seconds."""
    return [*EVEN_MS, *(EVEN_MS[-1] + length_ms + t for t in EVEN_MS)]


def test_a_hole_in_the_pictures_is_told_and_does_not_slow_the_frame_rate(
    make_clip: MakeClip,
) -> None:
    found = probe(make_clip(hole(7000)))
    (told,) = found.warnings
    assert told.code == "hole"
    assert "no pictures from 2.0 s to 9.0 s" in told.text
    assert found.info.frame_rate == pytest.approx(30, abs=0.1)
    assert found.info.duration_s == pytest.approx(11.0, abs=0.05)
    assert probe(make_clip(hole(1900))).warnings == ()


def test_of_several_holes_the_longest_is_named(make_clip: MakeClip) -> None:
    once = hole(3000)
    (told,) = probe(make_clip([*once, *(once[-1] + 4000 + t for t in EVEN_MS)])).warnings
    assert "no pictures from 6.9 s to 10.9 s, and 1 more hole" in told.text


def test_stamps_that_jump_by_hours_are_refused(make_clip: MakeClip) -> None:
    with pytest.raises(ClipError, match="jump by 2 hours; export the video again"):
        probe(make_clip(hole(2 * 3600_000)))
    assert probe(make_clip(hole(50 * 60_000))).info.duration_s > 3000


def test_a_clip_of_holes_only_is_slow(make_clip: MakeClip) -> None:
    found = probe(make_clip([4000 * i for i in range(6)]))
    assert found.info.frame_rate == pytest.approx(0.25)
    assert [w.code for w in found.warnings] == ["slow-frame-rate", "hole"]
