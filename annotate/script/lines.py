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
from annotate.script.reminders import corrections
from annotate.script.schedule import GAP_S, Wish, spoken_s

# Seconds left, and the shortest work period (s) in which they are called: at least twice as long,
# so that the call comes in its second half.
CALLS = ((15, 40.0), (10, 25.0), (5, 12.0))
# Repetitions slower than this can be counted down aloud: "four more" takes 0.8 s to say, and the
# rest is for breathing.
_SLOW_REP_S = 1.4
# "Four more", in sets of at least twice as many.
_LAST_REPS = 4
_FEWEST_REPS = 8
# Shorter work needs no "halfway"; in a shorter recovery there is no time to drink.
_HALFWAY_LEAST_S = 12.0
_WATER_LEAST_S = 15.0


def wishes_of(
    review: Review,
    planned: Sequence[PlannedPeriod],
    rows: dict[int, Comparison],
    phrases: Phrases,
) -> list[Wish]:
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
    wishes: list[Wish] = []
    for i, period in enumerate(planned):
        following = planned[i + 1] if i + 1 < len(planned) else None
        count = 0 if following is None else count_of(period, review.plan.countdown_s, phrases)
        wishes += _opening(period, phrases)
        if period.kind == "work":
            wishes += _during_work(period, phrases)
        elif period.kind in ("recovery", "break"):
            wishes += _during_recovery(period, count, phrases)
        if following is not None:
            wishes += _towards(period, following, count, phrases)
        row = rows.get(period.index)
        if row is not None:
            wishes += corrections(period, row, review, phrases)
    return wishes


def count_of(period: PlannedPeriod, countdown_s: float, phrases: Phrases) -> int:
    """How many numbers are counted down before the change, in at most half of the period."""
    return min(int(countdown_s), len(phrases.numbers), int(period.duration_s / 2))


def _opening(period: PlannedPeriod, phrases: Phrases) -> Iterator[Wish]:
    what = phrases.movement(period.movement) if period.movement else period.kind
    short = phrases.say("change", movement=what)
    text = short
    if period.side:
        text = phrases.say("change_side", movement=what, side=period.side)
    elif period.left is not None and period.right is not None:
        text = phrases.say("change_sides", movement=what, left=period.left, right=period.right)
    elif period.reps:
        text = phrases.say("change_reps", movement=what, reps=period.reps)
    yield Wish(period.start_s, "change", (text, short), 1, latest_s=period.start_s + 0.5,
               end_by_s=period.end_s)  # fmt: skip
    known = catalogue().get(period.movement or "")
    if known and period.kind == "work" and period.round in (None, 1):
        for flag, key in ((known.bent_over, "bent_over"), (known.jump, "jump")):
            if flag:
                at = period.start_s + spoken_s(text) + 0.5
                yield Wish(at, "safety", (phrases.say(key),), 3, latest_s=at + 5,
                           end_by_s=period.end_s)  # fmt: skip


def _during_work(period: PlannedPeriod, phrases: Phrases) -> Iterator[Wish]:
    middle_s = period.start_s + period.duration_s / 2
    if period.duration_s >= _HALFWAY_LEAST_S:
        yield Wish(middle_s, "halfway", (phrases.say("halfway"),), 3,
                   middle_s - 1, middle_s + 1)  # fmt: skip
    for left, least_s in CALLS:
        if period.duration_s >= least_s:
            at = period.end_s - left
            text = phrases.say("seconds_left", n=left)
            yield Wish(at, "left", (text,), 5, at - 0.5, at + 0.5)
    if period.reps and period.reps >= _FEWEST_REPS:
        each_s = period.duration_s / period.reps
        if each_s >= _SLOW_REP_S:
            at = period.end_s - _LAST_REPS * each_s
            text = phrases.say("reps_left", n=_LAST_REPS)
            yield Wish(at, "reps", (text,), 4, at - each_s / 3, at + each_s / 3)


def _during_recovery(period: PlannedPeriod, count: int, phrases: Phrases) -> Iterator[Wish]:
    turn = (period.round or 1) - 1
    end_s = period.end_s - count
    if period.kind == "break":
        yield Wish(period.start_s + 1, "water", (phrases.say("pause"),), 4,
                   latest_s=period.start_s + 6, end_by_s=end_s)  # fmt: skip
        return
    at = period.start_s + 2
    yield Wish(at, "ease", (phrases.say("ease", turn),), 7, latest_s=end_s, end_by_s=end_s)
    if period.duration_s >= _WATER_LEAST_S:
        at = period.start_s + 4
        yield Wish(at, "water", (phrases.say("water", turn),), 6, latest_s=end_s, end_by_s=end_s)


def _towards(
    period: PlannedPeriod, following: PlannedPeriod, count: int, phrases: Phrases
) -> Iterator[Wish]:
    """Announce what comes, then count down so that the last count is just before the change."""
    count_s = following.start_s - count
    if count > 0:
        words = ", ".join(reversed(phrases.numbers[:count]))
        # It ends a breath before the change, so that the movement's name can be said on the change.
        yield Wish(count_s, "countdown", (words.capitalize() + ".",), 0, lasts_s=count - GAP_S)
    what = phrases.movement(following.movement) if following.movement else following.kind
    short = phrases.say("announce", movement=what)
    text = short
    if following.kind == "work" and following.in_rounds:
        last = following.round == following.rounds
        text = phrases.say("announce_last" if last else "announce_round", movement=what,
                           round=following.round, rounds=following.rounds)  # fmt: skip
    texts = (text, short, what.capitalize() + ".")
    yield Wish(count_s, "announce", texts, 2, period.start_s, end_by_s=count_s - GAP_S,
               ends_s=count_s - GAP_S)  # fmt: skip
    easier = phrases.easier.get(following.movement or "")
    if following.kind == "work" and easier:
        rank = 4 if following.round in (None, 1) else 6
        at = count_s - spoken_s(text) - spoken_s(easier) - 3 * GAP_S
        yield Wish(at, "option", (easier,), rank, period.start_s, end_by_s=count_s - GAP_S)
