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
from annotate.periods.kinds import estimate_kinds
from annotate.periods.segment import MIN_PERIOD_S
from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import Period, PeriodKind, RepSet
from pose.signals.model import Signals

# Likeness to the planned movement, 0 to 1, from which the plan's name is kept without a look at
# other names. One half: the evidence has to be against the plan to contradict it.
_MIN_PLANNED_LIKENESS = 0.5
# The planned movement was not done: less like it than this, and at most this fraction of its
# repetitions. Not none of them, since another movement also swings the limbs now and then.
_MAX_OTHER_LIKENESS = 0.05
_MAX_OTHER_REPS_FRACTION = 0.4
# Lowest confidence of a name that contradicts the plan.
_MIN_OTHER_CONFIDENCE = 0.75
# Confidence of a label before the clearness of its ends is counted in: standing about and absence
# are seen directly; a movement the catalogue cannot judge rests on the plan's word.
_IDLE_CONFIDENCE = 0.8
_UNJUDGED_CONFIDENCE = 0.6
# An unnamed piece shorter than this belongs to the interruption next to it: twice the shortest
# period the segmenter gives.
_MIN_INTERRUPTION_S = 8.0


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


def label_without_plan(activities: Sequence[Activity]) -> tuple[Period, ...]:
    """Make a period of each activity; neighbours of one kind and movement are merged."""
    kinds = estimate_kinds(activities)
    periods = [
        _keep_corrections(
            a,
            _mark_unseen(
                a,
                _new_period(
                    a.start_s,
                    a.end_s,
                    kind,
                    a.named,
                    a.effort,
                    _confidence_without_plan(a),
                    _likely_movements(a),
                ),
            ),
        )
        for a, kind in zip(activities, kinds, strict=True)
    ]
    index = count()
    whole = _merge_neighbours(_merge_short_unnamed(periods))
    return tuple(p.model_copy(update={"index": next(index)}) for p in whole)


def label_with_plan(
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
            extra = _keep_corrections(run[0], _added_period(run[0]))
            before = found[-1] if found else None
            if (
                before is not None
                and before.planned is None
                and _is_one_interruption(before.period, extra)
            ):
                found[-1] = Delivery(None, _merge_interruption(before.period, extra))
            else:
                found.append(Delivery(None, extra))
        else:
            planned = timeline.periods[pairing.planned]
            period = _planned_period(signals, planned, run)
            found.append(Delivery(pairing.planned, _keep_corrections(run[0], period)))
    index = count()
    return tuple(
        Delivery(d.planned, d.period and d.period.model_copy(update={"index": next(index)}))
        for d in found
    )


def _keep_corrections(activity: Activity, period: Period) -> Period:
    """Keep what was set by hand."""
    correction = activity.by_hand
    if correction is None:
        return period
    kept: dict[str, Any] = {"corrected": correction.corrected}
    if "kind" in correction.corrected:
        kept |= {"kind": correction.kind, "confidence": correction.confidence}
    if "movement" in correction.corrected:
        kept |= {
            "movement": correction.movement,
            "movement_confidence": correction.movement_confidence,
        }
    if "count" in correction.corrected:
        kept["reps"] = correction.reps
    return period.model_copy(update=kept)


def _planned_period(signals: Signals, planned: PlannedPeriod, run: Sequence[Activity]) -> Period:
    start, end = run[0].start_s, run[-1].end_s
    efforts = [a.effort for a in run if a.effort is not None]
    effort = round(sum(efforts) / len(efforts), 2) if efforts else None
    entry = catalogue().get(planned.movement or "")
    held = entry is not None and entry.sides == "none"
    if planned.kind == "break" or (all(a.idle for a in run) and not held):
        return _new_period(
            start, end, "still", Recognised(None, 0.0), effort, _confidence(run, _IDLE_CONFIDENCE)
        )
    name, fit = _movement_done(signals, planned, start, end)
    missing = [a for a in run if a.absent]
    unseen_s = round(sum(a.duration_s for a in missing), 2)
    unseen = max(missing, key=lambda a: a.duration_s).unseen if missing else None
    done = _new_period(start, end, planned.kind, name, effort, _confidence(run, fit))
    done = done.model_copy(update={"unseen_s": unseen_s, "unseen": unseen})
    if name.movement is not None:
        return done
    longest = max(run, key=lambda a: a.duration_s)
    return done.model_copy(update={"may_be": longest.likely})


def _movement_done(
    signals: Signals, planned: PlannedPeriod, start_s: float, end_s: float
) -> tuple[Recognised, float]:
    """Give the planned movement, unless another was clearly done, and how well it fits, 0 to 1."""
    if planned.movement is None:
        return recognise(signals, start_s, end_s), _UNJUDGED_CONFIDENCE
    entry = catalogue().get(planned.movement)
    seen = behaviour(signals, start_s, end_s)
    fit = None if entry is None else likeness(seen, entry)
    if entry is None or fit is None:
        return Recognised(planned.movement, 0.5), _UNJUDGED_CONFIDENCE
    if fit < _MIN_PLANNED_LIKENESS:
        other = recognise(signals, start_s, end_s)
        # Also where it is not named but may be one of several others.
        named = other.movement is not None or fit < _MAX_OTHER_LIKENESS
        if named and other.confidence >= _MIN_OTHER_CONFIDENCE:
            return other, _UNJUDGED_CONFIDENCE
    if fit < _MAX_OTHER_LIKENESS:
        found = count_reps(signals, entry, start_s, end_s).count
        if found <= _MAX_OTHER_REPS_FRACTION * (planned.reps or 0):
            return Recognised(None, 0.0), _UNJUDGED_CONFIDENCE
    return Recognised(planned.movement, round(max(fit, 0.1), 2)), round(0.5 + 0.5 * fit, 2)


def _added_period(activity: Activity) -> Period:
    kind: PeriodKind
    if activity.absent or activity.unseen:
        kind = "absent"
    elif activity.still:
        kind = "still"
    else:
        kind = "work" if activity.hardness >= 0.5 else "recovery"
    sure = _confidence([activity], _IDLE_CONFIDENCE if activity.idle else 0.5)
    period = _new_period(
        activity.start_s, activity.end_s, kind, activity.named, activity.effort, sure
    )
    return _mark_unseen(activity, period)


def _mark_unseen(activity: Activity, period: Period) -> Period:
    """Say why a period cannot be judged; where it begins and ends is then no change of activity."""
    if activity.unseen is None:
        return period
    return period.model_copy(update={"not_assessable": activity.unseen, "confidence": 0.0})


def _likely_movements(activity: Activity) -> tuple[str, ...]:
    return () if activity.named.movement is not None else activity.likely


def _confidence_without_plan(activity: Activity) -> float:
    label = _IDLE_CONFIDENCE if activity.idle else 0.5 if activity.named.movement is None else 0.7
    return _confidence([activity], label)


def _confidence(run: Sequence[Activity], label: float) -> float:
    """Confidence of a period: its label, and how clearly the activity changes at its ends."""
    ends = 0.5 * (run[0].start_clear + run[-1].end_clear)
    return round(label * (0.5 + 0.5 * ends), 2)


def _merge_short_unnamed(periods: Sequence[Period]) -> list[Period]:
    """Merge unnamed pieces too short to be a period into the longer neighbour they touch."""
    out = list(periods)
    i = 0
    while i < len(out) and len(out) > 1:
        piece = out[i]
        named = piece.movement is not None or piece.kind in ("still", "absent") or piece.corrected
        if named or piece.duration_s >= MIN_PERIOD_S:
            i += 1
            continue
        touching = [
            j
            for j, touch in ((i - 1, piece.start_s), (i + 1, piece.end_s))
            if 0 <= j < len(out)
            and (out[j].kind not in ("still", "absent") or out[j].not_assessable)
            and abs((out[j].end_s if j < i else out[j].start_s) - touch) < 1e-6
        ]
        if not touching:
            i += 1
            continue
        j = max(touching, key=lambda k: out[k].duration_s)
        a, b = min(i, j), max(i, j)
        out[a : b + 1] = [_merge_interruption(out[a], out[b])]
        i = a
    return out


def _merge_neighbours(periods: Sequence[Period]) -> list[Period]:
    out: list[Period] = []
    for period in periods:
        if out and _is_same_activity(out[-1], period):
            out[-1] = _merge(out[-1], period)
        else:
            out.append(period)
    return out


def _is_same_activity(a: Period | None, b: Period) -> bool:
    """Whether two neighbours are one activity; two unknown movements may be different ones."""
    if a is None or a.kind != b.kind or a.corrected or b.corrected:
        return False
    if (a.not_assessable is None) != (b.not_assessable is None):
        return False
    return a.kind in ("still", "absent") or (a.movement is not None and a.movement == b.movement)


def _is_one_interruption(a: Period | None, b: Period) -> bool:
    """Whether two unplanned neighbours are one interruption.

    A short unnamed piece belongs to the neighbour.
    """
    if _is_same_activity(a, b):
        return True
    if a is None or a.corrected or b.corrected:
        return False
    if (a.not_assessable is None) != (b.not_assessable is None):
        seen = a if a.not_assessable is None else b
        touch = abs(a.end_s - b.start_s) < 1e-6
        unnamed = seen.kind != "absent" and seen.movement is None
        return touch and unnamed and seen.duration_s < _MIN_INTERRUPTION_S
    if "absent" in (a.kind, b.kind):
        return False
    shorter = min(a, b, key=lambda p: p.duration_s)
    return shorter.movement is None and shorter.duration_s < _MIN_INTERRUPTION_S


def _merge_interruption(a: Period | None, b: Period) -> Period:
    """Merge two neighbours; what could not be judged decides, however short it is."""
    merged = _merge(a, b)
    unseen = next((p for p in (a, b) if p is not None and p.not_assessable), None)
    if unseen is None:
        return merged
    ends = merged.model_dump(include={"start_s", "end_s", "duration_s"})
    return unseen.model_copy(update=ends)


def _merge(a: Period | None, b: Period) -> Period:
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


def _new_period(
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
