"""Three people of real footage in one film: a leader who comes in late, two small ones behind."""

from __future__ import annotations

from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.extract.parallel import extract
from pose.persons import Pick
from pose.track import PoseTrack
from tests.made_clip import write_clip

pytestmark = [pytest.mark.real, pytest.mark.slow]

RATE_HZ, SECONDS, COMES_IN_S = 10, 12, 3
# Middles across the picture, pixels of 640, and heights of the pictures they are cut from. The body
# takes up two thirds of that: the trunks of the small ones are 18 and 24 pixels long.
LEADER, LEFT, RIGHT = (325, 340), (76, 130), (520, 130)


def shown(path: Path) -> list[NDArray[np.uint8]]:
    with av.open(str(path)) as container:
        return [f.to_ndarray(format="rgb24") for f in container.decode(video=0)]


def put(picture: NDArray[np.uint8], part: NDArray[np.uint8], at: tuple[int, int]) -> None:
    """Scale a picture to a height and put it on the floor of another."""
    middle, height = at
    width = round(part.shape[1] * height / part.shape[0])
    left = middle - width // 2
    small = cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA)
    picture[350 - height : 350, left : left + width] = small


@pytest.fixture(scope="module")
def three(real: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    squats, dance = shown(real / "pose_squats.mp4"), shown(real / "pose_1.mp4")
    pictures = []
    for i in range(RATE_HZ * SECONDS):
        picture = np.full((360, 640, 3), 190, dtype=np.uint8)
        put(picture, squats[(i // 2 + 20) % len(squats)], LEFT)
        put(picture, dance[3 * i % len(dance)], RIGHT)
        if i >= COMES_IN_S * RATE_HZ:
            put(picture, squats[i // 2 % len(squats)], LEADER)
        pictures.append(picture)
    path = tmp_path_factory.mktemp("three") / "three.mp4"
    stamps_ms = [1000 * i // RATE_HZ for i in range(len(pictures))]
    return write_clip(path, stamps_ms, pictures=pictures, key_every=10)


def hips_px(track: PoseTrack) -> NDArray[np.float64]:
    return np.asarray(track.xy_px[:, list(lm.HIPS), 0].mean(axis=1))


def test_the_leader_is_followed_from_when_she_comes_in(three: Path) -> None:
    track = extract(three, cache=False)
    before, after = track.between(0, COMES_IN_S), track.between(COMES_IN_S + 0.6, SECONDS)
    assert not before.present.any()
    assert after.present.all()
    assert np.abs(hips_px(after) - LEADER[0]).max() < 40
    assert track.people is not None and len(track.people.seen) == 3
    assert track.people.doubts_s == ()


@pytest.mark.parametrize("at", [LEFT, RIGHT])
def test_a_small_one_is_followed_where_asked_for(three: Path, at: tuple[int, int]) -> None:
    track = extract(three, pick=Pick(at[0] / 640, 0.8), cache=False)
    assert track.present.mean() > 0.99
    found_px = hips_px(track)
    assert np.nanmax(np.abs(found_px - at[0])) < 25
