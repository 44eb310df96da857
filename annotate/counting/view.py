"""From which direction the camera sees the body, and when that changes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from annotate.review.model import ViewSpan
from pose.signals.filters import runs
from pose.signals.geometry import facing
from pose.signals.model import Signals

# Interval at which the direction is read; spans start and end on it.
STEP_S = 0.5
# A new view starts where the direction is off by this much for this long: a turn of the body or the
# camera, not the twist of one repetition at 15 a minute or faster (judgement, no source).
CHANGE_DEG = 35.0
CHANGE_S = 4.0


def view_spans(signals: Signals) -> tuple[ViewSpan, ...]:
    """Stretches of one view, in time order; none where no person is seen."""
    step = int(STEP_S * signals.rate_hz)
    yaw = signals.yaw_deg[::step]
    times = signals.times_s[::step]
    spans: list[ViewSpan] = []
    # Running sums, so that a long class is not summed again at every step.
    radians = np.nan_to_num(np.radians(yaw))
    across, along = (np.concatenate([[0.0], np.cumsum(f(radians))]) for f in (np.sin, np.cos))
    for a, b in runs(np.isfinite(yaw)):
        start = a
        i = a
        while i < b:
            here = math.degrees(
                math.atan2(across[i + 1] - across[start], along[i + 1] - along[start])
            )
            ahead = yaw[i : min(b, i + int(CHANGE_S / STEP_S))]
            turned = len(ahead) * STEP_S >= CHANGE_S and bool(
                (np.abs(_wrapped(ahead - here)) > CHANGE_DEG).all()
            )
            if turned:
                spans.append(_span(times[start], times[i], yaw[start:i]))
                start = i
            i += 1
        spans.append(_span(times[start], times[b - 1] + STEP_S, yaw[start:b]))
    return tuple(spans)


def circular_mean_deg(angles_deg: NDArray[np.float64]) -> float:
    """Mean direction of angles without NaN, -180 to 180 degrees."""
    radians = np.radians(angles_deg)
    return float(np.degrees(np.arctan2(np.sin(radians).mean(), np.cos(radians).mean())))


def _wrapped(angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    return (angle_deg + 180.0) % 360.0 - 180.0


def _span(start_s: float, end_s: float, yaw: NDArray[np.float64]) -> ViewSpan:
    mean = circular_mean_deg(yaw)
    return ViewSpan(
        start_s=round(float(start_s), 2),
        end_s=round(float(end_s), 2),
        yaw_deg=round(mean, 0),
        facing=facing(mean),
    )
