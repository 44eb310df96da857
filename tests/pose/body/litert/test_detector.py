"""The detector's arithmetic on hand-made answers; the network itself in test_landmarker."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from pose.body.landmarker import Window
from pose.body.litert import detector
from pose.body.litert.detector import anchors, decode, detect, suppress
from pose.body.litert.network import Network

Singles = NDArray[np.float32]


class Answers(Network):
    """A network that gives the answers it was told to, and remembers what it was shown."""

    def __init__(self, logits: Singles, boxes: Singles) -> None:
        self.answers = [logits, boxes.ravel()]
        self.shown: list[Singles] = []

    def run(self, picture: Singles) -> list[Singles]:
        self.shown.append(picture)
        return self.answers


def nobody() -> tuple[Singles, Singles]:
    logits = np.full(2254, -50, dtype=np.float32)
    return logits, np.zeros((2254, 12), dtype=np.float32)


def test_anchors_are_those_of_five_layers() -> None:
    # Grids of 28, 14 and 7 cells; two anchors a cell, three layers of the coarsest.
    found = anchors()
    assert found.shape == (28 * 28 * 2 + 14 * 14 * 2 + 7 * 7 * 6, 2)
    assert found[0] == pytest.approx((0.5 / 28, 0.5 / 28))
    assert found[2] == pytest.approx((1.5 / 28, 0.5 / 28))  # along the row first
    assert found[28 * 28 * 2 - 1] == pytest.approx((27.5 / 28, 27.5 / 28))
    assert found[28 * 28 * 2] == pytest.approx((0.5 / 14, 0.5 / 14))
    assert found[-1] == pytest.approx((6.5 / 7, 6.5 / 7))


def test_only_likely_places_are_decoded_the_likeliest_first() -> None:
    logits, boxes = nobody()
    logits[[7, 9, 11]] = (0.1, 2.0, -0.1)
    boxes[9] = (22.4, 0, 44.8, 89.6, 0, 0, 0, -56, 0, 0, 0, 0)
    scores, rows = decode(boxes, logits)
    assert scores == pytest.approx(1 / (1 + np.exp([-2.0, -0.1])))
    x, y = anchors()[9]
    assert rows[0, :4] == pytest.approx((x, y - 0.2, x + 0.2, y + 0.2))
    assert rows[0, 4:8] == pytest.approx((x, y, x, y - 0.25))


def test_a_logit_beyond_all_bounds_is_a_sure_score() -> None:
    logits, boxes = nobody()
    logits[0] = np.float32(1e30)
    assert decode(boxes, logits)[0] == pytest.approx([1.0])


def test_overlapping_places_are_one_person_weighted_by_score() -> None:
    row = np.zeros((3, 12))
    row[:, :4] = ((0, 0, 0.2, 0.2), (0.02, 0, 0.22, 0.2), (0.6, 0, 0.8, 0.2))
    row[:, 4] = (0.1, 0.2, 0.7)
    found = suppress(np.array([0.9, 0.6, 0.8]), row)
    assert [score for score, _ in found] == [0.9, 0.8]
    assert found[0][1][4] == pytest.approx((0.9 * 0.1 + 0.6 * 0.2) / 1.5)
    assert found[1][1][4] == pytest.approx(0.7)


def test_an_empty_box_does_not_stop_the_search() -> None:
    assert len(suppress(np.array([0.9, 0.8]), np.zeros((2, 12)))) == 2


@pytest.mark.parametrize(("height", "width"), [(360, 640), (640, 360), (224, 224)])
def test_a_crop_is_given_in_pixels_of_the_picture(height: int, width: int) -> None:
    logits, boxes = nobody()
    middle = 2 * (14 * 28 + 14)  # an anchor next to the middle of the picture
    logits[middle] = 5
    boxes[middle, 4:8] = (0, 0, 0, -44.8)  # the second point a fifth of the longer side above
    (found,) = detect(np.zeros((height, width, 3), np.uint8), Answers(logits, boxes))
    side = max(height, width)
    assert found.crop.x_px == pytest.approx(width / 2 + side * 0.5 / 28)
    assert found.crop.y_px == pytest.approx(height / 2 + side * 0.5 / 28)
    assert found.crop.side_px == pytest.approx(2.5 * 0.2 * side)


def test_the_network_sees_the_whole_picture_between_minus_one_and_one() -> None:
    network = Answers(*nobody())
    white = np.full((100, 200, 3), 255, dtype=np.uint8)
    assert detect(white, network) == []
    (seen,) = network.shown
    assert seen.shape == (224, 224, 3) and seen.dtype == np.float32
    inside = seen[60:-60, 2:-2]  # clear of the border, where white and black mix
    assert inside.min() == pytest.approx(1) and inside.max() == pytest.approx(1)
    # Above and below the picture: black.
    assert seen[:50].max() == pytest.approx(-1) and seen[-50:].max() == pytest.approx(-1)


def test_two_points_in_one_place_are_no_person() -> None:
    logits, boxes = nobody()
    logits[0] = 5
    assert detect(np.zeros((100, 100, 3), np.uint8), Answers(logits, boxes)) == []


def test_the_threshold_is_the_makers() -> None:
    assert detector.MIN_SCORE == 0.5


def test_a_part_of_the_picture_is_searched_on_its_own() -> None:
    logits, boxes = nobody()
    middle = 2 * (14 * 28 + 14)
    logits[middle] = 5
    boxes[middle, 4:8] = (0, 0, 0, -44.8)
    network = Answers(logits, boxes)
    rgb = np.zeros((360, 640, 3), np.uint8)
    rgb[100:200, 300:400] = 255
    (found,) = detect(rgb, network, Window(300, 100, 400, 200))
    assert found.crop.x_px == pytest.approx(300 + 50 + 100 * 0.5 / 28)
    assert found.crop.y_px == pytest.approx(100 + 50 + 100 * 0.5 / 28)
    assert found.crop.side_px == pytest.approx(2.5 * 0.2 * 100)
    assert network.shown[0][5:-5, 5:-5].min() == pytest.approx(1)  # all white
