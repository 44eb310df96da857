"""Landmarks of real footage against the model makers' own; the main person among two."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from pose.body.engine import Engine, open_landmarker
from pose.body.follow import Sample, follow
from pose.body.landmarker import Landmarker
from pose.body.look import look_around
from pose.body.model import model_file
from pose.body.people import join_people, person_at
from pose.persons import People
from pose.video.decode import frames
from pose.video.picture import Frame

pytestmark = [pytest.mark.real, pytest.mark.slow]

NOBODY_SURVEYED = People()
WIDTH, HEIGHT = 640, 640  # of the pictures with two people
PEOPLE = 360  # the main person is left of this


@pytest.fixture(scope="module")
def squats(real: Path) -> list[Frame]:
    return list(frames(real / "pose_squats.mp4", sample_rate_hz=15))


@pytest.fixture(scope="module")
def alone(squats: list[Frame], landmarker: Landmarker) -> NDArray[np.float64]:
    """Landmarks of the main person without anybody else, pixels of the small picture."""
    return xy_px(list(follow(squats, (360, 640), landmarker, NOBODY_SURVEYED)))


def xy_px(samples: list[Sample]) -> NDArray[np.float64]:
    return np.array([s.xy_px for s in samples])


def beside(squats: list[Frame], hide: slice = slice(0)) -> list[Frame]:
    """The same clip with a second person at the right, 0.6 as large and 6 s behind.

    The main person is out of the picture during `hide`.
    """
    pictures = []
    for number, frame in enumerate(squats):
        rgb = np.full((HEIGHT, WIDTH, 3), 200, dtype=np.uint8)
        rgb[:, :PEOPLE] = frame.rgb
        other = squats[(number + 30) % len(squats)].rgb
        small = cv2.resize(other, (216, 384), interpolation=cv2.INTER_AREA)
        rgb[226:610, 400:616] = small
        pictures.append(Frame(frame.time_s, rgb))
    for frame in pictures[hide]:
        frame.rgb[:, :PEOPLE] = 200
    return pictures


def off_px(found: NDArray[np.float64], alone: NDArray[np.float64]) -> NDArray[np.float64]:
    """Median distance of the landmarks from those of the main person alone, by sample."""
    return np.asarray(np.median(np.linalg.norm(found - alone, axis=2), axis=1))


def test_landmarks_agree_with_the_makers_of_the_model(
    real: Path, squats: list[Frame], landmarker: Landmarker
) -> None:
    reference = np.array(json.loads((real / "pose_squats.full.json").read_text()))[..., :2]
    found = xy_px(list(follow(squats, (720, 1280), landmarker, NOBODY_SURVEYED)))
    off = np.linalg.norm(found - reference, axis=2)
    # Measured: median 5.9, 95 % below 17.6 pixels of 1280. The reference is smoothed, ours is
    # not; with the model's own smoothing on, 4.9 and 15.0.
    assert np.median(off) < 7
    assert np.percentile(off, 95) < 21


def test_landmarks_do_not_trail_behind_the_movement(
    squats: list[Frame], landmarker: Landmarker
) -> None:
    # A still picture shifted up and down at 2 Hz, sampled at 15 Hz.
    times_s = np.arange(60) / 15
    shift_px = 30 * np.sin(2 * np.pi * 2 * times_s)
    moving = [
        Frame(
            time_s,
            cv2.warpAffine(
                squats[20].rgb,
                np.array([[1, 0, 0], [0, 1, dy]], dtype=np.float32),
                (360, 640),
                borderMode=cv2.BORDER_REPLICATE,
            ),
        )
        for time_s, dy in zip(times_s, shift_px, strict=True)
    ]
    y_px = xy_px(list(follow(moving, (360, 640), landmarker, NOBODY_SURVEYED)))[:, 11:29, 1]
    off = y_px - np.median(y_px, axis=0) - shift_px[:, None]
    # Measured: 1.0 px; 4.6 px with the model's own smoothing.
    assert np.sqrt(np.mean(off[5:] ** 2)) < 2


def test_outline_is_found_and_plausible(squats: list[Frame], landmarker: Landmarker) -> None:
    outline = np.array(
        [s.outline for s in follow(squats[:10], (360, 640), landmarker, NOBODY_SURVEYED)]
    )
    assert np.isfinite(outline).mean() > 0.8
    trunk = outline[:, :, 10:40]  # clear of arms and legs
    assert 0.1 < np.nanmedian(trunk) < 0.6


def test_nobody_is_nan(squats: list[Frame], landmarker: Landmarker) -> None:
    empty = [Frame(f.time_s, np.full_like(f.rgb, 128)) for f in squats[:3]]
    for sample in follow(empty, (720, 1280), landmarker, NOBODY_SURVEYED):
        assert np.isnan(sample.xy_px).all() and np.isnan(sample.outline).all()
        assert (sample.visibility == 0).all()


def test_a_second_person_changes_nothing(
    squats: list[Frame], alone: NDArray[np.float64], landmarker: Landmarker
) -> None:
    found = xy_px(list(follow(beside(squats), (WIDTH, HEIGHT), landmarker, NOBODY_SURVEYED)))
    assert (off_px(found, alone) < 5).all()


def test_a_stand_in_is_not_taken_for_the_main_person_who_left(
    squats: list[Frame], alone: NDArray[np.float64], landmarker: Landmarker
) -> None:
    away = slice(20, 30)  # 4.0 to 6.0 s
    found = xy_px(list(follow(beside(squats, away), (WIDTH, HEIGHT), landmarker, NOBODY_SURVEYED)))
    off = off_px(found, alone)
    assert np.isnan(off[away]).all()
    # Found again within half a second, five pictures a second.
    assert (off[33:] < 5).all() and not (off[30:33] > 5).any()


def surveyed(pictures: list[Frame], landmarker: Landmarker) -> People:
    """Who is in the pictures, looked at every three seconds."""
    return People(join_people([look_around(f, landmarker) for f in pictures[::15]]), 0)


def test_who_is_away_at_the_start_is_waited_for(
    squats: list[Frame], alone: NDArray[np.float64], landmarker: Landmarker
) -> None:
    pictures = beside(squats, slice(0, 10))
    people = surveyed(pictures, landmarker)
    off = off_px(xy_px(list(follow(pictures, (WIDTH, HEIGHT), landmarker, people))), alone)
    assert np.isnan(off[:10]).all() and (off[13:] < 5).all()


def test_the_other_one_is_followed_where_asked_for(
    squats: list[Frame], landmarker: Landmarker
) -> None:
    pictures = beside(squats)
    seen = surveyed(pictures, landmarker).seen
    other = person_at(seen, 500 / WIDTH, 400 / HEIGHT)
    assert other is not None
    found = xy_px(list(follow(pictures, (WIDTH, HEIGHT), landmarker, People(seen, other))))
    assert (np.median(found[..., 0], axis=1) > PEOPLE).all()


def test_the_film_is_about_the_larger_one(squats: list[Frame], landmarker: Landmarker) -> None:
    first, second = surveyed(beside(squats), landmarker).seen
    assert first.places[0].x < PEOPLE / WIDTH < second.places[0].x


def test_a_used_landmarker_sees_what_a_new_one_does(engine: Engine, squats: list[Frame]) -> None:
    first, second = squats[:20], squats[30:45]
    with open_landmarker(model_file(), engine) as new:
        fresh = xy_px(list(follow(second, (720, 1280), new, NOBODY_SURVEYED)))
    with open_landmarker(model_file(), engine) as used:
        list(follow(first, (720, 1280), used, NOBODY_SURVEYED))
        again = xy_px(list(follow(second, (720, 1280), used, NOBODY_SURVEYED)))
    np.testing.assert_array_equal(again, fresh)
