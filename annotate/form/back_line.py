"""Back line of each repetition compared with the same person's own first repetitions.

The arc of the trunk's outline (:mod:`annotate.form.back_arc`) is compared at matched posture: at
the same trunk inclination and hip bend, because the outline changes with both. Absolute arcs differ
by tens of degrees between people, clothes and cameras and are not used; a change within one clip is
meaningful. It is a hint to look, not an angle between bones.

Constants without a source are judgement, kept because the accuracy of the back line was measured
with them (docs/measurements.md).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from annotate.counting.count import FoundRep
from annotate.counting.view import circular_mean_deg
from annotate.form.back_arc import BackArc
from annotate.form.baseline import BASELINE_LEAST, Baseline, choose_baseline
from annotate.review.model import Back, BackAssessed, BackNotAssessable
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals

Floats = NDArray[np.float64]

# Body-worn sensors detect a change of lumbar posture from 10-15 degrees upwards (Laird et al.
# 2016, BMC Musculoskelet Disord, 10.1186/s12891-016-1250-1); the upper end, because an outline
# sees less than a sensor.
ROUNDED_DEG = 15.0
# Good within 15 degrees, poor at 30, and the direction that the model gives is off by up to 10
# (measured, docs/measurements.md): the limit lies between.
FURTHEST_OFF_SIDE_DEG = 25.0
# The published edge of "upright" (RULA, REBA). Below this inclination the outline is that of a
# standing person, and the arms hang in front of it.
LEAST_TRUNK_DEG = 20.0
# Samples with at least this fraction of the repetition's largest inclination are judged.
DEEP_SHARE = 0.6
# The median of three samples survives one stray outline.
LEAST_SAMPLES = 3
# The back has to be rounder for this long; the bottom of a quick repetition lasts little longer.
# Measured: the roundest 0.4 s tell more than the middle of the bottom (docs/measurements.md).
HELD_S = 0.4
# Of that time the back has to be seen for at least this fraction.
HELD_SEEN = 0.7
# With the hips bent further than this, the seat forms the lower end of the outline and the thighs
# push from below: deep squats and taps reach 153, the crouch of a squat thrust 157 to 171
# (rendered).
FOLDED_HIP_DEG = 155.0
# More than this fraction of the samples has to be beyond that angle: one stray sample is ignored.
FOLDED_SHARE = 0.05
# How alike two postures are: standard deviations of the Gaussian weight.
ALIKE_TRUNK_DEG = 6.0
ALIKE_HIP_DEG = 15.0
# Smallest sum of weights with which a sample is compared; one sample in the same posture weighs 1.
LEAST_ALIKE = 0.3
# Smallest fraction of a repetition's samples that must be comparable: half of them.
LEAST_LIKE_SHARE = 0.5
# Standard deviation of the change against the true flexion (measured on rendered figures within 15
# degrees of side view, develop half).
OWN_ERROR_DEG = 8.0

NO_OUTLINE = "the outline of the back could not be seen"
FOLDED = "crouched too low: seat and thighs shape the outline"
ARM = "an arm covered the back"
UPRIGHT = "the trunk was not inclined enough to judge the back"
FEW = "too few earlier repetitions to compare with"
UNLIKE = "bent differently from the first repetitions: nothing to compare with"


@dataclass(frozen=True)
class _Change:
    deg: float
    uncertainty_deg: float
    at_s: float


@dataclass(frozen=True, eq=False)
class _Bent:
    """Posture and arc of a repetition on the time grid of the signals, (k,) each.

    The arc is NaN where the trunk is not inclined far enough or the back is not seen.
    """

    times_s: Floats
    trunk_deg: Floats
    hip_deg: Floats
    arc_deg: Floats


class JudgedBacks(NamedTuple):
    """The back line of every repetition of one movement, and the baseline repetitions."""

    backs: list[list[Back]]
    baseline: tuple[FoundRep, ...]


def judge_backs(
    arc: BackArc,
    signals: Signals,
    sets: Sequence[Sequence[FoundRep]],
    others: Sequence[FoundRep] = (),
) -> JudgedBacks:
    """Judge every repetition of one movement against its first clean ones.

    Parameters
    ----------
    arc : BackArc
        Over the whole clip, on the time grid of `signals`.
    signals : Signals
    sets : sequence of sequences of FoundRep
        The repetitions of each period of one movement, in time order.
    others : sequence of FoundRep
        All bent-over repetitions of the clip in time order. Their first clean ones are the baseline
        where the movement has too few of its own.

    Returns
    -------
    JudgedBacks
        The verdicts, nested as `sets` are, and the baseline in time order, empty where too few
        repetitions were clean.
    """
    flat = [rep for reps in sets for rep in reps]
    samples = _all_alike([_bent(arc, signals, rep) for rep in flat])
    held = round(HELD_S * signals.rate_hz)
    baseline: Baseline[_Bent] = choose_baseline(
        flat, samples, others, lambda rep: _bent(arc, signals, rep)
    )
    changes: list[_Change | str] = []
    for s in samples:
        if isinstance(s, str):
            changes.append(s)
        elif not baseline.reps:
            changes.append(FEW)
        else:
            changes.append(_change(s, baseline.samples, held))
    verdicts = iter(_verdicts(changes, baseline.compared_with))
    return JudgedBacks([[next(verdicts) for _ in reps] for reps in sets], baseline.reps)


def two_of_three(shows: Sequence[bool]) -> list[bool]:
    """Keep what is true in at least two of three neighbouring repetitions, itself included."""
    return [
        here and any(sum(shows[max(0, j) : j + 3]) >= 2 for j in (i - 2, i - 1, i))
        for i, here in enumerate(shows)
    ]


def _all_alike(samples: Sequence[_Bent | str]) -> list[_Bent | str]:
    """If at least half of the repetitions crouch, all do: landmarks miss some of them."""
    crouched = sum(s == FOLDED for s in samples if isinstance(s, str))
    if 2 * crouched < len(samples):
        return list(samples)
    return [s if isinstance(s, str) else FOLDED for s in samples]


def _change(rep: _Bent, clean: Sequence[_Bent], held: int) -> _Change | str:
    """Change of arc against the median of the clean repetitions, and its uncertainty.

    With the median, one clean repetition that is already round does not shift the result. The
    change is the median over the roundest stretch of `held` samples.
    """
    against = np.stack([rep.arc_deg - _expected(rep, base) for base in clean])
    enough = max(LEAST_SAMPLES, LEAST_LIKE_SHARE * np.isfinite(rep.arc_deg).sum())
    compared = against[np.isfinite(against).sum(axis=1) >= enough]
    if len(compared) < BASELINE_LEAST:
        return UNLIKE
    change, middle = _roundest(_median(compared), held)
    spread = float(np.std([_roundest(row, held)[0] for row in compared], ddof=1))
    return _Change(change, float(np.hypot(OWN_ERROR_DEG, spread)), float(rep.times_s[middle]))


def _expected(rep: _Bent, base: _Bent) -> Floats:
    """Arc of a clean repetition in the postures of another one; NaN where it had none alike."""
    known = np.isfinite(base.arc_deg)
    apart = ((rep.trunk_deg[:, None] - base.trunk_deg[known]) / ALIKE_TRUNK_DEG) ** 2 + (
        (rep.hip_deg[:, None] - base.hip_deg[known]) / ALIKE_HIP_DEG
    ) ** 2
    weight = np.nan_to_num(np.exp(-0.5 * apart))
    total = weight.sum(axis=1)
    alike = total >= LEAST_ALIKE
    return np.where(alike, weight @ base.arc_deg[known] / np.where(alike, total, 1.0), np.nan)


def _median(rows: Floats) -> Floats:
    """Median of each column, ignoring NaN; NaN where all values are."""
    # By hand: those of NumPy and pandas take ten times as long on so few values.
    ordered = np.sort(rows, axis=0)  # NaN last
    known = np.maximum(np.isfinite(rows).sum(axis=0), 1)
    low, high = ((ordered[at, np.arange(rows.shape[1])]) for at in ((known - 1) // 2, known // 2))
    middle: Floats = 0.5 * (low + high)
    return middle


def _roundest(change_deg: Floats, held: int) -> tuple[float, int]:
    """Largest median over a stretch of `held` samples, and the index of its middle.

    Where no stretch is seen for long enough: the median of all, and the middle sample.
    """
    known = np.flatnonzero(np.isfinite(change_deg))
    before = np.concatenate([np.full(held - 1, np.nan), change_deg])
    stretches = sliding_window_view(before, held).T
    medians = _median(stretches)
    medians[np.isfinite(stretches).sum(axis=0) < HELD_SEEN * held] = np.nan
    if np.isfinite(medians).any():
        last = int(np.nanargmax(medians))
        within = known[(known > last - held) & (known <= last)]
        return float(medians[last]), int(within[len(within) // 2])
    return float(np.median(change_deg[known])), int(known[len(known) // 2])


def _bent(arc: BackArc, signals: Signals, rep: FoundRep) -> _Bent | str:
    """The bent-over part of a repetition, or why its back cannot be judged."""
    where = signals.slice(rep.start_s, rep.end_s + 1 / signals.rate_hz)
    yaw = signals.yaw_deg[where]
    trunk, hip = signals["trunk_deg"][where], signals["hip_deg"][where]
    if not np.isfinite(yaw).any():
        return NO_OUTLINE
    off = off_side_view_deg(circular_mean_deg(yaw[np.isfinite(yaw)]))
    if off > FURTHEST_OFF_SIDE_DEG:
        return f"camera about {round(off, -1):.0f} degrees off side view: turn side-on to rehearse"
    if not np.isfinite(trunk).any() or np.nanmax(trunk) < LEAST_TRUNK_DEG:
        return UPRIGHT
    deep = trunk >= max(LEAST_TRUNK_DEG, DEEP_SHARE * float(np.nanmax(trunk)))
    if (hip[deep] > FOLDED_HIP_DEG).mean() > FOLDED_SHARE:
        return FOLDED
    bend = np.where(deep & np.isfinite(hip), arc.arc_deg[where], np.nan)
    if np.isfinite(bend).sum() < LEAST_SAMPLES:
        return ARM if arc.arm_over[where][deep].mean() > 0.5 else NO_OUTLINE
    return _Bent(signals.times_s[where], trunk, hip, bend)


def _verdicts(changes: Sequence[_Change | str], against: str) -> list[Back]:
    """The result of each repetition: rounded only if a close neighbour is rounded, too."""
    rounded = two_of_three([not isinstance(c, str) and c.deg > ROUNDED_DEG for c in changes])
    out: list[Back] = []
    for change, shows in zip(changes, rounded, strict=True):
        if isinstance(change, str):
            out.append(BackNotAssessable(reason=change))
            continue
        out.append(
            BackAssessed(
                arc_change_deg=round(change.deg, 1),
                uncertainty_deg=round(change.uncertainty_deg, 1),
                at_s=round(change.at_s, 3),
                compared_with=against,
                rounded=shows,
            )
        )
    return out
