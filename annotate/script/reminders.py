"""Corrections: where the last take differed, and what to do about it in the next one."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Drift, Period, Review
from annotate.review.queries import delivered_as, flagged_reps, sets_by_movement
from annotate.script.phrases import Phrases
from annotate.script.schedule import GAP_S, Wish, spoken_s
from annotate.text import clock

# Repetitions that show how a movement began, without the first, in which people settle in.
_FIRST_REPS = slice(1, 4)


def corrections(
    period: PlannedPeriod, row: Comparison, review: Review, phrases: Phrases
) -> Iterator[Wish]:
    """Request directions and reminders for one planned period.

    Parameters
    ----------
    period : PlannedPeriod
    row : Comparison
        How it was delivered in the last take.
    review : Review
        Of the last take, made with a plan.
    phrases : Phrases
    """
    if row.status == "skipped":
        yield _direction(period.start_s, f"Last take left this out: {period.label}.")
        return
    if row.text:
        yield _direction(period.start_s, f"Last take: {row.text}.")
    assert review.plan is not None
    tolerance = review.plan.tolerance
    if row.duration_diff_s is not None and -row.duration_diff_s > tolerance.seconds:
        at = max(period.start_s, period.end_s + row.duration_diff_s - 1)
        yield _direction(at, f"Keep going to {clock(period.end_s)}.")
    for side, diff, asked in (
        ("left", row.left_diff, period.left), ("right", row.right_diff, period.right)
    ):  # fmt: skip
        if diff is not None and diff < -tolerance.reps:
            at = period.start_s + period.duration_s * 0.3
            text = phrases.say("count_side", n=asked, side=side)
            yield Wish(at, "reps", (text,), 4, at - 3, at + 3)
    done = delivered_as(row, review.periods)
    if done is not None:
        yield from _notes(period, done, review)
        yield from _form(period, done, review, phrases)


def _notes(period: PlannedPeriod, done: Period, review: Review) -> Iterator[Wish]:
    """Request the notes typed while watching, at the same place in the next take."""
    for note in review.notes:
        if done.start_s <= note.at_s < done.end_s:
            share = (note.at_s - done.start_s) / done.duration_s
            text = ": ".join(filter(None, ("Note", note.tag, note.text)))
            yield _direction(period.start_s + share * period.duration_s, text)


def _direction(at_s: float, text: str) -> Wish:
    return Wish(at_s, "direction", (text,), 0)


def _form(period: PlannedPeriod, done: Period, review: Review, phrases: Phrases) -> Iterator[Wish]:
    """Request one reminder, before the repetition from which the form changed last time."""
    turns = {"back": next((rep.start_s for _, rep in flagged_reps(done)), None)}
    for drift in review.drift:
        if drift.statement and drift.movement == done.movement and drift.measure != "back":
            turns.setdefault(drift.measure, _first_drifted(done, drift, review))
    found = [(at, point) for point, at in turns.items() if at and point in phrases.reminders]
    if not found or done.duration_s <= 0:
        return
    # The back line matters most; otherwise what changed first.
    seen_s, point = min(found, key=lambda pair: (pair[1] != "back", pair[0]))
    share = max(0.0, seen_s - done.start_s) / done.duration_s
    text = phrases.reminders[point]
    rep_s = period.start_s + share * period.duration_s
    at = max(period.start_s, rep_s - spoken_s(text) - GAP_S)
    # It may come up to 6 s early, but not after the repetition has begun.
    yield Wish(at, "form", (text,), 2, max(period.start_s, at - 6), at, end_by_s=period.end_s)


def _first_drifted(done: Period, drift: Drift, review: Review) -> float | None:
    """Start of the first repetition of a period that is past half of the drift, in seconds."""
    values = [v for v in drift.per_rep if v is not None]
    if len(values) < 8:
        return None
    first, last = median(values[_FIRST_REPS]), median(values[-3:])
    middle = (first + last) / 2
    each = iter(drift.per_rep)
    for period in sets_by_movement(review.periods).get(drift.movement, ()):
        for rep in period.reps.each:
            value = next(each, None)
            if period.index != done.index or value is None:
                continue
            if (value > middle) == (last > first):
                return rep.start_s
    return None
