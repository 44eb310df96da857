"""The sound of a clip lies on the clock of its pictures, holes and late starts included."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from pose.errors import ClipError
from pose.video import sound as module
from pose.video.sound import RATE_HZ, sound
from tests.known import known

HEIGHT = 0.8


def clip_with(
    path: Path, blocks: Sequence[tuple[float, NDArray[np.float32]]], film_starts_s: float = 0.0
) -> Path:
    """Two seconds of film, and blocks of samples at given times of the file's clock."""
    with av.open(str(path), "w") as container:
        film = container.add_stream("libx264", rate=25)
        film.width, film.height, film.pix_fmt = 64, 48, "yuv420p"
        track = container.add_stream("pcm_f32le", rate=RATE_HZ) if blocks else None
        if track is not None:
            track.layout = "mono"
        for i in range(50):
            picture = av.VideoFrame.from_ndarray(np.zeros((48, 64, 3), np.uint8))
            picture.pts, picture.time_base = i + round(25 * film_starts_s), Fraction(1, 25)
            container.mux(film.encode(picture))
        container.mux(film.encode())
        for at_s, samples in blocks:
            block = av.AudioFrame.from_ndarray(samples[None].astype("f4"), "flt", "mono")
            block.sample_rate, block.time_base = RATE_HZ, Fraction(1, RATE_HZ)
            block.pts = round(at_s * RATE_HZ)
            container.mux(known(track).encode(block))
        if track is not None:
            container.mux(track.encode())
    return path


def seconds(duration_s: float, click_s: float) -> NDArray[np.float32]:
    """Silence with one short click in it."""
    samples = np.zeros(round(duration_s * RATE_HZ), np.float32)
    at = round(click_s * RATE_HZ)
    samples[at : at + 20] = HEIGHT
    return samples


def clicks_s(path: Path) -> list[float]:
    """Where clicks begin, seconds from the first picture."""
    heard = np.concatenate([*sound(path)])
    loud = heard > HEIGHT / 2
    return [float(i / RATE_HZ) for i in np.flatnonzero(loud & ~np.roll(loud, 1))]


def test_sound_from_the_first_picture_on(tmp_path: Path) -> None:
    path = clip_with(tmp_path / "take.mkv", [(0.0, seconds(2, 0.5))])
    assert clicks_s(path) == pytest.approx([0.5], abs=0.002)


def test_sound_before_the_first_picture_is_left_out(tmp_path: Path) -> None:
    samples = seconds(2, 0.5)
    samples[round(1.5 * RATE_HZ) :][:20] = HEIGHT
    path = clip_with(tmp_path / "take.mkv", [(0.0, samples)], film_starts_s=1.0)
    assert clicks_s(path) == pytest.approx([0.5], abs=0.05)


def test_holes_and_a_late_start_are_silence(tmp_path: Path) -> None:
    path = clip_with(tmp_path / "take.mkv", [(0.4, seconds(0.3, 0.1)), (1.2, seconds(0.5, 0.2))])
    assert clicks_s(path) == pytest.approx([0.5, 1.4], abs=0.05)


def test_a_clip_without_sound_gives_nothing(tmp_path: Path) -> None:
    assert list(sound(clip_with(tmp_path / "take.mkv", []))) == []


def test_no_clip_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="no such file"):
        next(sound(tmp_path / "none.mp4"))


def test_sound_that_cannot_be_read_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = clip_with(tmp_path / "take.mkv", [(0.0, seconds(2, 0.5))])

    def refused(source: Path) -> None:
        raise av.InvalidDataError(1, "Invalid data found when processing input")

    monkeypatch.setattr(module, "open_container", refused)
    with pytest.raises(ClipError) as caught:
        list(sound(path))
    assert str(caught.value) == (
        f"{path}: its sound cannot be read (Invalid data found when processing input)"
    )
