"""The crop around a person: where it stands, how large it is, and the way back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pose.body.landmarker import Crop
from pose.body.litert.crop import crop_around, cut_out, from_crop, to_crop, turned


def test_somebody_upright_is_not_turned() -> None:
    # The makers' margin: the circle around the body and a quarter more.
    assert crop_around((100, 200), (100, 120)) == Crop(100, 200, 2 * 80 * 1.25, 0)


@pytest.mark.parametrize(
    ("scale", "turn_deg"),
    [((180, 200), 90.0), ((20, 200), -90.0), ((100, 280), -180.0), ((156.57, 143.43), 45.0)],
)
def test_the_crop_turns_with_the_body(scale: tuple[float, float], turn_deg: float) -> None:
    crop = crop_around((100, 200), scale)
    assert crop.turn_deg == pytest.approx(turn_deg, abs=0.01)
    assert crop.side_px == pytest.approx(200, abs=0.01)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, -90.0, 170.0])
def test_there_and_back(turn_deg: float) -> None:
    crop = Crop(100, 200, 80, turn_deg)
    points = np.array([[100.0, 200.0], [90.0, 215.0], [130.0, 190.0]])
    inside = np.column_stack([points, np.ones(3)]) @ to_crop(crop, 256).T
    assert inside[0] == pytest.approx((128, 128))
    assert from_crop(crop, inside / 256) == pytest.approx(points)


def test_the_head_of_somebody_lying_is_at_the_top_of_the_crop() -> None:
    rgb = np.zeros((100, 200, 3), dtype=np.uint8)
    rgb[48:53, 148:153] = 255  # the head, to the right of the hips
    seen = cut_out(rgb, crop_around((100, 50), (140, 50)), 64)[..., 0]
    rows, columns = np.nonzero(seen > 128)
    assert columns.mean() == pytest.approx(32, abs=1) and rows.mean() < 8


def test_beyond_the_border_the_last_pixels_go_on() -> None:
    rgb = np.full((20, 20, 3), 50, dtype=np.uint8)
    rgb[:, -1] = 200
    seen = cut_out(rgb, Crop(19.5, 10, 20, 0), 20)
    assert (seen[:, 10:] == 200).all()


def test_metres_are_turned_back_and_depth_stays() -> None:
    # The head above the hips in a crop turned a quarter to the right lies right of them.
    up = np.array([[0.0, -0.5, 0.2]])
    assert turned(Crop(0, 0, 1, 90), up) == pytest.approx(np.array([[0.5, 0.0, 0.2]]))


def test_the_side_does_not_depend_on_the_direction() -> None:
    sides = [
        crop_around((0, 0), (50 * math.cos(a), 50 * math.sin(a))).side_px
        for a in np.linspace(0, 6, 7)
    ]
    assert sides == pytest.approx([125] * 7)
