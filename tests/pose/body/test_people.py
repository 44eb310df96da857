"""Where people are and how large, and who of them the film is about."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pose.body.landmarker import Landmarker, Person
from pose.body.people import Place, find_main_person, place_of
from pose.video.decode import frames
from pose.video.picture import Frame
from tests.pose.body.boxes import BLUE, RED, Boxes, around, frame, people_in

SHORT = Path(__file__).parents[3] / "clips" / "short"


def person(height: int) -> tuple[Person, Frame]:
    shown = frame(0.0, {RED: around(50, 40, height)})
    return people_in(shown.rgb)[RED], shown


def test_places_compare_in_body_sizes() -> None:
    near, far = Place(0.5, 0.5, 0.4), Place(0.7, 0.5, 0.2)
    assert near.distance(far) == far.distance(near) == pytest.approx(0.5)
    assert near.size_ratio(far) == far.size_ratio(near) == pytest.approx(2)


def test_a_place_is_the_hips_and_the_diagonal_in_parts_of_the_longer_side() -> None:
    place = place_of(*person(60))
    assert (place.x, place.y) == pytest.approx((50 / 200, 40 / 200))
    assert place.size == pytest.approx(np.hypot(30, 60) / 200)


def test_the_main_person_is_the_largest_in_any_of_the_pictures() -> None:
    small, large = around(40, 50, 40), around(150, 40, 80)
    pictures = [frame(0.0, {RED: small}), frame(1.0, {RED: small, BLUE: large}), frame(2.0, {})]
    main = find_main_person(pictures, Boxes())
    assert main is not None and main.x == pytest.approx(150 / 200)
    assert find_main_person(pictures[2:], Boxes()) is None


def test_a_figure_is_found_where_it_was_rendered(landmarker: Landmarker) -> None:
    (first, *_) = frames(SHORT / "squat-front.mp4", sample_rate_hz=15)
    truth = np.load(SHORT / "squat-front.truth.npz")
    hips = [list(truth["joint_names"]).index(f"{side}_hip") for side in ("left", "right")]
    x_px, y_px = truth["joints_px"][0, hips].astype(float).mean(axis=0)
    main = find_main_person([first], landmarker)
    assert main is not None
    assert (main.x, main.y) == pytest.approx((x_px / 640, y_px / 640), abs=0.02)


def test_in_an_empty_picture_there_is_nobody(landmarker: Landmarker) -> None:
    empty = Frame(0.0, np.full((90, 160, 3), 128, np.uint8))
    assert find_main_person([empty], landmarker) is None
