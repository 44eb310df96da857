"""Signals of the feet against the floor and against their usual place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.signals.filters import RATE_HZ
from pose.signals.rolling import rolling_quantile

Floats = NDArray[np.float64]

# The nearer foot stands lower in the picture, so each foot has a floor of its own: where it mostly
# is. The window holds a whole repetition of a slow movement (10 a minute).
FLOOR_WINDOW_S = 6.0
# Of that time a foot stands on its floor for at least a fifth.
ON_FLOOR_FRACTION = 0.2
# Twice the flight of a jump of 44 cm, 0.6 s (height = g t^2 / 8): no flight fills this window.
FLIGHT_WINDOW_S = 1.2
# In the air the legs hang: the hips are this much of their standing height above the feet. Lower
# hips crouch with the hands down. Set by hand on the figures.
UPRIGHT_FRACTION = 0.6
# Standing height: what the hips reach a tenth of the time.
STANDING_QUANTILE = 0.9


def foot_signals(
    body: Floats, xy_px: Floats, trunk_px: Floats, hip_height: Floats, stance_length: Floats
) -> dict[str, Floats]:
    """Signals of the feet by name.

    Parameters
    ----------
    body : (m, 33, 3) float64
        Landmarks around the middle of the hips, trunk lengths.
    xy_px : (m, 33, 2) float64
        Landmarks in the picture.
    trunk_px, hip_height, stance_length : (m,) float64
        Length of the trunk in the picture; the signals of these names.
    """
    ankle_up = -body[:, list(lm.ANKLES), 1]
    lifted = ankle_up - rolling_quantile(ankle_up, RATE_HZ, FLOOR_WINDOW_S, ON_FLOOR_FRACTION)
    feet = xy_px[:, list(lm.ANKLES)] / trunk_px[:, None, None]
    # Toes leave the floor last; where they are not given, ankles stand for them.
    toes = xy_px[:, list(lm.TOES), 1] / trunk_px[:, None]
    toes = np.where(np.isfinite(toes), toes, feet[..., 1])
    # A step to another place moves the floor, and a flight is over before the short window is.
    # The picture's y runs down: the floor is where y is large.
    floor = np.minimum(
        rolling_quantile(toes, RATE_HZ, FLOOR_WINDOW_S, 1 - ON_FLOOR_FRACTION),
        rolling_quantile(toes, RATE_HZ, FLIGHT_WINDOW_S, 1 - ON_FLOOR_FRACTION),
    )
    above = floor - toes
    # With the hands down the feet go to another part of the floor, which is no flight.
    standing = rolling_quantile(hip_height, RATE_HZ, FLOOR_WINDOW_S, STANDING_QUANTILE)
    upright = hip_height > UPRIGHT_FRACTION * standing
    away = np.linalg.norm(feet - rolling_quantile(feet, RATE_HZ, FLOOR_WINDOW_S), axis=2)
    return {
        "foot_lift": np.abs(lifted[:, 0] - lifted[:, 1]),
        "foot_lift_diff": lifted[:, 0] - lifted[:, 1],
        "air": np.where(upright | ~np.isfinite(hip_height), above.min(axis=1), 0.0),
        "front_step": (away[:, 0] - away[:, 1]) * np.where(stance_length < 0, -1.0, 1.0),
    }
