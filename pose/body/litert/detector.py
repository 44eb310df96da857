"""The person detector: where people are in a picture, each with the two points to crop by.

A single-shot detector on 224 x 224 pixels. It answers for each of 2254 places (anchors) how likely
a person is there, with a box around the face and four points relative to the place. Several
places answer for one person: they are averaged, weighted by their scores. Anchors, coordinates and
thresholds as its makers describe them in the graph files published with the network (pose
detection: five layers with strides 8, 16, 32, 32, 32 and two anchors a cell; boxes in pixels;
suppression weighted, at an overlap of 0.3).
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from pose.body.landmarker import Crop, Window
from pose.body.litert.crop import crop_around
from pose.body.litert.network import Network

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

_SIZE_PX = 224
_PLACES = 2254
# Sizes of the answers, see :class:`pose.body.litert.network.Network`.
ANSWERS = (_PLACES, _PLACES * 12)
# Layers with the same stride share a grid; each layer has two anchors in each cell.
_ANCHORS_BY_STRIDE = {8: 2, 16: 2, 32: 6}
MIN_SCORE = 0.5
# Boxes that share more of their union than this are of the same person.
_SAME_OVERLAP = 0.3
# The logistic function is 0 or 1 to the last digit beyond this.
_MAX_LOGIT = 100.0


@dataclass(frozen=True)
class Detection:
    """One person found.

    Attributes
    ----------
    score : float
        0-1.
    crop : Crop
        Where the landmark network should look, in pixels of the picture.
    """

    score: float
    crop: Crop


def detect(
    rgb: NDArray[np.uint8], network: Network, window: Window | None = None
) -> list[Detection]:
    """People in an (h, w, 3) RGB picture, or in a part of it, the most certain first."""
    at = window or Window(0, 0, rgb.shape[1], rgb.shape[0])
    part = rgb[at.top : at.bottom, at.left : at.right]
    height, width = part.shape[:2]
    scores, boxes = network.run(_letterboxed(part))
    rows = decode(boxes.reshape(_PLACES, 12), scores)
    # The part lies in the middle of a square as large as its longer side.
    side = max(height, width)
    corner = np.array([side - width, side - height]) / 2 - (at.left, at.top)
    found = []
    for score, points in suppress(*rows):
        center, scale = points[4:].reshape(4, 2)[:2] * side - corner
        if np.hypot(*(scale - center)) > 0:
            found.append(Detection(score, crop_around(center, scale)))
    return found


def anchors() -> Floats:
    """(2254, 2) middles of the places the detector answers for, as fractions of its input."""
    layers = []
    for stride, each in _ANCHORS_BY_STRIDE.items():
        cells = _SIZE_PX // stride
        middles = (np.arange(cells) + 0.5) / cells
        y, x = np.meshgrid(middles, middles, indexing="ij")
        layers.append(np.repeat(np.column_stack([x.ravel(), y.ravel()]), each, axis=0))
    return np.concatenate(layers)


_ANCHORS = anchors()


def decode(boxes: Singles, logits: Singles) -> tuple[Floats, Floats]:
    """Scores and coordinates of the places that are likely a person.

    Parameters
    ----------
    boxes : (2254, 12) float32
        Middle, width and height of the box and four points, relative to the anchor, pixels.
    logits : (2254,) float32

    Returns
    -------
    scores : (n,) float64
        At least `MIN_SCORE`, highest first.
    coordinates : (n, 12) float64
        x0, y0, x1, y1 of the box and the four points, as fractions of the detector's input.
    """
    scores = 1 / (1 + np.exp(-np.clip(logits.astype(np.float64), -_MAX_LOGIT, _MAX_LOGIT)))
    likely = np.flatnonzero(scores >= MIN_SCORE)
    likely = likely[np.argsort(-scores[likely], kind="stable")]
    raw = boxes[likely].astype(np.float64) / _SIZE_PX
    at = _ANCHORS[likely]
    middle, half = raw[:, :2] + at, raw[:, 2:4] / 2
    points = raw[:, 4:] + np.tile(at, 4)
    return scores[likely], np.concatenate([middle - half, middle + half, points], axis=1)


def suppress(scores: Floats, coordinates: Floats) -> list[tuple[float, Floats]]:
    """One row for each person: overlapping rows averaged, weighted by score."""
    found = []
    while len(scores):
        same = _overlap(coordinates[0, :4], coordinates[:, :4]) > _SAME_OVERLAP
        same[0] = True  # an empty box does not overlap itself
        mean = np.average(coordinates[same], axis=0, weights=scores[same])
        found.append((float(scores[0]), mean))
        scores, coordinates = scores[~same], coordinates[~same]
    return found


def _overlap(box: Floats, boxes: Floats) -> Floats:
    """Intersection over union of one box with many; x0, y0, x1, y1."""
    shared = np.minimum(box[2:], boxes[:, 2:]) - np.maximum(box[:2], boxes[:, :2])
    intersection = np.prod(np.maximum(shared, 0), axis=1)
    areas = np.prod(boxes[:, 2:] - boxes[:, :2], axis=1)
    union = np.prod(box[2:] - box[:2]) + areas - intersection
    return np.asarray(np.divide(intersection, union, out=np.zeros_like(union), where=union > 0))


def _letterboxed(rgb: NDArray[np.uint8]) -> Singles:
    """The picture in the middle of a black square, as the detector takes it: -1 to 1."""
    height, width = rgb.shape[:2]
    scale = _SIZE_PX / max(height, width)
    shift = (_SIZE_PX - scale * np.array([width, height])) / 2
    placed = cv2.warpAffine(
        rgb,
        np.array([[scale, 0, shift[0]], [0, scale, shift[1]]]),
        (_SIZE_PX, _SIZE_PX),
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
    )
    return np.asarray(placed, dtype=np.float32) / np.float32(127.5) - np.float32(1)
