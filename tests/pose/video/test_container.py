"""Containers that are damaged or seek badly still give the pictures they have."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

from pose.errors import ClipError
from pose.video.container import Video, open_video, pictures_from
from pose.video.decode import frames
from tests.pose.conftest import MakeClip

PNG = b"\x89PNG"


def pngs(path: Path, count: int = 10) -> Path:
    """A clip whose pictures are coded one by one, as PNG."""
    rng = np.random.default_rng(0)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("png", rate=10)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "rgb24"
        for _ in range(count):
            picture = rng.integers(0, 255, (48, 64, 3)).astype(np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode())
    return path


def damage(path: Path, wanted: Callable[[int], bool]) -> None:
    """Spoil the beginning of some of the coded pictures."""
    parts = path.read_bytes().split(PNG)
    for number, part in enumerate(parts[1:]):
        parts[number + 1] = (b"\0\0\0\0" if wanted(number) else PNG) + part
    path.write_bytes(b"".join(parts))


def test_a_damaged_picture_is_passed_over(tmp_path: Path) -> None:
    path = pngs(tmp_path / "clip.mov")
    damage(path, lambda number: number == 4)
    times_s = [f.time_s for f in frames(path, sample_rate_hz=1000)]
    assert times_s == pytest.approx([0.1 * i for i in range(10) if i != 4], abs=0.001)


def test_a_film_of_damaged_pictures_is_refused_in_one_line(tmp_path: Path) -> None:
    path = pngs(tmp_path / "clip.mov")
    damage(path, lambda number: True)
    with pytest.raises(ClipError) as caught:
        next(frames(path, sample_rate_hz=15))
    assert str(caught.value) == f"{path}: not one picture can be decoded; export the video again"


class Seeking:
    """A container whose `seek` does something else."""

    def __init__(self, container: Any, seek: Callable[[int], None]) -> None:
        self.container, self.seek_to = container, seek
        self.asked = 0

    def seek(self, goal: int, **_: Any) -> None:
        self.asked += 1
        self.seek_to(goal)

    def demux(self, stream: Any) -> Any:
        return self.container.demux(stream)


def times_from(clip: Video, start_s: float) -> list[float]:
    return [clip.time_s(picture) for picture in pictures_from(clip, start_s)]


def test_a_container_that_cannot_seek_is_read_from_the_front(make_clip: MakeClip) -> None:
    def refuse(goal: int) -> None:
        raise av.PermissionError(1, "Operation not permitted")

    path = make_clip([100 * i for i in range(30)])
    with open_video(path) as clip:
        container = Seeking(clip.container, refuse)
        found = times_from(replace(clip, container=container), 2.0)
    assert container.asked == 3
    assert found == pytest.approx([0.1 * i for i in range(30)], abs=0.001)


def test_a_container_that_lands_late_is_asked_again_further_back(make_clip: MakeClip) -> None:
    path = make_clip([100 * i for i in range(60)], key_every=10)
    with open_video(path) as clip:

        def late(goal: int) -> None:
            # 1.5 s behind where it was told to go.
            behind = goal + round(1.5 / clip.stream.time_base)
            clip.container.seek(behind, stream=clip.stream, backward=True)

        container = Seeking(clip.container, late)
        found = times_from(replace(clip, container=container), 4.0)
    assert container.asked == 2
    assert found[0] == pytest.approx(3.0, abs=0.001) and found[-1] == pytest.approx(5.9, abs=0.001)
