"""Pictures with true times, upright, sampled by time."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

from pose.video.decode import frames
from pose.video.probe import probe
from tests.made_clip import quadrants
from tests.pose.conftest import MakeClip

EVEN_MS = [round(1000 * i / 30) for i in range(60)]
# Steps of 20 to 120 ms, as a phone makes them in bad light.
UNEVEN_MS = np.cumsum([0, *np.tile([20, 40, 120, 33, 67], 8)]).tolist()


def times_s(path: Path, rate_hz: float = 1000, **kwargs: Any) -> list[float]:
    return [f.time_s for f in frames(path, sample_rate_hz=rate_hz, **kwargs)]


@pytest.mark.parametrize("name", ["clip.mp4", "clip.mkv", "clip.mov"])
def test_uneven_times_come_from_the_stamps(make_clip: MakeClip, name: str) -> None:
    path = make_clip(UNEVEN_MS, name=name)
    assert times_s(path) == pytest.approx(np.array(UNEVEN_MS) / 1000, abs=0.001)
    assert probe(path).info.variable_frame_rate


@pytest.mark.parametrize("name", ["clip.mkv", "clip.ts"])
def test_first_shown_picture_is_time_zero(make_clip: MakeClip, name: str) -> None:
    path = make_clip(EVEN_MS, first_ms=5000, name=name)
    assert times_s(path) == pytest.approx(np.array(EVEN_MS) / 1000, abs=0.002)
    assert probe(path).info.duration_s == pytest.approx(2.0, abs=0.04)


def test_pre_roll_hidden_by_an_edit_list_is_left_out(make_clip: MakeClip, tmp_path: Path) -> None:
    whole = make_clip(EVEN_MS, key_every=30)
    trimmed = tmp_path / "trimmed.mp4"
    # Copying from the middle of a group of pictures makes the muxer write an edit list: the
    # key frame before is kept for decoding but not shown.
    with av.open(str(whole)) as source, av.open(str(trimmed), "w") as target:
        copy = target.add_stream_from_template(source.streams.video[0])
        base = source.streams.video[0].time_base
        for packet in source.demux(video=0):
            if packet.dts is None:
                continue
            shift = round(0.5 / base)
            packet.pts, packet.dts = packet.pts - shift, packet.dts - shift
            packet.stream = copy
            target.mux(packet)
    found = times_s(trimmed)
    assert found[0] == 0.0
    assert len(found) == pytest.approx(45, abs=1)
    assert probe(trimmed).info.duration_s == pytest.approx(1.5, abs=0.05)
    assert probe(trimmed).key_times_s == pytest.approx([0.0, 0.5], abs=0.002)


@pytest.mark.parametrize(
    ("rotation_deg", "corner", "size"),
    [
        (0, (250, 10, 10), (64, 48)),
        (90, (10, 10, 250), (48, 64)),
        (180, (128, 128, 128), (64, 48)),
        (270, (10, 250, 10), (48, 64)),
    ],
)
def test_rotation_is_applied_once(
    make_clip: MakeClip, rotation_deg: int, corner: tuple[int, ...], size: tuple[int, int]
) -> None:
    path = make_clip(EVEN_MS[:5], rotation_deg=rotation_deg)
    info = probe(path).info
    rgb = next(frames(path, sample_rate_hz=15)).rgb
    assert info.rotation_deg == rotation_deg
    assert (info.width, info.height) == size == rgb.shape[1::-1]
    assert rgb[5, 5] == pytest.approx(corner, abs=30)


def test_odd_sizes_and_scaling(make_clip: MakeClip) -> None:
    path = make_clip(EVEN_MS[:3], pictures=[quadrants(101, 75)] * 3)
    assert next(frames(path, sample_rate_hz=15)).rgb.shape == (75, 101, 3)
    small = next(frames(path, sample_rate_hz=15, max_side_px=50)).rgb
    assert small.shape == (37, 50, 3)
    assert small[5, 5] == pytest.approx((250, 10, 10), abs=30)


@pytest.mark.parametrize(("rate_hz", "count"), [(15, 30), (10, 20), (60, 60)])
def test_sampling_goes_by_time(make_clip: MakeClip, rate_hz: float, count: int) -> None:
    found = times_s(make_clip(EVEN_MS), rate_hz)
    assert len(found) == count
    assert np.diff(found) == pytest.approx(max(1 / rate_hz, 1 / 30), abs=0.002)


def test_a_slow_clip_gives_every_picture(make_clip: MakeClip) -> None:
    path = make_clip([i * 125 for i in range(16)])
    assert len(times_s(path, 15)) == 16
    assert [w.code for w in probe(path).warnings] == ["slow-frame-rate"]


def test_uneven_clip_has_one_picture_a_cell(make_clip: MakeClip) -> None:
    found = np.array(times_s(make_clip(UNEVEN_MS), 15))
    assert (np.diff(np.floor(found * 15 + 0.1 + 1e-6)) >= 1).all()


@pytest.mark.parametrize("name", ["clip.mp4", "clip.mkv", "clip.ts"])
@pytest.mark.parametrize("start_s", [0.31, 1.0, 1.97])
def test_starting_late_gives_the_same_pictures(
    make_clip: MakeClip, name: str, start_s: float
) -> None:
    path = make_clip([33 * i for i in range(90)], name=name)
    whole = times_s(path, 15)
    part = times_s(path, 15, start_s=start_s, end_s=2.5)
    assert part == pytest.approx([t for t in whole if start_s <= t < 2.5])


def test_starting_late_in_a_clip_of_key_frames_only(make_clip: MakeClip) -> None:
    path = make_clip(EVEN_MS, key_every=1)
    whole = times_s(path, 15)
    # 1.5 s is the second picture of its cell.
    assert times_s(path, 15, start_s=1.5) == pytest.approx([t for t in whole if t >= 1.5])


def test_copy_cut_off_in_the_middle_still_gives_what_is_there(make_clip: MakeClip) -> None:
    noise = np.random.default_rng(0).integers(0, 255, (90, 48, 64, 3)).astype(np.uint8)
    path = make_clip(
        [33 * i for i in range(90)], pictures=list(noise), options={"movflags": "faststart"}
    )
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    assert "cut-short" in [w.code for w in probe(path).warnings]
    assert 20 < len(times_s(path)) < 70


@pytest.mark.parametrize("kind", ["yuv420p", "yuv422p10le", "yuv444p", "bgr0", "gray"])
def test_pictures_of_every_kind_are_scaled_to_the_same_colours(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "clip.mkv"
    large = quadrants().repeat(20, axis=0).repeat(20, axis=1)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("ffv1", rate=25)
        stream.height, stream.width = large.shape[:2]
        stream.pix_fmt = kind
        for _ in range(3):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(large, format="rgb24")))
        container.mux(stream.encode())
    (small, *_) = frames(path, sample_rate_hz=25, max_side_px=64)
    expected = av.VideoFrame.from_ndarray(large[::20, ::20].copy(), format="rgb24")
    expected_rgb = expected.reformat(format="gray" if kind == "gray" else "rgb24").to_ndarray()
    found = small.rgb.mean(axis=2) if kind == "gray" else small.rgb
    assert np.abs(found[4:-4:8, 4:-4:8].astype(float) - expected_rgb[4:-4:8, 4:-4:8]).mean() < 6
