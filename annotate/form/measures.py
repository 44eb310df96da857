"""Measures of single repetitions: depth, trunk, knee."""

from __future__ import annotations

import numpy as np

from annotate.catalogue.model import Movement
from annotate.counting.count import FoundRep
from annotate.counting.seen import why_unsure
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals
from pose.signals.names import LEGS, SIGNALS, TRUNK

# Before and after the peak: the median of this stretch is steadier than the sample at the peak.
AROUND_PEAK_S = 0.1
# Within this angle of a side view the near leg hides the far one, whose landmarks are estimates of
# the model only (judgement, no source).
MAX_HIDDEN_LEG_DEG = 40.0

# By the signal that is the movement's depth: what it is in words, and its unit.
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
    "travel": ("distance to the side", "trunk lengths"),
}


def at_peak(signals: Signals, name: str, rep: FoundRep) -> float | None:
    """Median of a signal around the peak, in the signal's unit; None where it was not seen."""
    where = signals.slice(rep.peak_s - AROUND_PEAK_S, rep.peak_s + AROUND_PEAK_S)
    values = signals[name][where]
    values = np.sort(values[np.isfinite(values)])
    n = len(values)
    # The median by hand: that of NumPy takes ten times as long on so few values.
    return float(0.5 * (values[(n - 1) // 2] + values[n // 2])) if n else None


def why_not_measured(signals: Signals, movement: Movement | None, rep: FoundRep) -> str | None:
    """Why the depth, or the bend of the knee, of a repetition cannot be measured."""
    parts = LEGS
    if movement is not None and movement.depth is not None:
        parts = parts | SIGNALS[movement.depth].needs
    return why_unsure(signals, parts, rep.peak_s - AROUND_PEAK_S, rep.peak_s + AROUND_PEAK_S)


def why_trunk_unsure(signals: Signals, rep: FoundRep) -> str | None:
    """Why nothing can be measured on the trunk of a repetition."""
    return why_unsure(signals, TRUNK, rep.start_s, rep.end_s)


def trunk_deg(signals: Signals, rep: FoundRep) -> float | None:
    """Trunk inclination from vertical at the peak, in degrees; None where it was not seen."""
    if why_trunk_unsure(signals, rep) is not None:
        return None
    value = at_peak(signals, "trunk_deg", rep)
    return None if value is None else round(value, 1)


def knee_flexion_deg(signals: Signals, rep: FoundRep) -> float | None:
    """Bend in degrees of the more bent knee at the peak, in side view of the near one.

    None where it was not seen.
    """
    if not _sure_at_peak(signals, "knee_deg", rep):
        return None
    yaw = float(signals.yaw_deg[signals.index(rep.peak_s)])
    left = at_peak(signals, "knee_left_deg", rep)
    right = at_peak(signals, "knee_right_deg", rep)
    if left is None or right is None:
        return None
    if np.isfinite(yaw) and off_side_view_deg(yaw) < MAX_HIDDEN_LEG_DEG:
        return round(left if yaw > 0 else right, 1)
    return round(max(left, right), 1)


def depth(signals: Signals, movement: Movement, rep: FoundRep) -> float | None:
    """Depth at the peak, without sign, in the unit of the movement's depth signal.

    None where the movement has no depth signal, or it was not seen.
    """
    if movement.depth is None:
        return None
    if movement.depth == "knee_deg":
        return knee_flexion_deg(signals, rep)
    if not _sure_at_peak(signals, movement.depth, rep):
        return None
    value = at_peak(signals, movement.depth, rep)
    return None if value is None else round(abs(value), 2)


def size(signals: Signals, signal: str | None, rep: FoundRep) -> float | None:
    """Size of an unknown movement's repetition, in the unit of the signal it was counted on."""
    if signal is not None and not _sure_at_peak(signals, signal, rep):
        return None
    return round(rep.size, 2)


def _sure_at_peak(signals: Signals, name: str, rep: FoundRep) -> bool:
    needs = SIGNALS[name].needs
    around = (rep.peak_s - AROUND_PEAK_S, rep.peak_s + AROUND_PEAK_S)
    return why_unsure(signals, needs, *around) is None
