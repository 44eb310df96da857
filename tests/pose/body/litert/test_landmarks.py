"""Landmarks from hand-made answers: heat maps, scales, the turn of the crop."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Crop
from pose.body.litert.landmarks import look, refined
from pose.body.litert.network import Network

Singles = NDArray[np.float32]


def cold() -> Singles:
    return np.full((64, 64, 39), -20, dtype=np.float32)


def middles() -> NDArray[np.float64]:
    return np.full((39, 2), 0.5)


def test_a_point_moves_to_the_centre_of_its_heat_map() -> None:
    heat = cold()
    heat[33, 34, 3] = 10  # row, column; the point is in cell (32, 32)
    found = refined(middles(), heat)
    assert found[3] == pytest.approx((34 / 64, 33 / 64), abs=1e-3)
    assert np.delete(found, 3, axis=0) == pytest.approx(np.full((38, 2), 0.5))


def test_the_centre_is_weighted_by_the_logistic_of_the_heat() -> None:
    heat = cold()
    heat[32, 31, 0], heat[32, 34, 0] = 0.0, 1.0
    sure, surer = 0.5, 1 / (1 + np.exp(-1.0))
    expected = (31 * sure + 34 * surer) / (sure + surer) / 64
    assert refined(middles(), heat)[0, 0] == pytest.approx(expected, abs=1e-4)


def test_heat_further_than_three_cells_away_does_not_count() -> None:
    heat = cold()
    heat[32, 36, 0] = 10
    assert refined(middles(), heat)[0] == pytest.approx((0.5, 0.5))
    heat[32, 35, 0] = 10
    assert refined(middles(), heat)[0, 0] == pytest.approx(35 / 64, abs=1e-3)


def test_a_faint_heat_map_leaves_the_point_alone() -> None:
    heat = cold()
    heat[32, 33, 0] = -0.1  # below one half
    assert refined(middles(), heat)[0] == pytest.approx((0.5, 0.5))


@pytest.mark.parametrize("outside", [(1.2, 0.5), (0.5, -0.1), (0.5, 1.01)])
def test_a_point_outside_of_the_crop_stays_where_it_is(outside: tuple[float, float]) -> None:
    xy = middles()
    xy[0] = outside
    hot = np.full((64, 64, 39), 10, dtype=np.float32)
    assert refined(xy, hot)[0] == pytest.approx(outside)


def test_at_the_edge_of_the_map_only_the_cells_that_exist_count() -> None:
    xy = middles()
    xy[0] = (0.0, 0.999)
    hot = np.full((64, 64, 39), 10, dtype=np.float32)
    # Columns 0 to 3 and rows 60 to 63 are within three cells.
    assert refined(xy, hot)[0] == pytest.approx((1.5 / 64, 61.5 / 64), abs=1e-4)


class Answers(Network):
    def __init__(self, answers: list[Singles]) -> None:
        self.answers = answers
        self.shown: list[Singles] = []

    def run(self, picture: Singles) -> list[Singles]:
        self.shown.append(picture)
        return self.answers


def answers() -> list[Singles]:
    points = np.zeros((39, 5), dtype=np.float32)
    points[:, :2] = 128
    points[34, 1] = 64  # a quarter of the crop above the hips
    points[:, 3], points[:, 4] = 0.0, 100.0
    world = np.tile(np.array([0.0, -0.5, 0.1], dtype=np.float32), (39, 1))
    mask = np.full((256, 256), -100, dtype=np.float32)
    mask[:, :128] = 100
    return [
        points.ravel(), np.array([0.75], np.float32), mask.ravel(), cold().ravel(), world.ravel(),
    ]  # fmt: skip


def test_everything_is_given_in_the_picture() -> None:
    network = Answers(answers())
    rgb = np.full((100, 200, 3), 255, dtype=np.uint8)
    person = look(rgb, Crop(120, 60, 64, 90), network)
    assert network.shown[0].shape == (256, 256, 3)
    assert network.shown[0].max() == pytest.approx(1.0)  # 0 to 1
    assert person.score == pytest.approx(0.75)
    assert person.xy == pytest.approx(np.tile([120 / 200, 60 / 100], (lm.COUNT, 1)))
    assert person.visibility == pytest.approx(np.full(lm.COUNT, 0.5))
    assert person.presence == pytest.approx(np.ones(lm.COUNT))
    # Up in the crop is to the right in the picture.
    assert person.world_m[0] == pytest.approx((0.5, 0.0, 0.1))
    crop = person.crop
    assert crop is not None
    assert (crop.x_px, crop.y_px) == pytest.approx((120, 60))
    assert (crop.side_px, crop.turn_deg) == pytest.approx((2.5 * 16, 90))


def test_the_mask_stays_in_the_crop_and_says_where_it_lies() -> None:
    person = look(np.zeros((100, 200, 3), np.uint8), Crop(120, 60, 64, 90), Answers(answers()))
    assert person.mask is not None
    values, matrix = person.mask.values, person.mask.from_picture
    assert values.shape == (256, 256) and values.min() == 0 and values.max() == 1
    # The left half of the turned crop is the upper half of the square in the picture.
    for y_px, body in ((50, 1), (70, 0)):
        column, row = matrix @ (120, y_px, 1)
        assert values[round(row), round(column)] == body
