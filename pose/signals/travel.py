"""Signals of the whole body's way: up, to the side, forward, nearer, against where it was."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pose.signals.filters import RATE_HZ
from pose.signals.rolling import rolling_quantile

Floats = NDArray[np.float64]

# "Around that time": a whole way to and fro of a slow movement (10 a minute).
AROUND_S = 6.0
# Ends of the way to and fro; the outermost twentieth on either side is noise.
NEAR_END, FAR_END = 0.05, 0.95
# Within 20 degrees of a side view a step to the side shows a third of its length across the
# picture (sin 20), less than the change of size from coming nearer does.
SIDE_VIEW_AXIS = math.sin(math.radians(20.0))


def travel_signals(
    hips_px: Floats, trunk_px: Floats, near: Floats, axis: Floats
) -> dict[str, Floats]:
    """Signals of travel by name.

    Steps to the person's side are seen in the picture, or from the side as coming nearer.

    Parameters
    ----------
    hips_px : (m, 2) float64
        Middle of the hips in the picture.
    trunk_px, near : (m,) float64
        See :class:`pose.signals.scale.Scale`.
    axis : (m, 2) float64
        Person's right-to-left direction as (x, z), see :mod:`pose.signals.view`.
    """
    usual = rolling_quantile(hips_px[:, 1], RATE_HZ, AROUND_S)
    across = _off_middle(hips_px[:, 0]) / trunk_px
    nearer = _off_middle(near)
    to_left = np.where(np.isfinite(axis), axis, [1.0, 0.0])
    place = _centred(hips_px[:, 0]) / trunk_px
    return {
        "rise": -(hips_px[:, 1] - usual) / trunk_px,
        "near": nearer,
        # Forward on the floor; the person's front lies a quarter turn from the left.
        "advance": across * to_left[:, 1] + nearer * to_left[:, 0],
        "travel": _to_the_left(across, nearer, axis),
        "place": _to_the_left(place, _centred(near), axis),
    }


def _centred(x: Floats) -> Floats:
    known = x[np.isfinite(x)]
    return x - np.median(known) if len(known) else x


def _to_the_left(across: Floats, nearer: Floats, axis: Floats) -> Floats:
    """Way to the person's left, from the ways across the picture and towards the camera."""
    seen = ~(np.abs(axis[:, 0]) < SIDE_VIEW_AXIS)
    return np.where(
        seen,
        across * np.where(axis[:, 0] < 0, -1.0, 1.0),
        nearer * np.where(axis[:, 1] < 0, 1.0, -1.0),
    )


def _off_middle(x: Floats) -> Floats:
    """Way from the middle between the ends: who goes to and fro is mostly at either end."""
    return x - 0.5 * (_steady_ends(x, NEAR_END) + _steady_ends(x, FAR_END))


def _steady_ends(x: Floats, quantile: float) -> Floats:
    """Rolling quantile whose window keeps its length at the start and the end of the clip."""
    out = rolling_quantile(x, RATE_HZ, AROUND_S, quantile).copy()
    half = min(int(0.5 * AROUND_S * RATE_HZ), len(x) // 2)
    if half:
        out[:half], out[-half:] = out[half], out[-half - 1]
    return out
