"""Back line of each repetition against the same person's own first repetitions.

What is compared is the arc of the trunk's outline over the lower part of the hip-to-shoulder
chord, on the back's side (:mod:`pose.back`). Absolute arcs differ by tens of degrees between
people, clothes and cameras and mean nothing; a change within one clip at the same trunk
inclination does. It is a hint to look, not an angle between bones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from annotate.reps import FoundRep
from annotate.review import Back, BackAssessed, BackNotAssessable
from pose.back import profile_arc_deg
from pose.filters import low_pass, resample
from pose.geometry import off_side_view_deg
from pose.signals import MAX_GAP_S, Signals
from pose.track import BACK_FRACTIONS, PoseTrack

Floats = NDArray[np.float64]

# Body-worn sensors detect a change of lumbar posture from 10-15 degrees upwards (Laird et al.
# 2016, BMC Musculoskelet Disord, 10.1186/s12891-016-1250-1); the upper end, because an outline
# sees less than a sensor.
ROUNDED_DEG = 15.0
# Measured on rendered figures: within 15 degrees of side view 30 degrees of rounding separate
# almost fully, at 30 they no longer do.
FURTHEST_OFF_SIDE_DEG = 30.0
# Below this inclination the outline is that of standing, and the arms hang over it.
LEAST_TRUNK_DEG = 30.0
# The very first repetition is still settling in; the next ones are the person's own measure.
BASELINE_SKIP = 1
BASELINE_REPS = 3
BASELINE_LEAST = 2
# A repetition that goes deeper than the baseline did by more than this cannot be matched.
MATCH_DEG = 12.0
# The outline changes with the trunk, slower than the limbs.
CUTOFF_HZ = 2.0

NO_OUTLINE = "the outline of the back could not be seen"
UPRIGHT = "the trunk was not inclined enough to judge the back"
FEW = "too few earlier repetitions to compare with"
DEEPER = "bent further than in the first repetitions, nothing to compare with"


@dataclass(frozen=True, eq=False)
class _Sample:
    trunk_deg: Floats
    arc_deg: Floats


def back_arc_deg(track: PoseTrack, signals: Signals) -> Floats:
    """Arc of the back's outline on the signals' grid, (m,) degrees; NaN where it is not seen."""
    arcs = np.stack(
        [profile_arc_deg(BACK_FRACTIONS, track.outline[:, side]) for side in (0, 1)], axis=1
    )
    if len(signals.times_s) == 0:
        return np.empty(0)
    # Facing the picture's left, the back lies to the right of the line from hips to shoulders,
    # and stays there when the trunk bends forward.
    at = np.clip(np.searchsorted(signals.times_s, track.times_s), 0, len(signals.times_s) - 1)
    dorsal = (np.sin(np.radians(signals.yaw_deg[at])) > 0).astype(int)
    arc = arcs[np.arange(len(track)), dorsal]
    # A single stray outline (an arm crossing the back) is no shape: median before the low-pass.
    known = np.isfinite(arc)
    steady = arc.copy()
    if known.any():
        steady[known] = median_filter(arc[known], size=5, mode="nearest")
    grid = resample(track.times_s, steady, signals.times_s, MAX_GAP_S)
    return low_pass(grid, signals.rate_hz, CUTOFF_HZ)


def judge_backs(
    arc_deg: Floats, signals: Signals, sets: Sequence[Sequence[FoundRep]]
) -> list[list[Back]]:
    """Judge every repetition of one movement against its first clean ones.

    Parameters
    ----------
    arc_deg : (m,) float64
        From :func:`back_arc_deg`.
    sets : sequence of sequences of FoundRep
        The periods of one movement, in time order.

    Returns
    -------
    list of lists, shaped like `sets`
    """
    flat = [rep for reps in sets for rep in reps]
    samples = [_samples(arc_deg, signals, rep) for rep in flat]
    clean = [
        s for rep, s in zip(flat, samples, strict=True) if isinstance(s, _Sample) and rep.complete
    ][BASELINE_SKIP : BASELINE_SKIP + BASELINE_REPS]
    changes: list[float | str] = []
    if len(clean) < BASELINE_LEAST:
        changes = [s if isinstance(s, str) else FEW for s in samples]
    else:
        slope, level = _baseline(clean)
        deepest = max(s.trunk_deg.max() for s in clean)
        for s in samples:
            if isinstance(s, str):
                changes.append(s)
            elif s.trunk_deg.max() > deepest + MATCH_DEG:
                changes.append(DEEPER)
            else:
                changes.append(float(np.median(s.arc_deg - (level + slope * s.trunk_deg))))
    verdicts = iter(_verdicts(changes))
    return [[next(verdicts) for _ in reps] for reps in sets]


def _baseline(clean: Sequence[_Sample]) -> tuple[float, float]:
    """Arc at a trunk inclination in the clean repetitions, as slope and level of a line.

    The slope comes from all samples around their own repetition's mean, the level is the middle
    one of the repetitions': one that already rounds does not shift it.
    """
    trunk = np.concatenate([s.trunk_deg - s.trunk_deg.mean() for s in clean])
    arc = np.concatenate([s.arc_deg - s.arc_deg.mean() for s in clean])
    slope = float((trunk @ arc) / max(float(trunk @ trunk), 1e-9))
    levels = [float((s.arc_deg - slope * s.trunk_deg).mean()) for s in clean]
    return slope, float(np.median(levels))


def _samples(arc_deg: Floats, signals: Signals, rep: FoundRep) -> _Sample | str:
    """Outline samples of the deep part of a repetition, or why there are none."""
    where = signals.slice(rep.start_s, rep.end_s + 1 / signals.rate_hz)
    yaw = signals.yaw_deg[where]
    trunk, arc = signals["trunk_deg"][where], arc_deg[where]
    if not np.isfinite(yaw).any():
        return NO_OUTLINE
    radians = np.radians(yaw[np.isfinite(yaw)])
    middle = float(np.degrees(np.arctan2(np.sin(radians).mean(), np.cos(radians).mean())))
    off = off_side_view_deg(middle)
    if off > FURTHEST_OFF_SIDE_DEG:
        return f"camera about {round(off, -1):.0f} degrees off side view: turn side-on to rehearse"
    seen = np.isfinite(trunk) & np.isfinite(arc)
    if not np.isfinite(trunk).any() or np.nanmax(trunk) < LEAST_TRUNK_DEG:
        return UPRIGHT
    deep = seen & (trunk >= max(LEAST_TRUNK_DEG, 0.75 * float(np.nanmax(trunk))))
    if deep.sum() < 3:
        return NO_OUTLINE
    return _Sample(trunk[deep], arc[deep])


def _verdicts(changes: Sequence[float | str]) -> list[Back]:
    """Rounded only if at least two of three neighbouring repetitions say so."""
    above = [not isinstance(c, str) and c > ROUNDED_DEG for c in changes]
    out: list[Back] = []
    for i, change in enumerate(changes):
        if isinstance(change, str):
            out.append(BackNotAssessable(reason=change))
            continue
        windows = [above[max(0, j) : j + 3] for j in (i - 2, i - 1, i)]
        out.append(
            BackAssessed(
                arc_change_deg=round(change, 1),
                rounded=above[i] and any(sum(w) >= 2 for w in windows),
            )
        )
    return out
