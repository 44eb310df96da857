"""Left against right in an alternating movement."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.stats import mannwhitneyu

from annotate.counting.count import FoundRep
from annotate.review.model import Rep, Watched
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals

# Closer to a side view than this, one leg hides the other, whose landmarks are estimates of the
# model only (judgement, no source).
LEAST_OFF_SIDE_DEG = 45.0
# The median of three repetitions survives one odd one.
LEAST_REPS = 3
# By chance alone, two equal sides differ this clearly in one of a hundred sets. Reached with five
# repetitions of each side at least (p 0.008 when all of one side are deeper).
SURE_P = 0.01
# Smallest difference that is reported: absolute, and as a fraction of the level (judgement, no
# source).
LEAST = {"deg": (8.0, 0.1), "trunk lengths": (0.08, 0.1)}

HIDDEN = "from the side one leg hides the other: turn to the camera to rehearse"
FEW = "too few repetitions of each side"


def left_right(
    signals: Signals, unit: str, reps: Sequence[FoundRep], depths: Sequence[float | None]
) -> Watched | None:
    """Median depth of the left repetitions minus that of the right ones, as a watched point.

    Parameters
    ----------
    signals : Signals
    unit : str
        Unit of the depths, "deg" or "trunk lengths".
    reps : sequence of FoundRep
    depths : sequence, as long as `reps`
        Depth of each, or None.

    Returns
    -------
    Watched or None
        None where no repetition has a side; without a value, and with a reason, where the sides
        cannot be compared.
    """
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
    """Whether the depths of the sides differ enough, and surely (Mann-Whitney U, two-sided)."""
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
