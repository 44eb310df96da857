"""Requests for the lines to say in each period of the next take.

The count-in ends just before the change, calls come at fifteen, ten and five seconds left, the next
movement is announced before the count. These and the limits below are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.catalogue.model import catalogue
from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Review
from annotate.script.phrases import Phrases
from annotate.script.reminders import correction_requests
from annotate.script.schedule import GAP_S, LineRequest, spoken_s

# Seconds left, and the shortest work period (s) in which they are called: at least twice as long,
# so that the call comes in its second half.
CALLS = ((15, 40.0), (10, 25.0), (5, 12.0))
# Repetitions slower than this can be counted down aloud: "four more" takes 0.8 s to say, and the
# rest is for breathing.
_MIN_SLOW_REP_S = 1.4
# "Four more", in sets of at least twice as many.
_LAST_REPS = 4
_MIN_REPS_FOR_CALL = 8
# Shorter work needs no "halfway"; in a shorter recovery there is no time to drink.
_MIN_HALFWAY_WORK_S = 12.0
_MIN_WATER_RECOVERY_S = 15.0


def requests_of(
    review: Review,
    planned: Sequence[PlannedPeriod],
    rows: dict[int, Comparison],
    phrases: Phrases,
) -> list[LineRequest]:
    """List the requests for lines, period by period.

    Parameters
    ----------
    review : Review
        Of the last take, made with a plan.
    planned : sequence of PlannedPeriod
    rows : dict of Comparison
        By index of the planned period.
    phrases : Phrases
    """
    assert review.plan is not None
    requests: list[LineRequest] = []
    for i, period in enumerate(planned):
        following = planned[i + 1] if i + 1 < len(planned) else None
        count = (
            0 if following is None else countdown_length(period, review.plan.countdown_s, phrases)
        )
        requests += _opening_requests(period, phrases)
        if period.kind == "work":
            requests += _work_requests(period, phrases)
        elif period.kind in ("recovery", "break"):
            requests += _recovery_requests(period, count, phrases)
        if following is not None:
            requests += _change_requests(period, following, count, phrases)
        row = rows.get(period.index)
        if row is not None:
            requests += correction_requests(period, row, review, phrases)
    return requests


def countdown_length(period: PlannedPeriod, countdown_s: float, phrases: Phrases) -> int:
    """How many numbers are counted down before the change, in at most half of the period."""
    return min(int(countdown_s), len(phrases.numbers), int(period.duration_s / 2))


def _opening_requests(period: PlannedPeriod, phrases: Phrases) -> Iterator[LineRequest]:
    what = phrases.movement(period.movement) if period.movement else period.kind
    short = phrases.say("change", movement=what)
    text = short
    if period.side:
        text = phrases.say("change_side", movement=what, side=period.side)
    elif period.left is not None and period.right is not None:
        text = phrases.say("change_sides", movement=what, left=period.left, right=period.right)
    elif period.reps:
        text = phrases.say("change_reps", movement=what, reps=period.reps)
    yield LineRequest(period.start_s, "change", (text, short), 1, latest_s=period.start_s + 0.5,
               end_by_s=period.end_s)  # fmt: skip
    known = catalogue().get(period.movement or "")
    if known and period.kind == "work" and period.round in (None, 1):
        for flag, key in ((known.bent_over, "bent_over"), (known.jump, "jump")):
            if flag:
                at = period.start_s + spoken_s(text) + 0.5
                yield LineRequest(at, "safety", (phrases.say(key),), 3, latest_s=at + 5,
                           end_by_s=period.end_s)  # fmt: skip


def _work_requests(period: PlannedPeriod, phrases: Phrases) -> Iterator[LineRequest]:
    middle_s = period.start_s + period.duration_s / 2
    if period.duration_s >= _MIN_HALFWAY_WORK_S:
        yield LineRequest(middle_s, "halfway", (phrases.say("halfway"),), 3,
                   middle_s - 1, middle_s + 1)  # fmt: skip
    for left, min_work_s in CALLS:
        if period.duration_s >= min_work_s:
            at = period.end_s - left
            text = phrases.say("seconds_left", n=left)
            yield LineRequest(at, "left", (text,), 5, at - 0.5, at + 0.5)
    if period.reps and period.reps >= _MIN_REPS_FOR_CALL:
        each_s = period.duration_s / period.reps
        if each_s >= _MIN_SLOW_REP_S:
            at = period.end_s - _LAST_REPS * each_s
            text = phrases.say("reps_left", n=_LAST_REPS)
            yield LineRequest(at, "reps", (text,), 4, at - each_s / 3, at + each_s / 3)


def _recovery_requests(
    period: PlannedPeriod, count: int, phrases: Phrases
) -> Iterator[LineRequest]:
    turn = (period.round or 1) - 1
    end_s = period.end_s - count
    if period.kind == "break":
        yield LineRequest(period.start_s + 1, "water", (phrases.say("pause"),), 4,
                   latest_s=period.start_s + 6, end_by_s=end_s)  # fmt: skip
        return
    at = period.start_s + 2
    yield LineRequest(at, "ease", (phrases.say("ease", turn),), 7, latest_s=end_s, end_by_s=end_s)
    if period.duration_s >= _MIN_WATER_RECOVERY_S:
        at = period.start_s + 4
        yield LineRequest(
            at, "water", (phrases.say("water", turn),), 6, latest_s=end_s, end_by_s=end_s
        )


def _change_requests(
    period: PlannedPeriod, following: PlannedPeriod, count: int, phrases: Phrases
) -> Iterator[LineRequest]:
    """Announce what comes, then count down so that the last count is just before the change."""
    count_s = following.start_s - count
    if count > 0:
        words = ", ".join(reversed(phrases.numbers[:count]))
        # It ends a breath before the change, so that the movement's name can be said on the change.
        yield LineRequest(
            count_s, "countdown", (words.capitalize() + ".",), 0, lasts_s=count - GAP_S
        )
    what = phrases.movement(following.movement) if following.movement else following.kind
    short = phrases.say("announce", movement=what)
    text = short
    if following.kind == "work" and following.in_rounds:
        last = following.round == following.rounds
        text = phrases.say("announce_last" if last else "announce_round", movement=what,
                           round=following.round, rounds=following.rounds)  # fmt: skip
    texts = (text, short, what.capitalize() + ".")
    yield LineRequest(count_s, "announce", texts, 2, period.start_s, end_by_s=count_s - GAP_S,
               ends_s=count_s - GAP_S)  # fmt: skip
    easier = phrases.easier.get(following.movement or "")
    if following.kind == "work" and easier:
        rank = 4 if following.round in (None, 1) else 6
        at = count_s - spoken_s(text) - spoken_s(easier) - 3 * GAP_S
        yield LineRequest(at, "option", (easier,), rank, period.start_s, end_by_s=count_s - GAP_S)
