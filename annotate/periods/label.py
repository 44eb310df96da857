"""Periods as delivered: activities labelled and merged, with or without a plan.

The fractions and limits below are judgements. They were set on the seeded classes with known
departures (``tests/accuracy/sessions.py``, docs/measurements.md).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from typing import Any

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.counting.recognise import Recognised, behaviour, likeness, recognise
from annotate.periods.align import Pairing
from annotate.periods.evidence import Activity
from annotate.periods.kinds import kinds_without_plan
from annotate.periods.segment import LEAST_PERIOD_S
from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import Period, PeriodKind, RepSet
from pose.signals.model import Signals

# Likeness to the planned movement, 0 to 1, from which the plan's name is kept without a look at
# other names. One half: the evidence has to be against the plan to contradict it.
_ALIKE_ENOUGH = 0.5
# The planned movement was not done: less like it than this, and at most this fraction of its
# repetitions. Not none of them, since another movement also swings the limbs now and then.
_CLEARLY_OTHER = 0.05
_HARDLY_ANY = 0.4
# Lowest confidence of a name that contradicts the plan.
_SURELY_OTHER = 0.75
# Confidence of a label before the clearness of its ends is counted in: standing about and absence
# are seen directly; a movement the catalogue cannot judge rests on the plan's word.
_IDLE_SURE = 0.8
_MOVEMENT_UNJUDGED = 0.6
# An unnamed piece shorter than this belongs to the interruption next to it: twice the shortest
# period the segmenter gives.
_HANGS_ON_S = 8.0


@dataclass(frozen=True)
class Delivery:
    """A planned period and the period it was delivered as.

    Attributes
    ----------
    planned : int or None
        Index of the planned period; None for what was added.
    period : Period or None
        None when skipped.
    """

    planned: int | None
    period: Period | None


def without_plan(activities: Sequence[Activity]) -> tuple[Period, ...]:
    """Make a period of each activity; neighbours of one kind and movement are merged."""
    kinds = kinds_without_plan(activities)
    periods = [
        _said(
            a,
            _period(a.start_s, a.end_s, kind, a.named, a.effort, _sure_without_plan(a), _may_be(a)),
        )
        for a, kind in zip(activities, kinds, strict=True)
    ]
    index = count()
    whole = _joined(_without_scraps(periods))
    return tuple(p.model_copy(update={"index": next(index)}) for p in whole)


def with_plan(
    signals: Signals,
    activities: Sequence[Activity],
    timeline: Timeline,
    pairings: Sequence[Pairing],
) -> tuple[Delivery, ...]:
    """Label activities in the plan's terms.

    Parameters
    ----------
    signals : Signals
    activities : sequence of Activity
        In time order.
    timeline : Timeline
        The unrolled plan.
    pairings : sequence of Pairing
        Which activities answer which planned period.

    Returns
    -------
    tuple of Delivery
        In time order; skipped planned periods stand where they are missing.
    """
    found: list[Delivery] = []
    for pairing in pairings:
        run = [activities[i] for i in pairing.activities]
        if not run:
            found.append(Delivery(pairing.planned, None))
        elif pairing.planned is None:
            extra = _said(run[0], _unplanned(run[0]))
            before = found[-1] if found else None
            if before is not None and before.planned is None and _one_stop(before.period, extra):
                found[-1] = Delivery(None, _join(before.period, extra))
            else:
                found.append(Delivery(None, extra))
        else:
            planned = timeline.periods[pairing.planned]
            period = _planned(signals, planned, run)
            found.append(Delivery(pairing.planned, _said(run[0], period)))
    index = count()
    return tuple(
        Delivery(d.planned, d.period and d.period.model_copy(update={"index": next(index)}))
        for d in found
    )


def _said(activity: Activity, period: Period) -> Period:
    """Keep what was set by hand."""
    said = activity.by_hand
    if said is None:
        return period
    kept: dict[str, Any] = {"corrected": said.corrected}
    if "kind" in said.corrected:
        kept |= {"kind": said.kind, "confidence": said.confidence}
    if "movement" in said.corrected:
        kept |= {"movement": said.movement, "movement_confidence": said.movement_confidence}
    if "count" in said.corrected:
        kept["reps"] = said.reps
    return period.model_copy(update=kept)


def _planned(signals: Signals, planned: PlannedPeriod, run: Sequence[Activity]) -> Period:
    start, end = run[0].start_s, run[-1].end_s
    efforts = [a.effort for a in run if a.effort is not None]
    effort = round(sum(efforts) / len(efforts), 2) if efforts else None
    entry = catalogue().get(planned.movement or "")
    held = entry is not None and entry.sides == "none"
    if planned.kind == "break" or (all(a.idle for a in run) and not held):
        return _period(start, end, "still", Recognised(None, 0.0), effort, _sure(run, _IDLE_SURE))
    name, fit = _movement_done(signals, planned, start, end)
    unseen_s = round(sum(a.duration_s for a in run if a.absent), 2)
    done = _period(start, end, planned.kind, name, effort, _sure(run, fit))
    done = done.model_copy(update={"unseen_s": unseen_s})
    if name.movement is not None:
        return done
    longest = max(run, key=lambda a: a.duration_s)
    return done.model_copy(update={"may_be": longest.likely})


def _movement_done(
    signals: Signals, planned: PlannedPeriod, start_s: float, end_s: float
) -> tuple[Recognised, float]:
    """Give the planned movement, unless another was clearly done, and how well it fits, 0 to 1."""
    if planned.movement is None:
        return recognise(signals, start_s, end_s), _MOVEMENT_UNJUDGED
    entry = catalogue().get(planned.movement)
    seen = behaviour(signals, start_s, end_s)
    fit = None if entry is None else likeness(seen, entry)
    if entry is None or fit is None:
        return Recognised(planned.movement, 0.5), _MOVEMENT_UNJUDGED
    if fit < _ALIKE_ENOUGH:
        other = recognise(signals, start_s, end_s)
        # Also where it is not named but may be one of several others.
        named = other.movement is not None or fit < _CLEARLY_OTHER
        if named and other.confidence >= _SURELY_OTHER:
            return other, _MOVEMENT_UNJUDGED
    if fit < _CLEARLY_OTHER:
        found = count_reps(signals, entry, start_s, end_s).count
        if found <= _HARDLY_ANY * (planned.reps or 0):
            return Recognised(None, 0.0), _MOVEMENT_UNJUDGED
    return Recognised(planned.movement, round(max(fit, 0.1), 2)), round(0.5 + 0.5 * fit, 2)


def _unplanned(activity: Activity) -> Period:
    kind: PeriodKind
    if activity.absent:
        kind = "absent"
    elif activity.still:
        kind = "still"
    else:
        kind = "work" if activity.hardness >= 0.5 else "recovery"
    sure = _sure([activity], _IDLE_SURE if activity.idle else 0.5)
    return _period(activity.start_s, activity.end_s, kind, activity.named, activity.effort, sure)


def _may_be(activity: Activity) -> tuple[str, ...]:
    return () if activity.named.movement is not None else activity.likely


def _sure_without_plan(activity: Activity) -> float:
    label = _IDLE_SURE if activity.idle else 0.5 if activity.named.movement is None else 0.7
    return _sure([activity], label)


def _sure(run: Sequence[Activity], label: float) -> float:
    """Confidence of a period: its label, and how clearly the activity changes at its ends."""
    ends = 0.5 * (run[0].start_clear + run[-1].end_clear)
    return round(label * (0.5 + 0.5 * ends), 2)


def _without_scraps(periods: Sequence[Period]) -> list[Period]:
    """Merge unnamed pieces too short to be a period into the longer neighbour they touch."""
    out = list(periods)
    i = 0
    while i < len(out) and len(out) > 1:
        scrap = out[i]
        named = scrap.movement is not None or scrap.kind in ("still", "absent") or scrap.corrected
        if named or scrap.duration_s >= LEAST_PERIOD_S:
            i += 1
            continue
        beside = [
            j
            for j, touch in ((i - 1, scrap.start_s), (i + 1, scrap.end_s))
            if 0 <= j < len(out)
            and out[j].kind not in ("still", "absent")
            and abs((out[j].end_s if j < i else out[j].start_s) - touch) < 1e-6
        ]
        if not beside:
            i += 1
            continue
        j = max(beside, key=lambda k: out[k].duration_s)
        a, b = min(i, j), max(i, j)
        out[a : b + 1] = [_join(out[a], out[b])]
        i = a
    return out


def _joined(periods: Sequence[Period]) -> list[Period]:
    out: list[Period] = []
    for period in periods:
        if out and _same(out[-1], period):
            out[-1] = _join(out[-1], period)
        else:
            out.append(period)
    return out


def _same(a: Period | None, b: Period) -> bool:
    """Whether two neighbours are one activity; two unknown movements may be different ones."""
    if a is None or a.kind != b.kind or a.corrected or b.corrected:
        return False
    return a.kind in ("still", "absent") or (a.movement is not None and a.movement == b.movement)


def _one_stop(a: Period | None, b: Period) -> bool:
    """Whether two unplanned neighbours are one interruption.

    A short unnamed piece belongs to the neighbour.
    """
    if _same(a, b):
        return True
    if a is None or "absent" in (a.kind, b.kind) or a.corrected or b.corrected:
        return False
    shorter = min(a, b, key=lambda p: p.duration_s)
    return shorter.movement is None and shorter.duration_s < _HANGS_ON_S


def _join(a: Period | None, b: Period) -> Period:
    """Merge two neighbours into one period with the label of the longer one."""
    assert a is not None
    longer = max(a, b, key=lambda p: p.duration_s)
    return longer.model_copy(
        update={
            "start_s": a.start_s,
            "end_s": b.end_s,
            "duration_s": round(b.end_s - a.start_s, 2),
        }
    )


def _period(
    start_s: float,
    end_s: float,
    kind: PeriodKind,
    name: Recognised,
    effort: float | None,
    confidence: float,
    may_be: tuple[str, ...] = (),
) -> Period:
    return Period(
        index=0,
        kind=kind,
        start_s=round(start_s, 2),
        end_s=round(end_s, 2),
        duration_s=round(end_s - start_s, 2),
        confidence=confidence,
        movement=name.movement,
        movement_confidence=name.confidence,
        may_be=may_be,
        intensity=effort,
        reps=RepSet(count=0, confidence=0.0),
    )
