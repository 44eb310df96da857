"""The evidence about each stretch of a clip: still or moving, which movement, how hard.

It is gathered once, here; the alignment, the labels and the comparison read it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.counting.recognise import (
    MIN_LIKENESS,
    Behaviour,
    Recognised,
    behaviour,
    likeness,
    recognise,
)
from annotate.counting.seen import BODY, parts_of, why_unseen
from annotate.counting.unknown import count_unknown
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.run_costs import FitMeasures
from annotate.periods.segment import Segment, speed
from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Period
from pose.signals.model import Signals
from pose.signals.names import ARMS

# How hard the catalogue's classes are, on the scale of `Activity.effort`. Moderate is above one
# half, so that a moderate movement that is not in the plan counts as work (label.py).
CLASS_EFFORT = {"easy": 0.0, "moderate": 0.6, "hard": 1.0}
# Standing about: upright, and the swing of legs and trunk below these limits (trunk lengths,
# degrees). Speed cannot separate it: noise and talking hands are as fast as a slow exercise. The
# limits are judgements; with them no water break of the seeded classes was missed
# (docs/measurements.md).
MAX_STANDING_SWING = {
    "hip_height": 0.15,
    "knee_lift_diff": 0.25,
    "foot_lift_diff": 0.25,
    "trunk_deg": 14.0,
    "side_lean_deg": 12.0,
}
MAX_STANDING_TRUNK_DEG = 25.0


@dataclass(frozen=True, eq=False)
class Activity:
    """A stretch of one activity and the evidence about it.

    Attributes
    ----------
    start_s, end_s : float
        Seconds from the first picture.
    absent, still : bool
        Nobody in the picture, or too little of the body; standing about.
    unseen : str or None
        Why too little of the body is seen to say what is done. It is not absent if the arms are
        seen: a movement of the arms may be counted where the plan asks for one.
    named : Recognised
        The movement's name and how sure it is.
    effort : float or None
        Speed of the limbs within the range of this clip, 0 to 1; None when absent.
    seen : Behaviour or None
        Levels and swings of the signals; None when absent.
    start_clear, end_clear : float
        How clearly the activity changes there, 0 to 1.
    likely : tuple of str
        Movements this may be, also when none is sure enough to be named.
    by_hand : Period or None
        The corrected period with what was set by hand; None where nothing was.
    """

    start_s: float
    end_s: float
    absent: bool
    still: bool
    named: Recognised
    effort: float | None
    seen: Behaviour | None
    start_clear: float = 1.0
    end_clear: float = 1.0
    likely: tuple[str, ...] = ()
    by_hand: Period | None = None
    unseen: str | None = None

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.end_s - self.start_s

    @property
    def idle(self) -> bool:
        """Whether nobody exercises: absent or standing about."""
        return self.absent or self.still

    @property
    def hardness(self) -> float:
        """How hard it is, 0 to 1: by the movements it may be, otherwise by the effort."""
        classes = [CLASS_EFFORT[catalogue()[m].intensity] for m in self.likely if m in catalogue()]
        if classes:
            return sum(classes) / len(classes)
        return 0.5 if self.effort is None else self.effort


def describe(signals: Signals, segments: Sequence[Segment]) -> tuple[Activity, ...]:
    """Gather the evidence about every segment."""
    speeds = [None if s.absent or s.unseen else speed(signals, s) for s in segments]
    known = [v for v in speeds if v is not None]
    low, high = (min(known), max(known)) if known else (0.0, 0.0)
    out = []
    for segment, v in zip(segments, speeds, strict=True):
        effort = None if v is None else 0.5 if high - low < 1e-6 else (v - low) / (high - low)
        seen, named, still = None, Recognised(None, 0.0), False
        if not segment.absent and segment.unseen is None:
            seen = behaviour(signals, segment.start_s, segment.end_s)
            named = recognise(signals, segment.start_s, segment.end_s)
            still = (
                named.movement is None
                and stands(seen)
                and not count_unknown(signals, segment.start_s, segment.end_s).reps
            )
        no_arms = (
            why_unseen(signals, ARMS, segment.start_s, segment.end_s) if segment.unseen else None
        )
        out.append(
            Activity(
                start_s=segment.start_s,
                end_s=segment.end_s,
                absent=segment.absent or no_arms is not None,
                still=still,
                named=named,
                effort=None if effort is None else round(float(np.clip(effort, 0, 1)), 2),
                seen=seen,
                start_clear=segment.start_clear,
                end_clear=segment.end_clear,
                likely=_likely_movements(named, seen),
                unseen=segment.unseen,
            )
        )
    return tuple(out)


def _likely_movements(named: Recognised, seen: Behaviour | None) -> tuple[str, ...]:
    if named.movement is not None:
        return (named.movement,)
    if seen is None:
        return ()
    return tuple(m.id for m in catalogue().values() if (likeness(seen, m) or 0.0) >= MIN_LIKENESS)


def describe_corrected_periods(signals: Signals, periods: Sequence[Period]) -> tuple[Activity, ...]:
    """Gather the evidence about corrected periods; corrections by hand overrule the footage."""
    segments = [_segment_of(signals, p) for p in periods]
    out = []
    for period, activity in zip(periods, describe(signals, segments), strict=True):
        named = activity.named
        if "movement" in period.corrected:
            named = Recognised(period.movement, 1.0)
            activity = replace(activity, likely=(period.movement or "",))
        still = period.kind == "still" if "kind" in period.corrected else activity.still
        by_hand = period if period.corrected else None
        out.append(replace(activity, named=named, still=still, by_hand=by_hand))
    return tuple(out)


def _segment_of(signals: Signals, period: Period) -> Segment:
    """The stretch of a period; what was set by hand counts as seen."""
    by_hand = {"kind", "movement", "count"} & set(period.corrected)
    unseen = None if by_hand else why_unseen(signals, BODY, period.start_s, period.end_s)
    absent = period.kind == "absent" and unseen is None
    return Segment(period.start_s, period.end_s, absent=absent, unseen=unseen)


def stands(seen: Behaviour) -> bool:
    """Whether legs and trunk stay upright and quiet; the hands may move."""
    if not seen.level:
        return False
    quiet = all(
        seen.swing.get(name, 0.0) < max_swing for name, max_swing in MAX_STANDING_SWING.items()
    )
    return quiet and seen.level.get("trunk_deg", 0.0) < MAX_STANDING_TRUNK_DEG


def dissimilarity(planned: PlannedPeriod, activity: Activity, costs: Costs = DEFAULT) -> float:
    """Dissimilarity of an activity and a planned period, 0 (alike) to 1."""
    if planned.kind == "break":
        return 0.0 if activity.idle else costs.no_break_dissimilarity
    correction = activity.by_hand
    if (
        correction is not None
        and "kind" in correction.corrected
        and correction.kind != planned.kind
    ):
        return 1.0
    if correction is not None and "movement" in correction.corrected:
        return 0.0 if correction.movement == planned.movement else 1.0
    entry = catalogue().get(planned.movement or "")
    if activity.unseen is not None and not activity.absent:
        with_arms = entry is not None and any(parts_of(c) <= ARMS for c in entry.counts)
        return costs.unjudged_dissimilarity if with_arms else 1.0
    held = entry is not None and entry.sides == "none"
    if activity.absent or activity.seen is None or (activity.still and not held):
        return 1.0
    hard = activity.hardness
    wrong = 1.0 - hard if planned.kind == "work" else hard
    alike = None if entry is None else likeness(activity.seen, entry)
    if alike is None:
        weight = costs.unjudged_effort_weight
        return costs.unjudged_dissimilarity * (1 - weight) + weight * wrong
    weight = costs.effort_weight
    return (1.0 - alike) * (1 - weight + weight * wrong)


def fit_measures(signals: Signals, costs: Costs = DEFAULT) -> FitMeasures[Activity]:
    """Build the judge of how well the activities of a clip fit the plan."""
    return FitMeasures(partial(dissimilarity, costs=costs), reps_missed(signals))


def reps_missed(signals: Signals) -> Callable[[PlannedPeriod, float, float], float]:
    """Build a function that gives the fraction of planned repetitions missed or too many.

    Its arguments are the planned period, the start and the end in seconds. Counts are cached.
    """

    @cache
    def counted(movement: str, start_s: float, end_s: float) -> int:
        return count_reps(signals, catalogue()[movement], start_s, end_s).count

    def missed(planned: PlannedPeriod, start_s: float, end_s: float) -> float:
        if not planned.reps or planned.movement not in catalogue():
            return 0.0
        return abs(counted(planned.movement, start_s, end_s) - planned.reps) / planned.reps

    return missed
