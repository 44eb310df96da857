"""Which activities may make up one planned period, and what was only done once more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.run_costs import added_costs
from annotate.plan.unroll import PlannedPeriod
from tests.annotate.periods.stretches import Done, aligned, plan

SQUAT = plan(("squat", 30))


# --- several activities as one period ----------------------------------------------------------


def test_nobody_in_the_middle_of_a_set_is_part_of_it() -> None:
    assert aligned(SQUAT, [("squat", 14), ("nobody", 6), ("squat", 10)]) == "squat 0+1+2"


def test_nobody_at_the_beginning_or_the_end_of_a_set_is_not() -> None:
    assert aligned(SQUAT, [("nobody", 10), ("squat", 20)]) == "+0, squat 1"
    assert aligned(SQUAT, [("squat", 20), ("nobody", 10)]) == "squat 0, +1"
    assert aligned(SQUAT, [("nobody", 30)]) == "+0, squat -"


def test_one_long_activity_may_be_any_period_but_several_may_not() -> None:
    short = plan(("squat", 10))
    assert aligned(short, [("squat", 40)]) == "squat 0"
    # Three times as long is the most.
    assert aligned(short, [("squat", 15), ("squat", 15)]) == "squat 0+1"
    assert aligned(short, [("squat", 15), ("squat", 15.1)]) == "squat 0, +1"


def test_a_pairing_as_dear_as_the_limit_is_out_of_the_question() -> None:
    other = [("lunge", 30)]
    costs = replace(DEFAULT, movement_cost=1.0, skip_cost=9.0, max_match_cost=1.01)
    assert aligned(SQUAT, other, costs) == "squat 0"
    assert aligned(SQUAT, other, replace(costs, max_match_cost=1.0)) == "+0, squat -"


def test_the_longest_piece_and_the_most_foreign_one_say_what_a_run_is() -> None:
    # 3.3 x 2 x 0.3, however long the piece; the pieces apart cost more.
    assert aligned(SQUAT, [("squat", 16), ("odd squat 0.3", 15)]) == "squat 0+1"
    assert aligned(SQUAT, [("squat", 16), ("odd squat 0.6", 15)]) == "squat 0, +1"
    # A short stranger in a long set is nothing.
    assert aligned(SQUAT, [("lunge", 2), ("squat", 28)]) == "squat 0+1"


# --- added -------------------------------------------------------------------------------------

PLANNED = plan(("squat", 30), ("march", 20), ("press", 30), ("jumping-jack", 30))
NEW = 3.0


def added(
    lasts_s: float, unlike: tuple[float, ...], broken_off: bool = False,
    planned: Sequence[PlannedPeriod] = PLANNED, costs: Costs = DEFAULT,
) -> list[float]:  # fmt: skip
    """Points of an activity before each planned period and behind all."""
    done = Done("something", 100.0, 100.0 + lasts_s)
    return added_costs(done, planned, np.array(unlike), broken_off, costs)


def test_something_new_costs_the_same_everywhere_and_more_the_longer_it_is() -> None:
    assert added(5, (1, 1, 1, 1)) == [1.5] * 5
    assert added(50, (1, 1, 1, 1)) == [NEW] * 5


def test_once_more_is_cheap_after_what_it_repeats_and_its_recovery() -> None:
    assert added(30, (0, 1, 1, 1)) == [NEW, 1.2, 1.2, NEW, NEW]
    assert added(30, (1, 1, 1, 0)) == [NEW, NEW, NEW, NEW, 1.2]
    # Never dearer than something new.
    assert added(30, (0, 1, 1, 1), costs=replace(DEFAULT, max_repeat_cost=9.0)) == [NEW] * 5


def test_once_more_means_alike_and_as_long_and_less_is_not_enough() -> None:
    for unlike, points in ((0.29, 1.2), (0.3, NEW)):
        assert added(30, (unlike, 1, 1, 1))[1] == points
    limit = replace(DEFAULT, max_repeat_log_ratio=math.log(36 / 30))
    for lasts_s, points in ((35.9, 1.2), (36, NEW), (25.1, 1.2), (24.9, NEW)):
        assert added(lasts_s, (0, 1, 1, 1), costs=limit)[1] == points


def test_only_work_and_recovery_are_done_once_more() -> None:
    assert added(20, (1, 0, 1, 1))[2] == 1.2
    for kind in ("warm-up", "cool-down", "break"):
        first = PLANNED[0].model_copy(update={"kind": kind})
        assert added(30, (0, 1, 1, 1), planned=(first, *PLANNED[1:]))[1] == NEW


def test_a_false_start_is_what_comes_next_and_is_broken_off_whatever_its_length() -> None:
    assert added(18, (1, 1, 0, 1), broken_off=True) == [2.8, 2.8, 1.2, 2.8, 2.8]
    assert added(18, (1, 1, 0, 1)) == [2.8] * 5
    for unlike, points in ((0.29, 1.2), (0.3, 2.8)):
        assert added(18, (1, 1, unlike, 1), broken_off=True)[2] == points


def test_nobody_exercising_costs_little_whatever_its_length() -> None:
    for lasts_s in (5, 500):
        done = Done("drink", 0.0, lasts_s)
        assert added_costs(done, PLANNED, np.ones(4), False, DEFAULT) == [0.4] * 5


def test_a_start_is_broken_off_where_nobody_exercises_right_after_it() -> None:
    # Two of the same: the jacks of 18 s are added or planned, 1.2 or 2 ln(30 / 18).
    jacks = plan(("squat", 30), ("jumping-jack", 30))
    start, rest = [("squat", 30), ("jumping-jack", 18)], [("drink", 10), ("jumping-jack", 30)]
    assert aligned(jacks, [*start, *rest]) == "squat 0, +1, +2, jumping-jack 3"
    # A lunge and a drink: not broken off, 2.8.
    assert aligned(jacks, [*start, ("lunge", 20), *rest]) == "squat 0, jumping-jack 1, +2, +3, +4"
