"""Measures of single repetitions: depth, trunk, knee."""

from __future__ import annotations

import numpy as np

from annotate.catalogue.model import Movement
from annotate.counting.count import FoundRep
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals

# The peak is a moment between samples; the middle value of this stretch is steadier.
AROUND_PEAK_S = 0.1
# From this close to side view on, the far leg is hidden behind the near one and only guessed.
FAR_LEG_HIDDEN_DEG = 40.0

# What the depth of a repetition is in words, by the signal that tells it, and its unit.
DEPTH_WORDS = {
    "knee_deg": ("depth (knee bend)", "deg"),
    "knee_diff_deg": ("depth (bend of the working knee)", "deg"),
    "trunk_deg": ("depth (trunk inclination)", "deg"),
    "elbow_deg": ("bend of the elbows", "deg"),
    "side_lean_deg": ("bend to the side", "deg"),
    "knee_lift": ("height of the knees", "trunk lengths"),
    "foot_lift_diff": ("height of the feet", "trunk lengths"),
    "stance_width": ("width of the feet", "trunk lengths"),
    "wrist_height": ("height of the hands", "trunk lengths"),
    "wrist_forward_diff": ("reach of the arms", "trunk lengths"),
    "travel": ("way to the side", "trunk lengths"),
}


def at_peak(signals: Signals, name: str, rep: FoundRep) -> float | None:
    """Median of a signal around the peak, or None where it was not seen."""
    where = signals.slice(rep.peak_s - AROUND_PEAK_S, rep.peak_s + AROUND_PEAK_S)
    values = signals[name][where]
    values = np.sort(values[np.isfinite(values)])
    n = len(values)
    # The median by hand: NumPy's own takes ten times as long on so few.
    return float(0.5 * (values[(n - 1) // 2] + values[n // 2])) if n else None


def trunk_deg(signals: Signals, rep: FoundRep) -> float | None:
    """Trunk inclination from vertical at the peak."""
    value = at_peak(signals, "trunk_deg", rep)
    return None if value is None else round(value, 1)


def knee_flexion_deg(signals: Signals, rep: FoundRep) -> float | None:
    """Bend of the more bent knee at the peak; in side view that of the near leg."""
    yaw = float(signals.yaw_deg[signals.index(rep.peak_s)])
    left = at_peak(signals, "knee_left_deg", rep)
    right = at_peak(signals, "knee_right_deg", rep)
    if left is None or right is None:
        return None
    if np.isfinite(yaw) and off_side_view_deg(yaw) < FAR_LEG_HIDDEN_DEG:
        return round(left if yaw > 0 else right, 1)
    return round(max(left, right), 1)


def depth(signals: Signals, movement: Movement, rep: FoundRep) -> float | None:
    """The movement's own measure of depth at the peak, without its sign."""
    if movement.depth is None:
        return None
    if movement.depth == "knee_deg":
        return knee_flexion_deg(signals, rep)
    value = at_peak(signals, movement.depth, rep)
    return None if value is None else round(abs(value), 2)
