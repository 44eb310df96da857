"""Pictures that no other is built on are found, and leaving them out harms none of the others."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest

from pose.video.decode import disposable_stamps, frames
from pose.video.probe import probe


def moving(path: Path, codec: str, options: dict[str, str], count: int = 90) -> Path:
    """3 s at 30 pictures a second of a square that moves over noise."""
    noise = np.random.default_rng(1).integers(0, 255, (96, 128, 3)).astype(np.uint8)
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=30, options=options)
        stream.width, stream.height, stream.pix_fmt = 128, 96, "yuv420p"
        for i in range(count):
            picture = noise.copy()
            picture[20:60, i : i + 30] = (200, 30, 30)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode())
    return path


X264 = {"preset": "fast", "bf": "3", "b_strategy": "0", "g": "30"}
X265 = {"preset": "fast", "x265-params": "bframes=3:b-adapt=0:keyint=30:log-level=none"}


@pytest.mark.parametrize("name", ["clip.mp4", "clip.mkv", "clip.ts"])
@pytest.mark.parametrize(("codec", "options"), [("libx264", X264), ("libx265", X265)])
def test_what_is_left_decodes_to_the_same_pictures(
    tmp_path: Path, name: str, codec: str, options: dict[str, str]
) -> None:
    path = moving(tmp_path / name, codec, options)
    clip = probe(path)
    drop = disposable_stamps(clip, 15)
    assert 0.3 < len(drop) / len(clip.times_s) <= 0.5
    whole = {f.time_s: f.rgb for f in frames(path, sample_rate_hz=1000)}
    left = list(frames(path, sample_rate_hz=1000, skip=drop))
    assert len(left) == len(whole) - len(drop)
    for frame in left:
        np.testing.assert_array_equal(frame.rgb, whole[frame.time_s])


@pytest.mark.parametrize("start_s", [0.0, 1.03, 2.2])
def test_every_sampling_step_keeps_its_picture(tmp_path: Path, start_s: float) -> None:
    # Three pictures in a row that may go, so that some steps consist of nothing else.
    path = moving(tmp_path / "clip.mp4", "libx264", X264 | {"bf": "4", "b-pyramid": "none"})
    drop = disposable_stamps(probe(path), 15)
    assert drop
    full = [f.time_s for f in frames(path, sample_rate_hz=15, start_s=start_s)]
    thin = [f.time_s for f in frames(path, sample_rate_hz=15, start_s=start_s, skip=drop)]
    steps = [np.floor(np.array(times) * 15 + 0.1) for times in (full, thin)]
    # The first step of a late start may have had its picture before.
    assert set(steps[0][1:]) <= set(steps[1])


@pytest.mark.parametrize(
    ("codec", "options"),
    [("libx264", {"preset": "fast", "bf": "0"}), ("mpeg4", {}), ("libvpx", {})],
)
def test_where_nothing_can_go_nothing_does(
    tmp_path: Path, codec: str, options: dict[str, str]
) -> None:
    clip = probe(moving(tmp_path / "clip.mkv", codec, options, 30))
    assert not clip.is_disposable.any() and not disposable_stamps(clip, 15)
