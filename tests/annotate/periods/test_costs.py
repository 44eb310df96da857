"""Each cost of the alignment decides something: a quarter more or less of it tips an example.

The examples lie close to where two explanations cost the same; the sums are beside them.
"""

from __future__ import annotations

from dataclasses import fields, replace
from functools import partial

import pytest

from annotate.counting.recognise import Behaviour, Recognised
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.evidence import Activity, unlike
from annotate.plan.unroll import PlannedPeriod
from tests.annotate.periods.stretches import Doing, aligned, aligned_in_any_order, plan
from tests.known import known

MORE, LESS = 1.25, 0.75
SQUAT_MARCH_JACK = plan(("squat", 30), ("march", 20), ("jumping-jack", 30))
SQUAT_BREAK_JACK = plan(("squat", 30), ("break", 20), ("jumping-jack", 30))
SQUAT_JACK = plan(("squat", 30), ("jumping-jack", 30))


def odd(unlike_march: float, lasts_s: float) -> list[Doing]:
    """Something in place of the march."""
    return [("squat", 30), (f"odd march {unlike_march}", lasts_s), ("jumping-jack", 30)]


def drink(lasts_s: float) -> list[Doing]:
    """A drink in place of the break."""
    return [("squat", 30), ("drink break 0", lasts_s), ("jumping-jack", 30)]


def second(unlike_jack: float, lasts_s: float = 30, unlike_squat: float = 0.0) -> list[Doing]:
    """After the squats something like them, and a little like the jacks that are due."""
    what = f"again squat {unlike_squat} jumping-jack {unlike_jack}"
    return [("squat", 30), (what, lasts_s)]


def paused(pause_s: float) -> list[Doing]:
    """A set with a pause in the middle."""
    return [("squat", 14), ("drink", pause_s), ("squat", 14)]


def exchanged(
    in_other_place: float,
    squat_unlike_itself: float,
    squat_s: float = 30,
    jack_unlike_itself: float = 0.0,
) -> list[Doing]:
    """First something like jacks, then something like squats; how unlike what is planned there."""
    return [
        (f"jacks jumping-jack {jack_unlike_itself} squat {in_other_place}", 30),
        (f"squats squat {squat_unlike_itself} jumping-jack {in_other_place}", squat_s),
    ]


PAIRED = "squat 0, march 1, jumping-jack 2"
APART = "squat 0, march -, +1, jumping-jack 2"
BREAK, NO_BREAK = "squat 0, break 1, jumping-jack 2", "squat 0, break -, +1, jumping-jack 2"
EXTRA, EXCHANGE = "squat 0, +1, jumping-jack -", "squat 0, jumping-jack 1"
CUT_OFF, MARCHED = "squat 0, +1, march -, jumping-jack -", "squat 0, march 1, jumping-jack -"
ONE_SET, FALSE_START = "squat 0+1+2", "+0, +1, squat 2"
MOVED, IN_PLACE = "jumping-jack 0, squat 1", "squat 0, jumping-jack 1"
LEFT_OUT = "squat -, jumping-jack 0, +1"

# Cost, factor, plan, what was done, how it is told, how it is told with the cost changed.
EXAMPLES = [
    # 3 s of something: left out and added 1.7 + 1.0 + 0.3; paired 2.4 + 3.3 x unlike.
    ("skip_cost", MORE, SQUAT_MARCH_JACK, odd(0.24, 3), APART, PAIRED),
    ("skip_cost", LESS, SQUAT_MARCH_JACK, odd(0.15, 3), PAIRED, APART),
    ("added_cost", MORE, SQUAT_MARCH_JACK, odd(0.24, 3), APART, PAIRED),
    ("added_cost", LESS, SQUAT_MARCH_JACK, odd(0.15, 3), PAIRED, APART),
    ("max_duration_cost", MORE, SQUAT_MARCH_JACK, odd(0.15, 3), PAIRED, APART),
    ("max_duration_cost", LESS, SQUAT_MARCH_JACK, odd(0.24, 3), APART, PAIRED),
    # 10 s of it: 1.7 + 1.0 + 1.0; paired 2 ln 2 + 3.3 x unlike.
    ("added_cost_per_s", MORE, SQUAT_MARCH_JACK, odd(0.72, 10), APART, PAIRED),
    ("added_cost_per_s", LESS, SQUAT_MARCH_JACK, odd(0.68, 10), PAIRED, APART),
    ("movement_cost", MORE, SQUAT_MARCH_JACK, odd(0.68, 10), PAIRED, APART),
    ("movement_cost", LESS, SQUAT_MARCH_JACK, odd(0.72, 10), APART, PAIRED),
    # 60 s of it: 1.7 + 3.0; paired 2 ln 3 + 3.3 x unlike.
    ("max_added_cost", MORE, SQUAT_MARCH_JACK, odd(0.77, 60), APART, PAIRED),
    ("max_added_cost", LESS, SQUAT_MARCH_JACK, odd(0.75, 60), PAIRED, APART),
    # A march at the end: added 1.0 + 0.1 L and one more missing 0.6; paired 2 ln(20 / L).
    ("cut_off_cost", MORE, SQUAT_MARCH_JACK, [("squat", 30), ("march", 6.48)], CUT_OFF, MARCHED),
    ("cut_off_cost", LESS, SQUAT_MARCH_JACK, [("squat", 30), ("march", 6.6)], MARCHED, CUT_OFF),
    # A drink in a break of 20 s: left out and added 1.7 + 0.4; paired 2 ln(20 / L).
    ("added_idle_cost", MORE, SQUAT_BREAK_JACK, drink(6.9), NO_BREAK, BREAK),
    ("added_idle_cost", LESS, SQUAT_BREAK_JACK, drink(7.1), BREAK, NO_BREAK),
    ("duration_cost", MORE, SQUAT_BREAK_JACK, drink(7.1), BREAK, NO_BREAK),
    ("duration_cost", LESS, SQUAT_BREAK_JACK, drink(6.9), NO_BREAK, BREAK),
    # Squats again, jacks left out: 1.2 + 1.7 (3.0 + 1.7 where not the same again); paired with
    # the jacks 3.3 x unlike.
    ("max_repeat_cost", MORE, SQUAT_JACK, second(0.9), EXTRA, EXCHANGE),
    ("max_repeat_cost", LESS, SQUAT_JACK, second(0.86), EXCHANGE, EXTRA),
    ("max_repeat_dissimilarity", MORE, SQUAT_JACK, second(0.95, 30, 0.35), EXCHANGE, EXTRA),
    ("max_repeat_dissimilarity", LESS, SQUAT_JACK, second(0.95, 30, 0.25), EXTRA, EXCHANGE),
    # ln(37.5 / 30) is 0.22, ln(36 / 30) is 0.18.
    ("max_repeat_log_ratio", MORE, SQUAT_JACK, second(0.95, 37.5), EXCHANGE, EXTRA),
    ("max_repeat_log_ratio", LESS, SQUAT_JACK, second(0.95, 36), EXTRA, EXCHANGE),
    # Two lots of squats for 40 s and so many: together 0.5 and one left out 1.7; one for each
    # 2 ln 2 and 2 ln(L / 20).
    ("merge_cost", MORE, plan(("squat", 40), ("squat", 30.5)), [("squat", 20)] * 2,
     "squat 0+1, squat -", "squat 0, squat 1"),
    ("merge_cost", LESS, plan(("squat", 40), ("squat", 29.5)), [("squat", 20)] * 2,
     "squat 0, squat 1", "squat 0+1, squat -"),
    # 31 and 29 s for 10 s.
    ("max_merged_ratio", MORE, plan(("squat", 10)), [("squat", 15), ("squat", 16)],
     "squat 0, +1", "squat 0+1"),
    ("max_merged_ratio", LESS, plan(("squat", 10)), [("squat", 14), ("squat", 15)],
     "squat 0+1", "squat 0, +1"),
    # A pause in a set: together 2 x 0.5 + 2 x 3.3 x (L / 8)^2; or a false start 1.2, the pause
    # 0.4, and half a set 2 ln(30 / 14).
    ("whole_piece_s", MORE, plan(("squat", 30)), paused(4.6), FALSE_START, ONE_SET),
    ("whole_piece_s", LESS, plan(("squat", 30)), paused(4.2), ONE_SET, FALSE_START),
    ("foreign_piece_factor", MORE, plan(("squat", 30)), paused(4.2), ONE_SET, FALSE_START),
    ("foreign_piece_factor", LESS, plan(("squat", 30)), paused(4.6), FALSE_START, ONE_SET),
    # Two strangers for a long set: 2 ln(80 / 50) + 3.3 x 2 x unlike is 7.08 and 6.95; nothing
    # else costs less, 1.7 + 3.0 + 3.0.
    ("max_match_cost", MORE, plan(("squat", 80)), [("lunge", 26), ("odd squat 0.93", 24)],
     "+0, +1, squat -", "squat 0+1"),
    ("max_match_cost", LESS, plan(("squat", 80)), [("lunge", 26), ("odd squat 0.91", 24)],
     "squat 0+1", "+0, +1, squat -"),
    # Two rounds that differ by a second: 2 ln(L / 30) against 2 ln(31 / L) and 30 s of clock.
    ("clock_cost_per_s", MORE, plan(("squat", 30), ("squat", 31)), [("squat", 30.62)],
     "squat -, squat 0", "squat 0, squat -"),
    ("clock_cost_per_s", LESS, plan(("squat", 30), ("squat", 31)), [("squat", 30.6)],
     "squat 0, squat -", "squat -, squat 0"),
]  # fmt: skip


def changed(name: str, factor: float) -> Costs:
    return replace(DEFAULT, **{name: getattr(DEFAULT, name) * factor})


@pytest.mark.parametrize(("name", "factor", "planned", "done", "now", "then"), EXAMPLES)
def test_each_cost_tips_an_example(
    name: str,
    factor: float,
    planned: tuple[PlannedPeriod, ...],
    done: list[Doing],
    now: str,
    then: str,
) -> None:
    assert aligned(planned, done) == now
    assert aligned(planned, done, changed(name, factor)) == then


# Two rounds of which one was done: the first misses its repetitions; the second has the right
# number, and another length by so many points.
REPS_EXAMPLES = [
    # 14 instead of 10: 0.4 against 2 ln(37 / 30) is 0.42, and 2 ln(36 / 30) is 0.36.
    ("reps_cost", MORE, (37, 14), "squat 0, squat -", "squat -, squat 0"),
    ("reps_cost", LESS, (36, 14), "squat -, squat 0", "squat 0, squat -"),
    # 30 instead of 10: 0.8 and no more, against 2 ln(45 / 30) is 0.81, and 2 ln(43 / 30) is 0.72.
    ("max_reps_cost", MORE, (45, 30), "squat 0, squat -", "squat -, squat 0"),
    ("max_reps_cost", LESS, (43, 30), "squat -, squat 0", "squat 0, squat -"),
]


@pytest.mark.parametrize(("name", "factor", "second_round", "now", "then"), REPS_EXAMPLES)
def test_each_cost_of_repetitions_tips_an_example(
    name: str, factor: float, second_round: tuple[int, int], now: str, then: str
) -> None:
    planned = plan(("squat", 30, 10), ("squat", *second_round))

    def missed(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        return abs(second_round[1] - known(period.reps)) / known(period.reps)

    assert aligned(planned, [("squat", 30)], missed=missed) == now
    assert aligned(planned, [("squat", 30)], changed(name, factor), missed) == then


@pytest.mark.parametrize(
    ("name", "step", "planned", "done", "now", "then"),
    [
        # The squats again after their march, or after the exercise that follows.
        ("repeat_lookback", -1, SQUAT_MARCH_JACK,
         [("squat", 30), ("march", 20), ("squat 0 jumping-jack 0.95", 30)],
         "squat 0, march 1, +2, jumping-jack -", "squat 0, march 1, jumping-jack 2"),
        ("repeat_lookback", 1, plan(("squat", 30), ("march", 20), ("press", 30), ("plank", 30)),
         [("squat", 30), ("march", 20), ("press", 30), ("squat 0 plank 0.95", 30)],
         "squat 0, march 1, press 2, plank 3", "squat 0, march 1, press 2, +3, plank -"),
        ("max_merged", 1, plan(("squat", 30)), [("squat", 5)] * 7,
         "squat 0+1+2+3+4+5, +6", "squat 0+1+2+3+4+5+6"),
        ("max_merged", -1, plan(("squat", 30)), [("squat", 5)] * 6,
         "squat 0+1+2+3+4+5", "squat 0+1+2+3+4, +5"),
    ],
)  # fmt: skip
def test_each_number_of_periods_tips_an_example(
    name: str,
    step: int,
    planned: tuple[PlannedPeriod, ...],
    done: list[Doing],
    now: str,
    then: str,
) -> None:
    costs = replace(DEFAULT, **{name: getattr(DEFAULT, name) + step})
    assert aligned(planned, done) == now
    assert aligned(planned, done, costs) == then


ORDER_EXAMPLES = [
    # In order 3.3 x 2 x 0.55; the other way round 3.3 x how unlike the squats are to themselves.
    ("min_move_gain", MORE, exchanged(0.55, 0.34), MOVED, IN_PLACE),
    ("min_move_gain", LESS, exchanged(0.55, 0.35), IN_PLACE, MOVED),
    # What is done in each place is like what is planned there by half.
    ("max_in_place_dissimilarity", MORE, exchanged(0.55, 0.3), MOVED, IN_PLACE),
    ("max_in_place_dissimilarity", LESS, exchanged(0.45, 0.0, 45), IN_PLACE, MOVED),
    # Both are so unlike themselves.
    ("max_in_place_dissimilarity", MORE, exchanged(1.0, 0.55, 30, 0.55), LEFT_OUT, MOVED),
    ("max_in_place_dissimilarity", LESS, exchanged(1.0, 0.45, 30, 0.45), MOVED, LEFT_OUT),
]


@pytest.mark.parametrize(("name", "factor", "done", "now", "then"), ORDER_EXAMPLES)
def test_each_cost_of_another_order_tips_an_example(
    name: str, factor: float, done: list[Doing], now: str, then: str
) -> None:
    assert aligned_in_any_order(SQUAT_JACK, done) == now
    assert aligned_in_any_order(SQUAT_JACK, done, changed(name, factor)) == then


# --- how unlike planned and done are -----------------------------------------------------------


def activity(effort: float, *, still: bool = False) -> Activity:
    """Something the catalogue has no name for, between standing and a squat."""
    half = Behaviour({"hip_height": 0.3, "trunk_deg": 20.0}, {}, {}, {})
    return Activity(0.0, 30.0, absent=False, still=still, named=Recognised(None, 0.0),
                    effort=effort, seen=half)  # fmt: skip


def unknown_work() -> PlannedPeriod:
    return plan(("harbour-hop", 30))[0]


def test_of_a_movement_the_catalogue_does_not_know_effort_is_a_hint() -> None:
    # 0.35 of which 0.6 count, and 0.4 of how far the effort is from that of work.
    judged = partial(unlike, unknown_work())
    assert judged(activity(1.0)) == pytest.approx(0.21)
    assert judged(activity(0.0)) == pytest.approx(0.61)
    assert judged(activity(1.0), replace(DEFAULT, unjudged_dissimilarity=0.5)) == pytest.approx(0.3)
    assert judged(activity(0.0), replace(DEFAULT, unjudged_effort_weight=0.0)) == 0.35


def test_of_a_movement_the_catalogue_knows_effort_is_less_of_a_hint(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("annotate.periods.evidence.likeness", lambda seen, movement: 0.5)
    judged = partial(unlike, plan(("squat", 30))[0])
    # Half unlike, four fifths of it whatever the effort.
    assert judged(activity(1.0)) == pytest.approx(0.5 * 0.8)
    assert judged(activity(0.0)) == pytest.approx(0.5)
    assert judged(activity(1.0), replace(DEFAULT, effort_weight=0.5)) == pytest.approx(0.25)


def test_exercise_in_a_break_is_unlike_it_but_not_wholly() -> None:
    judged = partial(unlike, plan(("break", 30))[0])
    assert judged(activity(0.5)) == 0.7
    assert judged(activity(0.5), replace(DEFAULT, no_break_dissimilarity=0.9)) == 0.9
    assert judged(activity(0.5, still=True)) == 0.0


# --- all of them -------------------------------------------------------------------------------


def test_every_cost_has_examples_with_more_and_with_less_of_it() -> None:
    examples = [*EXAMPLES, *REPS_EXAMPLES, *ORDER_EXAMPLES]
    both = {(name, factor) for name, factor, *_ in examples}
    weights = {"unjudged_dissimilarity", "unjudged_effort_weight", "effort_weight",
               "no_break_dissimilarity"}  # fmt: skip
    numbers = {"repeat_lookback", "max_merged"}
    left = {f.name for f in fields(Costs)} - weights - numbers
    assert both == {(name, factor) for name in left for factor in (MORE, LESS)}


@pytest.mark.parametrize("name", [f.name for f in fields(Costs)])
def test_a_negative_cost_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match=f"{name} must not be negative"):
        replace(DEFAULT, **{name: -1})
    assert replace(DEFAULT, **{name: 0}) != DEFAULT
