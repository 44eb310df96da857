"""Back line of each repetition against the same person's own first repetitions.

What is compared is the arc of the trunk's outline (:mod:`annotate.back_arc`) at matched posture:
at the same trunk inclination and the same bend of the hips, because the outline changes with
both. Absolute arcs differ by tens of degrees between people, clothes and cameras and mean
nothing; a change within one clip does. It is a hint to look, not an angle between bones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.back_arc import BackArc
from annotate.reps import FoundRep
from annotate.review import Back, BackAssessed, BackNotAssessable
from annotate.view import circular_mean_deg
from pose.geometry import off_side_view_deg
from pose.signals import Signals

Floats = NDArray[np.float64]

# Body-worn sensors detect a change of lumbar posture from 10-15 degrees upwards (Laird et al.
# 2016, BMC Musculoskelet Disord, 10.1186/s12891-016-1250-1); the upper end, because an outline
# sees less than a sensor.
ROUNDED_DEG = 15.0
FURTHEST_OFF_SIDE_DEG = 30.0
# Below this inclination the outline is that of standing, and the arms hang over it.
LEAST_TRUNK_DEG = 30.0
# Of a repetition, the samples with at least this share of its largest inclination.
DEEP_SHARE = 0.75
LEAST_SAMPLES = 3
# The very first repetition is still settling in; the next ones are the person's own measure.
BASELINE_SKIP = 1
BASELINE_REPS = 3
BASELINE_LEAST = 2
# Postures this far apart are no longer alike (standard deviation of the weight).
ALIKE_TRUNK_DEG = 6.0
ALIKE_HIP_DEG = 15.0
# Least sum of weights: a sample is compared when at least this much of a sample was like it.
LEAST_ALIKE = 0.3
# Against true flexion the change is off by about this much (standard deviation, measured on
# rendered figures within 15 degrees of side view, develop half).
OWN_ERROR_DEG = 6.0

NO_OUTLINE = "the outline of the back could not be seen"
ARM = "an arm covered the back"
UPRIGHT = "the trunk was not inclined enough to judge the back"
FEW = "too few earlier repetitions to compare with"
UNLIKE = "bent otherwise than in the first repetitions, nothing to compare with"

OWN = "own first repetitions"
EARLIEST = "earliest bent-over repetitions of the clip"


@dataclass(frozen=True, eq=False)
class _Sample:
    """Posture and arc in the deep part of a repetition, (k,) each."""

    trunk_deg: Floats
    hip_deg: Floats
    arc_deg: Floats


def judge_backs(
    arc: BackArc,
    signals: Signals,
    sets: Sequence[Sequence[FoundRep]],
    others: Sequence[FoundRep] = (),
) -> list[list[Back]]:
    """Judge every repetition of one movement against its first clean ones.

    Parameters
    ----------
    arc : BackArc
    sets : sequence of sequences of FoundRep
        The periods of one movement, in time order.
    others : sequence of FoundRep
        All bent-over repetitions of the clip in time order: their first clean ones stand in
        where the movement has too few of its own.

    Returns
    -------
    list of lists, shaped like `sets`
    """
    flat = [rep for reps in sets for rep in reps]
    samples = [_samples(arc, signals, rep) for rep in flat]
    against, clean = OWN, _baseline(flat, samples)
    if len(clean) < BASELINE_LEAST:
        against = EARLIEST
        clean = _baseline(others, [_samples(arc, signals, rep) for rep in others])
    changes: list[tuple[float, float] | str] = []
    for s in samples:
        if isinstance(s, str):
            changes.append(s)
        elif len(clean) < BASELINE_LEAST:
            changes.append(FEW)
        else:
            changes.append(_change(s, clean))
    verdicts = iter(_verdicts(changes, against))
    return [[next(verdicts) for _ in reps] for reps in sets]


def two_of_three(shows: Sequence[bool]) -> list[bool]:
    """Keep what shows in at least two of three neighbouring repetitions."""
    return [
        here and any(sum(shows[max(0, j) : j + 3]) >= 2 for j in (i - 2, i - 1, i))
        for i, here in enumerate(shows)
    ]


def _baseline(reps: Sequence[FoundRep], samples: Sequence[_Sample | str]) -> list[_Sample]:
    clean = [
        s for rep, s in zip(reps, samples, strict=True) if isinstance(s, _Sample) and rep.complete
    ]
    return clean[BASELINE_SKIP : BASELINE_SKIP + BASELINE_REPS]


def _change(rep: _Sample, clean: Sequence[_Sample]) -> tuple[float, float] | str:
    """Change of arc against the middle one of the clean repetitions, and its uncertainty.

    The middle one: a clean repetition that already rounds does not shift it.
    """
    changes = []
    for base in clean:
        apart = ((rep.trunk_deg[:, None] - base.trunk_deg) / ALIKE_TRUNK_DEG) ** 2 + (
            (rep.hip_deg[:, None] - base.hip_deg) / ALIKE_HIP_DEG
        ) ** 2
        weight = np.exp(-0.5 * apart)
        total = weight.sum(axis=1)
        alike = total >= LEAST_ALIKE
        if alike.sum() >= LEAST_SAMPLES:
            expected = (weight @ base.arc_deg)[alike] / total[alike]
            changes.append(float(np.median(rep.arc_deg[alike] - expected)))
    if len(changes) < min(BASELINE_LEAST, len(clean)):
        return UNLIKE
    spread = float(np.std(changes, ddof=1)) if len(changes) > 1 else 0.0
    return float(np.median(changes)), float(np.hypot(OWN_ERROR_DEG, spread))


def _samples(arc: BackArc, signals: Signals, rep: FoundRep) -> _Sample | str:
    """Outline samples of the deep part of a repetition, or why there are none."""
    where = signals.slice(rep.start_s, rep.end_s + 1 / signals.rate_hz)
    yaw = signals.yaw_deg[where]
    trunk, hip, bend = signals["trunk_deg"][where], signals["hip_deg"][where], arc.arc_deg[where]
    if not np.isfinite(yaw).any():
        return NO_OUTLINE
    off = off_side_view_deg(circular_mean_deg(yaw[np.isfinite(yaw)]))
    if off > FURTHEST_OFF_SIDE_DEG:
        return f"camera about {round(off, -1):.0f} degrees off side view: turn side-on to rehearse"
    if not np.isfinite(trunk).any() or np.nanmax(trunk) < LEAST_TRUNK_DEG:
        return UPRIGHT
    deep = trunk >= max(LEAST_TRUNK_DEG, DEEP_SHARE * float(np.nanmax(trunk)))
    seen = deep & np.isfinite(hip) & np.isfinite(bend)
    if seen.sum() < LEAST_SAMPLES:
        return ARM if arc.arm_over[where][deep].mean() > 0.5 else NO_OUTLINE
    return _Sample(trunk[seen], hip[seen], bend[seen])


def _verdicts(changes: Sequence[tuple[float, float] | str], against: str) -> list[Back]:
    """Rounded only if a neighbouring repetition is, too."""
    rounded = two_of_three([not isinstance(c, str) and c[0] > ROUNDED_DEG for c in changes])
    out: list[Back] = []
    for change, shows in zip(changes, rounded, strict=True):
        if isinstance(change, str):
            out.append(BackNotAssessable(reason=change))
            continue
        out.append(
            BackAssessed(
                arc_change_deg=round(change[0], 1),
                uncertainty_deg=round(change[1], 1),
                compared_with=against,
                rounded=shows,
            )
        )
    return out
