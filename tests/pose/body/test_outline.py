"""Outline of known shapes to half a pixel, arcs of known circles."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from pose.body.landmarker import Mask
from pose.body.outline import MAX_REACH, arc_deg, outline_px, profile_arc_deg, trunk_outline
from pose.track import BACK_FRACTIONS

SIZE = 400
# Middle of each pixel, with (0, 0) the corner of the picture.
Y, X = np.mgrid[0:SIZE, 0:SIZE] + 0.5


def soft(signed_distance_px: NDArray[np.float64]) -> NDArray[np.float32]:
    """Mask with an edge two pixels wide around the zero of a signed distance (inside > 0)."""
    return np.clip(0.5 + signed_distance_px / 2, 0, 1).astype(np.float32)


def outline(
    values: NDArray[np.float32], shoulders: ArrayLike, hips: ArrayLike
) -> NDArray[np.float32]:
    """Of a mask as large as the picture."""
    height, width = values.shape
    return trunk_outline(Mask(values, np.eye(2, 3)), shoulders, hips, (width, height))


def around(point: tuple[float, float], spread: float = 10) -> list[tuple[float, float]]:
    return [(point[0] - spread, point[1]), (point[0] + spread, point[1])]


@pytest.mark.parametrize(("ratio", "arc"), [(0.02, 9.15), (0.05, 22.84), (0.10, 45.24), (0.5, 180)])
def test_arc_of_a_circle(ratio: float, arc: float) -> None:
    assert arc_deg(ratio * 30, 30) == pytest.approx(arc, abs=0.05)
    assert arc_deg(-ratio, 1) == pytest.approx(-arc, abs=0.05)


@pytest.mark.parametrize("arc", [-60.0, -20.0, 0.0, 9.2, 22.8, 45.2])
@pytest.mark.parametrize("slope", [0.0, 0.3, -0.3])
def test_profile_arc_of_a_slanted_circle(arc: float, slope: float) -> None:
    t = BACK_FRACTIONS
    d = 0.2 + slope * t
    if arc:
        # Of a circle whose arc over the slanted chord from 0 to 0.6 is `arc`.
        chord = 0.6 * np.hypot(1, slope)
        radius = chord / 2 / np.sin(np.radians(abs(arc)) / 2)
        middle = np.array([0.3, 0.2 + slope * 0.3])
        away = np.sign(arc) * np.array([slope, -1]) / np.hypot(1, slope)
        center = middle + away * np.sqrt(radius**2 - chord**2 / 4)
        d = center[1] + np.sign(arc) * np.sqrt(np.maximum(radius**2 - (t - center[0]) ** 2, 0))
    assert profile_arc_deg(t, d) == pytest.approx(arc, abs=0.05 * abs(arc) + 0.1)


def test_profile_arc_of_many_samples_with_gaps() -> None:
    d = np.broadcast_to(-0.5 * (BACK_FRACTIONS - 0.3) ** 2, (4, 5, 47)).copy()
    whole = profile_arc_deg(BACK_FRACTIONS, d)
    assert whole.shape == (4, 5) and np.ptp(whole) == 0 and whole[0, 0] > 0
    within = np.flatnonzero((BACK_FRACTIONS >= 0) & (BACK_FRACTIONS <= 0.6))
    d[0, 0, within[::4]] = np.nan  # a quarter: enough is left
    d[0, 1, within[::3]] = np.nan  # a third: too much is missing
    some = profile_arc_deg(BACK_FRACTIONS, d)
    assert some[0, 0] == pytest.approx(whole[0, 0])
    assert np.isnan(some[0, 1]) and np.isfinite(some[1:]).all()


def test_disc_to_half_a_pixel() -> None:
    center, radius = (200.0, 200.0), 90.0
    mask = soft(radius - np.hypot(X - center[0], Y - center[1]))
    hips, shoulders = (195.0, 260.0), (195.0, 140.0)
    along = np.array([260 - 120 * f for f in BACK_FRACTIONS])
    half = np.sqrt(radius**2 - (along - center[1]) ** 2)
    left, right = outline(mask, around(shoulders), around(hips)) * 120
    assert left == pytest.approx(half - 5, abs=0.5)
    assert right[(half + 5) < MAX_REACH * 120] == pytest.approx(
        (half + 5)[(half + 5) < MAX_REACH * 120], abs=0.5
    )
    assert np.isnan(right[(half + 5) > MAX_REACH * 120 + 1]).all()


@pytest.mark.parametrize("lean_deg", [0, 37, 90, 150, 270])
def test_leaning_box_has_a_left_and_a_right(lean_deg: float) -> None:
    lean = np.radians(lean_deg)
    up = np.array([np.sin(lean), -np.cos(lean)])
    left = np.array([up[1], -up[0]])
    dx, dy = X - 200, Y - 200
    across = dx * left[0] + dy * left[1]
    along = dx * up[0] + dy * up[1]
    mask = soft(np.minimum.reduce([30 - across, across + 50, 110 - np.abs(along)]))
    hips, shoulders = 200 - 60 * up, 200 + 60 * up
    found = outline(mask, [shoulders, shoulders], [hips, hips]) * 120
    assert found[0] == pytest.approx(30, abs=0.5)
    assert found[1] == pytest.approx(50, abs=0.5)


def test_left_of_an_upright_person_is_the_left_of_the_picture() -> None:
    mask = soft(np.minimum(X - 150, 220 - X))
    left, right = outline(mask, around((200, 140)), around((200, 260))) * 120
    assert left == pytest.approx(50, abs=0.5) and right == pytest.approx(20, abs=0.5)


def test_edge_inwards_of_the_chord_is_negative() -> None:
    mask = soft(np.minimum(X - 212, 280 - X))  # the body begins 12 px right of the chord
    left, right = outline(mask, around((200, 140)), around((200, 260))) * 120
    assert left == pytest.approx(-12, abs=0.5)
    assert np.isnan(right).all()  # nothing inwards on that side


def test_end_of_the_picture_is_no_edge() -> None:
    mask = soft(60 - np.abs(X - 20))
    left, right = outline(mask, around((20, 140)), around((20, 260))) * 120
    assert np.isnan(left).all() and right == pytest.approx(60, abs=0.5)


def test_nothing_without_a_chord() -> None:
    mask = np.ones((SIZE, SIZE), dtype=np.float32)
    nan = [(np.nan, np.nan)] * 2
    assert np.isnan(outline(mask, nan, nan)).all()
    assert np.isnan(outline(mask, around((200, 200)), around((200, 201)))).all()


def test_arc_read_off_a_mask_of_a_round_back() -> None:
    # A disc so placed that its outline between 0 and 0.6 of the chord is an arc of 45 degrees.
    chord_px, part = 150, 0.6
    radius = part * chord_px / 2 / np.sin(np.radians(45) / 2)
    middle_y = 280 - 0.3 * chord_px
    mask = soft(radius - np.hypot(X - 160 - radius, Y - middle_y))
    hips, shoulders = (200.0, 280.0), (200.0, 280.0 - chord_px)
    left, _ = outline(mask, around(shoulders), around(hips))
    assert profile_arc_deg(BACK_FRACTIONS, left) == pytest.approx(45, abs=2)


@pytest.mark.parametrize("side", [0, 1])
def test_points_of_an_outline_lie_where_it_was_read(side: int) -> None:
    center, radius = (200.0, 200.0), 90.0
    mask = soft(radius - np.hypot(X - center[0], Y - center[1]))
    hips, shoulders = (185.0, 265.0), (215.0, 137.0)
    read = outline(mask, around(shoulders), around(hips))
    points = outline_px([hips, shoulders], read[side], side)
    seen = np.isfinite(read[side])
    away = np.hypot(*(points[seen] - center).T)
    assert seen.sum() > 30 and away == pytest.approx(radius, abs=0.6)


def test_a_turned_and_smaller_mask_is_read_in_its_own_pixels() -> None:
    # The same disc drawn in a mask of half the size, turned by 30 degrees around the middle.
    turn = np.radians(30)
    rotate = 0.5 * np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middle_px, small = np.full(2, SIZE / 2 - 0.5), SIZE // 2
    from_picture = np.column_stack([rotate, np.full(2, small / 2 - 0.5) - rotate @ middle_px])
    rows, columns = np.mgrid[0:small, 0:small]
    centre = from_picture @ [199.5, 199.5, 1.0]
    values = soft(30 - np.hypot(columns - centre[0], rows - centre[1]))
    read = trunk_outline(
        Mask(values, from_picture), around((200, 140)), around((200, 260)), (SIZE, SIZE)
    )
    whole = outline(soft(60 - np.hypot(X - 200, Y - 200)), around((200, 140)), around((200, 260)))
    known = np.isfinite(whole) & (BACK_FRACTIONS > 0.05) & (BACK_FRACTIONS < 0.95)
    assert read[known] == pytest.approx(whole[known], abs=1 / 120)


def test_beyond_the_mask_nothing_is_known() -> None:
    # The mask covers the left half of the picture; the body goes on to the right.
    values = np.ones((SIZE, SIZE // 2), dtype=np.float32)
    cut = trunk_outline(
        Mask(values, np.eye(2, 3)), around((180, 140)), around((180, 260)), (SIZE, SIZE)
    )
    assert np.isnan(cut).all()
