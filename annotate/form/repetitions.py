"""The repetitions of every period, with their form and back line."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.catalogue.model import Movement, catalogue
from annotate.counting.count import NOTHING_COUNTED, Counted, FoundRep, count_reps, nothing_seen
from annotate.counting.seen import unseen_s, why_missing, why_uncounted, why_unsure
from annotate.counting.unknown import count_unknown
from annotate.form import measures as form
from annotate.form.back_arc import back_arc
from annotate.form.back_line import FOLDED, judge_backs
from annotate.form.jumps import jump_heights, jumps
from annotate.form.points import knees_together, watch
from annotate.form.sides import left_right
from annotate.review.model import (
    Back,
    BackNotAssessable,
    Period,
    Rep,
    RepSet,
    RepSpan,
    Watched,
)
from pose.signals.model import Signals
from pose.signals.names import FEET, SIGNALS
from pose.track import PoseTrack

NOT_BENT = "not a bent-over movement"


def with_reps(track: PoseTrack, signals: Signals, periods: Sequence[Period]) -> tuple[Period, ...]:
    """The periods with their repetitions and watched points filled in.

    Counts set by hand are kept.
    """
    periods = [_without_unseen(signals, p) for p in periods]
    counted = [_count_period(signals, p) for p in periods]
    backs = _judged_backs(track, signals, periods, counted)
    out = []
    for period, count, (judged, compared_with) in zip(periods, counted, backs, strict=True):
        entry = catalogue().get(period.movement or "")
        reps = tuple(
            Rep(
                start_s=round(r.start_s, 3),
                peak_s=round(r.peak_s, 3),
                end_s=round(r.end_s, 3),
                complete=r.complete,
                side=r.side,
                depth=form.depth(signals, entry, r)
                if entry
                else form.size(signals, count.signal, r),
                trunk_deg=form.trunk_deg(signals, r),
                knee_flexion_deg=form.knee_flexion_deg(signals, r),
                not_measured=form.why_not_measured(signals, entry, r),
                back=_seen_back(signals, r, b),
                watched=watch(signals, entry, r) if entry else (),
            )
            for r, b in zip(count.reps, judged, strict=True)
        )
        sided = any(r.side != "both" for r in count.reps)
        cadence = count.cadence_per_min
        filled = RepSet(
            count=None if _is_unknown(period, count) else count.count,
            left=count.of("left") if sided else None,
            right=count.of("right") if sided else None,
            cadence_per_min=None if cadence is None else round(cadence, 1),
            confidence=count.confidence,
            signal=count.signal,
            each=reps,
        )
        if "count" in period.corrected:
            filled = filled.model_copy(
                update=period.reps.model_dump(include={"count", "left", "right", "confidence"})
            )
        watched = _period_points(signals, period, entry, count, reps)
        found: dict[str, object] = {
            "reps": filled,
            "watched": watched,
            "back_compared_with": compared_with,
        }
        found |= _unseen_within(signals, period, count)
        if filled.count is None and period.kind != "absent":
            found["not_assessable"] = period.not_assessable or count.unseen
        out.append(period.model_copy(update=found))
    return tuple(out)


def _without_unseen(signals: Signals, period: Period) -> Period:
    """The period without its movement, and with the reason, where that could not be counted."""
    entry = catalogue().get(period.movement or "")
    if period.kind in ("still", "absent") or "count" in period.corrected:
        return period
    if entry is None or (entry.sides == "none" and not entry.looks):
        return period
    reason = why_uncounted(signals, entry, period.start_s, period.end_s)
    if reason is None:
        return period
    update: dict[str, object] = {"not_assessable": reason, "may_be": (), "confidence": 0.0}
    if "movement" not in period.corrected:
        update |= {"movement": None, "movement_confidence": 0.0}
    return period.model_copy(update=update)


def _unseen_within(signals: Signals, period: Period, count: Counted) -> dict[str, object]:
    """Time in which what the repetitions were counted on was not seen, and why."""
    if count.signal is None or "count" in period.corrected:
        return {}
    parts = SIGNALS[count.signal].needs
    gaps_s = unseen_s(signals, parts, period.start_s, period.end_s)
    if gaps_s <= period.unseen_s:
        return {}
    reason = why_missing(signals, parts, period.start_s, period.end_s)
    return {"unseen_s": round(gaps_s, 2), "unseen": reason}


def _seen_back(signals: Signals, rep: FoundRep, judged: Back) -> Back:
    """The back line as judged, unless the trunk was not seen well enough."""
    unsure = form.why_trunk_unsure(signals, rep) if judged.assessable else None
    return judged if unsure is None else BackNotAssessable(reason=unsure)


def _is_unknown(period: Period, count: Counted) -> bool:
    """Whether nothing counted does not mean that nothing was done."""
    unseen = period.not_assessable is not None or period.kind == "absent"
    return unseen or (count.unseen is not None and not count.reps)


def _period_points(
    signals: Signals,
    period: Period,
    entry: Movement | None,
    count: Counted,
    reps: Sequence[Rep],
) -> tuple[Watched, ...]:
    """Points that are measured over a whole period."""
    if entry is None:
        return ()
    found = []
    if "knees-together" in entry.watch:
        found.append(knees_together(signals, period.start_s, period.end_s))
    if "jump-height" in entry.watch:
        unsure = why_unsure(signals, FEET, period.start_s, period.end_s)
        found += (
            jump_heights(jumps(signals, period.start_s, period.end_s))
            if unsure is None
            else [Watched(point="jump-height", unit="m", reason=unsure)]
        )
    if entry.depth is not None:
        _, unit = form.DEPTH_WORDS[entry.depth]
        sides = left_right(signals, unit, count.reps, [r.depth for r in reps])
        if sides is not None:
            found.append(sides)
    return tuple(found)


def _count_period(signals: Signals, period: Period) -> Counted:
    if period.kind == "still":
        return NOTHING_COUNTED
    if period.kind == "absent" or period.not_assessable is not None:
        return nothing_seen(period.not_assessable)
    entry = catalogue().get(period.movement or "")
    if entry is None:
        return count_unknown(signals, period.start_s, period.end_s)
    if entry.sides == "none":
        return NOTHING_COUNTED
    return count_reps(signals, entry, period.start_s, period.end_s)


def _judged_backs(
    track: PoseTrack, signals: Signals, periods: Sequence[Period], counted: Sequence[Counted]
) -> list[tuple[list[Back], tuple[RepSpan, ...]]]:
    """Back line of each repetition of each period, and the repetitions it was compared with.

    The periods of one movement are judged together.
    """
    backs: list[list[Back]] = [
        [BackNotAssessable(reason=NOT_BENT) for _ in c.reps] for c in counted
    ]
    compared_with: list[tuple[RepSpan, ...]] = [() for _ in counted]
    bent: dict[str, list[int]] = {}
    for i, period in enumerate(periods):
        entry: Movement | None = catalogue().get(period.movement or "")
        if entry is not None and entry.crouched:
            backs[i] = [BackNotAssessable(reason=FOLDED) for _ in counted[i].reps]
        elif entry is not None and entry.bent_over and counted[i].reps:
            bent.setdefault(entry.id, []).append(i)
    if bent:
        arc = back_arc(track, signals)
        every = [r for i in sorted(i for m in bent.values() for i in m) for r in counted[i].reps]
        for members in bent.values():
            judged = judge_backs(arc, signals, [counted[i].reps for i in members], every)
            spans = tuple(
                RepSpan(start_s=round(r.start_s, 3), end_s=round(r.end_s, 3))
                for r in judged.baseline
            )
            for i, verdicts in zip(members, judged.backs, strict=True):
                backs[i], compared_with[i] = verdicts, spans
    return list(zip(backs, compared_with, strict=True))
