"""Which way the body faces the camera, smoothed over time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pose.signals.geometry import left_axis, unit_vectors
from pose.signals.rolling import rolling_quantile

Floats = NDArray[np.float64]

# The body turns slowly against the noise of the model's depth.
VIEW_WINDOW_S = 2.0


def steady_left_axis(world_m: Floats, rate_hz: float) -> Floats:
    """Person's right-to-left direction over time, (n, 33, 3) -> (n, 2) as (x, z), length 1.

    Smoothed as a vector, so that the angle may run past 180 degrees.
    """
    return unit_vectors(rolling_quantile(left_axis(world_m), rate_hz, VIEW_WINDOW_S))
