"""The landmark network: 33 landmarks and the mask of the person in a crop.

It looks at 256 x 256 pixels and answers, as its makers describe in the graph files published with
it, with 39 points (33 landmarks, two to crop the next picture by, four unused), each with
visibility and presence; how likely there is a person at all; the mask of the person; a heat map
for each point; and the points in metres around the hips. A point is moved to the centre of its heat
map near it, where that is certain enough: "Simple Baselines for Human Pose Estimation and
Tracking" (Xiao et al. 2018, arXiv:1804.06208) describes such maps.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Crop, Mask, Person
from pose.body.litert.crop import crop_around, cut_out, from_crop, to_crop, turned
from pose.body.litert.network import Network

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

_SIZE_PX = 256
_POINTS = 39
_HEAT_PX = 64
# Sizes of the answers, see :class:`pose.body.litert.network.Network`.
ANSWERS = (_POINTS * 5, 1, _SIZE_PX**2, _HEAT_PX**2 * _POINTS, _POINTS * 3)
# Of the two points after the landmarks: middle of the hips, and the one that says how large.
_ALIGNMENT = (33, 34)
# Cells of the heat map to either side of a point that count: a window of seven.
_REACH = 3
# A heat map whose highest value in the window is lower says nothing about the point.
_MIN_HEAT = 0.5
MIN_SCORE = 0.5


def look(rgb: NDArray[np.uint8], crop: Crop, network: Network) -> Person:
    """Landmarks and mask of the person in a crop of an (h, w, 3) RGB picture.

    They mean nothing where the score is below `MIN_SCORE`: there is nobody.
    """
    picture = cut_out(rgb, crop, _SIZE_PX).astype(np.float32) / np.float32(255)
    values, presence, mask, heat, world = network.run(picture)
    points = values.reshape(_POINTS, 5).astype(np.float64)
    xy = refined(points[:, :2] / _SIZE_PX, heat.reshape(_HEAT_PX, _HEAT_PX, _POINTS))
    xy_px = from_crop(crop, xy)
    height, width = rgb.shape[:2]
    return Person(
        xy=xy_px[: lm.COUNT] / (width, height),
        world_m=turned(crop, world.reshape(_POINTS, 3).astype(np.float64)[: lm.COUNT]),
        visibility=_logistic(points[: lm.COUNT, 3]),
        presence=_logistic(points[: lm.COUNT, 4]),
        score=float(presence[0]),
        mask=Mask(_logistic(mask.reshape(_SIZE_PX, _SIZE_PX)), to_crop(crop, _SIZE_PX)),
        crop=crop_around(*xy_px[list(_ALIGNMENT)]),
    )


def refined(xy: Floats, heat: Singles) -> Floats:
    """Points moved to the centre of their heat maps.

    Parameters
    ----------
    xy : (39, 2) float64
        Fractions of the crop.
    heat : (64, 64, 39) float32
        Rows, columns, points; logits.

    Returns
    -------
    (39, 2) float64
        Unchanged where a point lies outside of the crop or its heat map is not certain.
    """
    cell = np.trunc(xy * _HEAT_PX).astype(np.intp)
    inside = ((cell >= 0) & (cell < _HEAT_PX)).all(axis=1)
    steps = np.arange(-_REACH, _REACH + 1)
    columns = cell[:, 0, None] + steps
    rows = cell[:, 1, None] + steps
    # (39, 7, 7): the window of each point, rows then columns; nothing beyond the map counts.
    known = _on_map(rows)[:, :, None] & _on_map(columns)[:, None, :]
    last = _HEAT_PX - 1
    window = heat[
        np.clip(rows, 0, last)[:, :, None],
        np.clip(columns, 0, last)[:, None, :],
        np.arange(len(xy))[:, None, None],
    ]
    weight = np.where(known, _logistic(window.astype(np.float64)), 0.0)
    total = weight.sum(axis=(1, 2))
    sure = inside & (weight.max(axis=(1, 2)) >= _MIN_HEAT)
    total = np.where(sure, total, 1.0)
    x = (weight.sum(axis=1) * columns).sum(axis=1) / total / _HEAT_PX
    y = (weight.sum(axis=2) * rows).sum(axis=1) / total / _HEAT_PX
    return np.where(sure[:, None], np.column_stack([x, y]), xy)


def _on_map(cells: NDArray[np.intp]) -> NDArray[np.bool_]:
    return np.asarray((cells >= 0) & (cells < _HEAT_PX))


def _logistic(logits: NDArray[Any]) -> NDArray[Any]:
    # A logit of float32 that overflows here is 0 to the last digit, which is right.
    with np.errstate(over="ignore"):
        return np.asarray(1 / (1 + np.exp(-logits)))
