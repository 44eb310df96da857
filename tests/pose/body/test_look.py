"""Who is in a picture: squares that cover it, colours, finds that are the same body."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pose.body.landmarker import Landmarker
from pose.body.look import (
    colour_distance,
    colours_of,
    look_around,
    place_of,
    squares,
    window_around,
)
from pose.persons import Place
from pose.video.decode import frames
from pose.video.picture import Frame
from tests.pose.body.boxes import BLUE, RED, TWIN, Boxes, around, frame, people_in

SHORT = Path(__file__).parents[3] / "clips" / "short"


def test_a_place_is_the_hips_and_the_diagonal_in_parts_of_the_longer_side() -> None:
    shown = frame(0.0, {RED: around(50, 40, 60)})
    place = place_of(people_in(shown.rgb)[RED], shown)
    assert (place.x, place.y) == pytest.approx((50 / 200, 40 / 200))
    assert place.size == pytest.approx(np.hypot(30, 60) / 200)


def test_places_compare_in_body_sizes() -> None:
    near, far = Place(0.5, 0.5, 0.4), Place(0.7, 0.5, 0.2)
    assert near.distance(far) == far.distance(near) == pytest.approx(0.5)
    assert near.size_ratio(far) == far.size_ratio(near) == pytest.approx(2)


@pytest.mark.parametrize(("width", "height"), [(640, 360), (360, 640), (640, 100), (64, 64)])
def test_squares_cover_the_picture_and_overlap_by_half(width: int, height: int) -> None:
    for side in {s.right - s.left for s in squares(width, height)}:
        covered = np.zeros((height, width), dtype=int)
        for s in squares(width, height):
            if s.right - s.left == side:
                assert s.left >= 0 and s.right <= width and s.top >= 0 and s.bottom <= height
                covered[s.top : s.bottom, s.left : s.right] += 1
        assert covered.min() >= 1
        # A body of half a side is whole in one of them wherever it stands.
        lefts = sorted({s.left for s in squares(width, height) if s.right - s.left == side})
        assert max(np.diff([*lefts]), default=0) <= side / 2 + 1


def test_the_window_around_a_place_ends_at_the_border() -> None:
    middle = window_around(Place(0.5, 0.25, 0.2), 200, 100)
    assert (middle.left, middle.top, middle.right, middle.bottom) == (60, 10, 140, 90)
    corner = window_around(Place(-0.1, 0.0, 0.1), 200, 100)
    assert corner.left == 0 and corner.top == 0 and corner.right > 0 and corner.bottom > 0


def test_colours_tell_clothes_apart() -> None:
    shown = frame(0.0, {RED: around(40, 50, 60), BLUE: around(160, 50, 60)})
    found = {c: colours_of(p, shown) for c, p in people_in(shown.rgb).items()}
    # CIE L*a*b* of pure sRGB red and blue, from memory: (53, 80, 67) and (32, 79, -108).
    assert found[RED][:3] == pytest.approx((53, 79, 63), abs=4)
    assert found[BLUE][:3] == pytest.approx((31, 76, -104), abs=5)
    assert colour_distance(found[RED], found[BLUE]) > 100
    twin = frame(0.0, {TWIN: around(40, 50, 60)})
    assert colour_distance(found[RED], colours_of(people_in(twin.rgb)[TWIN], twin)) < 3


def test_colours_outside_of_the_picture_are_not_known() -> None:
    shown = frame(0.0, {RED: around(50, 40, 60)})
    person = people_in(shown.rgb)[RED]
    person.xy[:, 1] += 0.6  # the legs are below the picture now
    colours = colours_of(person, shown)
    assert np.isfinite(colours[:3]).all() and np.isnan(colours[3:]).all()
    assert np.isfinite(colour_distance(colours, colours))
    assert np.isnan(colour_distance(colours, np.full(6, np.nan)))


def test_everybody_is_seen_once() -> None:
    shown = frame(0.0, {RED: around(50, 50, 80), BLUE: around(150, 50, 60)})
    for thorough in (False, True):
        found = look_around(shown, Boxes(), [Place(0.25, 0.25, 0.4)], thorough=thorough)
        assert sorted(round(s.place.x, 2) for s in found) == [0.25, 0.75]


def test_who_is_known_and_not_found_is_searched_there() -> None:
    searched = []

    class Blind(Boxes):
        def search(self, rgb, window=None, known=()):  # type: ignore[no-untyped-def]
            searched.append(window)
            return [] if window is None else super().search(rgb, window)

    shown = frame(0.0, {RED: around(50, 50, 60)})
    assert look_around(shown, Blind()) == []
    (found,) = look_around(shown, Blind(), [Place(0.25, 0.25, 0.3)])
    assert found.place.x == pytest.approx(0.25)
    assert searched[0] is None and searched[-1] == window_around(Place(0.25, 0.25, 0.3), 200, 100)


@pytest.mark.slow
def test_a_figure_is_found_where_it_was_rendered(landmarker: Landmarker) -> None:
    (first, *_) = frames(SHORT / "squat-front.mp4", sample_rate_hz=15)
    truth = np.load(SHORT / "squat-front.truth.npz")
    hips = [list(truth["joint_names"]).index(f"{side}_hip") for side in ("left", "right")]
    x_px, y_px = truth["joints_px"][0, hips].astype(float).mean(axis=0)
    for thorough in (False, True):
        (found,) = look_around(first, landmarker, thorough=thorough)
        assert (found.place.x, found.place.y) == pytest.approx((x_px / 640, y_px / 640), abs=0.02)


@pytest.mark.slow
def test_a_small_figure_is_found_by_a_thorough_look(landmarker: Landmarker) -> None:
    # A quarter as large, its trunk 20 pixels, in a corner of the picture.
    (first, *_) = frames(SHORT / "squat-front.mp4", sample_rate_hz=15, max_side_px=160)
    rgb = np.full((360, 640, 3), 128, dtype=np.uint8)
    rgb[250:340, 460:620] = first.rgb
    (found,) = look_around(Frame(0.0, rgb), landmarker, thorough=True)
    assert found.place.x == pytest.approx((460 + 80) / 640, abs=0.02)


@pytest.mark.slow
def test_in_an_empty_picture_there_is_nobody(landmarker: Landmarker) -> None:
    empty = Frame(0.0, np.full((90, 160, 3), 128, np.uint8))
    assert look_around(empty, landmarker, thorough=True) == []
