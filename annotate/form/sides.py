"""Left against right in an alternating movement."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.stats import mannwhitneyu

from annotate.counting.count import FoundRep
from annotate.review.model import Rep, Watched
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals

# Nearer to side view than this one leg hides the other, and its depth is guessed.
LEAST_OFF_SIDE_DEG = 45.0
LEAST_REPS = 3
# Chance alone reorders two rows of values this thoroughly in one of a hundred sets.
SURE_P = 0.01
# Smallest difference worth a sentence: absolute, and as a share of the level.
LEAST = {"deg": (8.0, 0.1), "trunk lengths": (0.08, 0.1)}

HIDDEN = "from the side one leg hides the other: turn to the camera to rehearse"
FEW = "too few repetitions of each side"


def left_right(
    signals: Signals, unit: str, reps: Sequence[FoundRep], depths: Sequence[float | None]
) -> Watched | None:
    """Middle depth of the left repetitions minus the right ones'; None for two-sided movements."""
    if not any(r.side != "both" for r in reps):
        return None
    yaw = [float(signals.yaw_deg[signals.index(r.peak_s)]) for r in reps]
    off = [off_side_view_deg(y) for y in yaw if np.isfinite(y)]
    left, right = (_depths(reps, depths, side) for side in ("left", "right"))
    reason = None
    if not off:
        reason = "it could not be seen"
    elif np.median(off) < LEAST_OFF_SIDE_DEG:
        reason = HIDDEN
    elif min(len(left), len(right)) < LEAST_REPS:
        reason = FEW
    if reason is not None:
        return Watched(point="left-right", unit=unit, reason=reason)
    value = round(float(np.median(left) - np.median(right)), 1 if unit == "deg" else 2)
    return Watched(point="left-right", unit=unit, value=value)


def sides_differ(reps: Sequence[Rep], unit: str) -> bool:
    """True when the sides' depths differ by enough, and surely (Mann-Whitney U, two-sided)."""
    depths = [r.depth for r in reps]
    left, right = (_depths(reps, depths, side) for side in ("left", "right"))
    if min(len(left), len(right)) < LEAST_REPS:
        return False
    absolute, share = LEAST[unit]
    difference = abs(float(np.median(left) - np.median(right)))
    if difference < max(absolute, share * abs(float(np.median([*left, *right])))):
        return False
    return float(mannwhitneyu(left, right).pvalue) <= SURE_P


def _depths(
    reps: Sequence[FoundRep | Rep], depths: Sequence[float | None], side: str
) -> list[float]:
    sides = [r.side for r in reps]
    return [d for s, d in zip(sides, depths, strict=True) if s == side and d is not None]
