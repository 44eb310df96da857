"""A turned square of the picture, cut out for the landmark network, and the way back.

The makers of the networks describe it: a person is aligned by two points, the middle of the hips
and a point whose distance from it says how large the body is ("BlazePose: On-device Real-time
Body Pose tracking", Bazarevsky et al. 2020, arXiv:2006.10204, section 2). The square stands on the
first, is turned so that the second lies straight above, and is two and a half times their
distance: the circle around the body and a quarter more.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from pose.body.landmarker import Crop

Floats = NDArray[np.float64]

# The margin that the landmark network was trained with (its makers' graph: rectangle scaled 1.25).
_MARGIN = 1.25


def crop_around(center_px: ArrayLike, scale_px: ArrayLike) -> Crop:
    """The crop of a person from the two alignment points.

    Parameters
    ----------
    center_px : (2,) array_like
        Middle of the hips, pixels.
    scale_px : (2,) array_like
        Point on the circle around the body, in the direction of the head, pixels.
    """
    center = np.asarray(center_px, dtype=np.float64)
    across, down = np.asarray(scale_px, dtype=np.float64) - center
    turn = math.pi / 2 - math.atan2(-down, across)
    turn -= 2 * math.pi * math.floor((turn + math.pi) / (2 * math.pi))
    side = 2 * _MARGIN * math.hypot(across, down)
    return Crop(float(center[0]), float(center[1]), side, math.degrees(turn))


def to_crop(crop: Crop, size_px: int) -> Floats:
    """(2, 3) matrix from pixels of the picture to pixels of the crop as the network sees it."""
    turn = math.radians(crop.turn_deg)
    scale = size_px / crop.side_px
    rotate = scale * np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    shift = size_px / 2 - rotate @ (crop.x_px, crop.y_px)
    return np.column_stack([rotate, shift])


def cut_out(rgb: NDArray[np.uint8], crop: Crop, size_px: int) -> NDArray[np.uint8]:
    """The crop as a (size, size, 3) picture; beyond the border the last pixels are repeated."""
    return np.asarray(
        cv2.warpAffine(
            rgb,
            to_crop(crop, size_px),
            (size_px, size_px),
            flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        ),
        dtype=np.uint8,
    )


def from_crop(crop: Crop, xy: Floats) -> Floats:
    """(n, 2) points of the crop, given as fractions of its side, in pixels of the picture."""
    turn = math.radians(crop.turn_deg)
    rotate = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return np.asarray((xy - 0.5) @ rotate.T * crop.side_px + (crop.x_px, crop.y_px))


def turned(crop: Crop, world_m: Floats) -> Floats:
    """(n, 3) positions around the hips as seen in the turned crop, turned back to the picture."""
    turn = math.radians(crop.turn_deg)
    x, y = world_m[:, 0], world_m[:, 1]
    return np.column_stack(
        [
            math.cos(turn) * x - math.sin(turn) * y,
            math.sin(turn) * x + math.cos(turn) * y,
            world_m[:, 2],
        ]
    )
