"""How large the body is in the picture, and from that its depth and its steps to the camera."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.signals.filters import RATE_HZ, low_pass
from pose.signals.geometry import midpoint
from pose.signals.rolling import rolling_quantile

Floats = NDArray[np.float64]

# A whole repetition of a slow movement (10 a minute), so that standing straight is always in it,
# and short enough to follow somebody who comes nearer.
SCALE_WINDOW_S = 6.0
# A camera that shows the whole body stands about 4 m away: 8 trunk lengths. It sets the size of
# steps towards the camera, not their time.
TYPICAL_CAMERA_DISTANCE = 8.0
# The fastest exercise that goes to and fro, 100 hops to a side a minute, is 0.83 Hz; three times
# that keeps its shape and drops the scatter of the size from picture to picture.
NEAR_CUTOFF_HZ = 2.5
# Without metres the trunk is as long as it looks when it is nearly upright.
UPRIGHT_QUANTILE = 0.9


class Scale(NamedTuple):
    """Sizes of the body over time.

    Attributes
    ----------
    depth : (m, 33) float64
        Of each landmark from the middle of the hips, away from the camera, trunk lengths.
    trunk_px : (m,) float64
        Length of the trunk in the picture if it lay in the picture's plane; NaN where it has none.
    near : (m,) float64
        How near the body is to the camera, trunk lengths; only changes of it mean anything.
    """

    depth: Floats
    trunk_px: Floats
    near: Floats


def body_scale(shape_px: Floats, world_m: Floats) -> Scale:
    """Read the scale off the landmarks on the grid of the signals.

    Where the model gives metres, pixels per metre follow from the whole figure at once, so a
    trunk bent towards the camera does not look like a smaller person. Their short-term changes
    tell steps towards the camera and away from it.

    Parameters
    ----------
    shape_px : (m, 33, 2) float64
        Landmarks in the picture around the middle of the hips.
    world_m : (m, 33, 3) float64
        Landmarks in metres. Where they give no length of the trunk, depth is taken to be 0.
    """
    trunks_m = np.linalg.norm(midpoint(world_m, lm.SHOULDERS) - midpoint(world_m, lm.HIPS), axis=1)
    known_m = trunks_m[np.isfinite(trunks_m)]
    trunk_m = float(np.median(known_m)) if len(known_m) else 0.0
    if trunk_m > 0:
        flat = world_m[..., :2]
        per_metre = np.nansum(shape_px * flat, axis=(1, 2)) / np.maximum(
            np.nansum(flat * flat, axis=(1, 2)), 1e-12
        )
        per_metre[~np.isfinite(shape_px[:, lm.HIPS[0], 0])] = np.nan
        trunk_px = rolling_quantile(per_metre, RATE_HZ, SCALE_WINDOW_S) * trunk_m
        near = low_pass(np.log(np.maximum(per_metre, 1e-6)), RATE_HZ, NEAR_CUTOFF_HZ)
        return Scale(world_m[..., 2] / trunk_m, _positive(trunk_px), TYPICAL_CAMERA_DISTANCE * near)
    chord = np.linalg.norm(midpoint(shape_px, lm.SHOULDERS), axis=1)
    flat_px = rolling_quantile(chord, RATE_HZ, SCALE_WINDOW_S, UPRIGHT_QUANTILE)
    return Scale(np.zeros(shape_px.shape[:2]), _positive(flat_px), np.zeros(len(chord)))


def _positive(length: Floats) -> Floats:
    """Lengths above 0; NaN instead of the others, by which nothing can be scaled."""
    return np.where(length > 0, length, np.nan)
