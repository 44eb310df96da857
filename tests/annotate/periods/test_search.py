"""The search finds the cheapest of all ways, and counts repetitions only where they may matter."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from annotate.periods.align import Aligned, align
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.run_costs import Judge, added_costs, runs_from, unlikeness
from annotate.plan.unroll import PlannedPeriod
from tests.annotate.periods.stretches import Done, aligned, deliver, no_reps, plan, unlike

Missed = Callable[[PlannedPeriod, float, float], float]
MOVEMENTS = ("squat", "march", "jumping-jack")


def cheapest(
    done: list[Done], planned: tuple[PlannedPeriod, ...], judge: Judge[Done], costs: Costs
) -> float:
    """Points of the cheapest way, by trying all of them."""
    n, m = len(done), len(planned)
    apart = unlikeness(done, planned, judge)

    def from_here(i: int, k: int) -> float:
        if i == n:
            return costs.skip_cost + costs.cut_off_cost * (m - k - 1) if k < m else 0.0
        ends_early = i + 1 < n and done[i + 1].idle
        ways = [
            added_costs(done[i], planned, apart[:, i], ends_early, costs)[k] + from_here(i + 1, k)
        ]
        if k < m:
            ways.append(costs.skip_cost + from_here(i, k + 1))
        for run in runs_from(i, done, planned, apart, costs) if k < m else ():
            missed = judge.reps_missed(planned[k], done[i].start_s, done[run.stop - 1].end_s)
            reps = min(costs.reps_cost * missed, costs.max_reps_cost)
            known = max(0.0, 1 - run.foreign[k])
            if math.isfinite(run.points[k]):
                ways.append(run.points[k] + reps * known + from_here(run.stop, k + 1))
        return min(ways)

    return from_here(0, 0)


def points_of(
    found: Aligned, done: list[Done], planned: tuple[PlannedPeriod, ...], judge: Judge[Done],
    costs: Costs,
) -> float:  # fmt: skip
    """What the pairings that were found cost together."""
    apart = unlikeness(done, planned, judge)
    n, m = len(done), len(planned)
    points, k, missing = 0.0, 0, 0
    for p in found.pairings:
        if p.planned is None:
            early = p.first + 1 < n and done[p.first + 1].idle
            points += added_costs(done[p.first], planned, apart[:, p.first], early, costs)[k]
            continue
        assert p.planned == k
        k += 1
        if not p.activities:
            missing += p.first == n
            points += costs.skip_cost if p.first < n or missing == 1 else costs.cut_off_cost
            continue
        run = next(r for r in runs_from(p.first, done, planned, apart, costs) if r.stop == p.stop)
        missed = judge.reps_missed(
            planned[p.planned], done[p.first].start_s, done[p.stop - 1].end_s
        )
        reps = min(costs.reps_cost * missed, costs.max_reps_cost)
        points += run.points[p.planned] + reps * max(0.0, 1 - run.foreign[p.planned])
    assert k == m
    return points


def a_class(rng: np.random.Generator) -> tuple[list[Done], tuple[PlannedPeriod, ...], Judge[Done]]:
    """Any doings and any plan, with repetitions that are right or wrong by any share."""
    lengths = (4.0, 8.0, 15.0, 20.0, 30.0, 45.0)
    planned = plan(
        *((str(rng.choice(MOVEMENTS)), float(rng.choice(lengths)), 10)
          for _ in range(rng.integers(0, 5)))
    )  # fmt: skip
    doings = []
    for _ in range(rng.integers(0, 6)):
        what = str(
            rng.choice([*MOVEMENTS, "drink", "nobody", "odd"], p=[0.25] * 3 + [0.08, 0.07, 0.1])
        )
        if what in MOVEMENTS and rng.random() < 0.4:
            what = (
                f"{what} {what} {rng.choice([0.1, 0.2, 0.4])} squat {rng.choice([0.5, 0.8, 1.0])}"
            )
        doings.append((what, float(rng.choice(lengths))))
    shares: dict[tuple[int, float, float], float] = {}

    def missed(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        return shares.setdefault(
            (period.index, start_s, end_s), float(rng.choice([0.0, 0.1, 0.5, 1.5]))
        )

    return deliver(doings), planned, Judge(unlike, missed)


@pytest.mark.parametrize("seed", range(150))
def test_no_other_way_is_cheaper_than_the_one_found(seed: int) -> None:
    rng = np.random.default_rng(seed)
    done, planned, judge = a_class(rng)
    costs = DEFAULT if seed % 2 else replace(DEFAULT, skip_cost=float(rng.uniform(0.3, 3)),
                                             added_idle_cost=1.0, max_merged=3)  # fmt: skip
    found = align(done, planned, judge, costs=costs)
    assert found.points == pytest.approx(cheapest(done, planned, judge, costs), abs=1e-9)
    assert points_of(found, done, planned, judge, costs) == pytest.approx(found.points, abs=1e-9)
    assert [i for p in found.pairings for i in p.activities] == list(range(len(done)))


def asked_for(
    planned: Sequence[PlannedPeriod], doings: Sequence[tuple[Any, float]], missed: Missed = no_reps
) -> list[tuple[int, float, float]]:
    """Which repetitions were asked for: planned period, start and end."""
    asked: list[tuple[int, float, float]] = []

    def asking(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        asked.append((period.index, start_s, end_s))
        return missed(period, start_s, end_s)

    align(deliver(doings), planned, Judge(unlike, asking))
    return sorted(set(asked))


CLASS = plan(("squat", 30), ("march", 20), ("squat", 30), ("march", 20), ("jumping-jack", 30))
AS_PLANNED = [(p.movement, p.duration_s) for p in CLASS]


def test_in_a_class_as_planned_no_other_repetitions_are_counted() -> None:
    assert asked_for(CLASS, AS_PLANNED) == [(p.index, p.start_s, p.end_s) for p in CLASS]
    # Nor where both rounds together might be one of them.
    rounds = plan(("squat", 30), ("squat", 60))
    assert asked_for(rounds, [("squat", 30), ("squat", 60)]) == [(0, 0, 30), (1, 30, 90)]


def test_where_something_was_left_out_or_added_few_other_repetitions_are_counted() -> None:
    left_out = AS_PLANNED[:2] + AS_PLANNED[4:]
    # The clock makes the first round the likelier one; the second is 0.025 dearer.
    assert asked_for(CLASS, left_out) == [(0, 0, 30), (1, 30, 50), (4, 50, 80)]
    added = [*AS_PLANNED[:2], ("drink", 30), *AS_PLANNED[2:]]
    assert [k for k, *_ in asked_for(CLASS, added)] == [0, 1, 2, 3, 4]
    whole = [*AS_PLANNED[:2], ("squat", 10), ("squat", 20), *AS_PLANNED[3:]]
    assert asked_for(CLASS, whole) == [(p.index, p.start_s, p.end_s) for p in CLASS]


def test_where_repetitions_are_missed_others_are_counted_as_far_as_they_may_win() -> None:
    def missed(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        return 0.3 if (period.index, start_s) == (0, 0) else 0.0

    left_out = AS_PLANNED[:2] + AS_PLANNED[4:]
    asked = asked_for(CLASS, left_out, missed)
    assert (2, 0, 30) in asked and (3, 30, 50) in asked
    assert not [a for a in asked if a[0] == 4 and a[1] != 50]


def test_repetitions_of_another_movement_say_nothing() -> None:
    doings = [*AS_PLANNED[:2], ("lunge", 30), *AS_PLANNED[3:]]
    assert [k for k, *_ in asked_for(CLASS, doings)] == [0, 1, 3, 4]


def test_of_a_movement_half_like_the_planned_one_repetitions_say_half() -> None:
    # Two rounds that differ in repetitions and by 2 ln(L / 30): 0.8 x 0.5, not 0.8.
    def first_missed(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        return 2.0 if period.index == 0 else 0.0

    for lasts_s, expected in ((36.0, "squat -, squat 0"), (37.5, "squat 0, squat -")):
        planned = plan(("squat", 30, 10), ("squat", lasts_s, 10))
        assert aligned(planned, [("odd squat 0.5", 30)], missed=first_missed) == expected


def test_of_two_ways_that_cost_the_same_the_answer_is_always_the_same() -> None:
    # Without the clock both rounds fit as well: the way that pairs earlier is kept.
    costs = replace(DEFAULT, clock_cost_per_s=0.0)
    twice = plan(("squat", 30), ("squat", 30))
    assert aligned(twice, [("squat", 30)], costs) == "squat 0, squat -"
    # Here the sums of the two ways differ in the last bit, in favour of the other.
    third = plan(("march", 10), ("squat", 30), ("squat", 20))
    doings = [("march", 30), ("squat", 30), ("squat", 30), ("squat", 30)]
    assert aligned(third, doings, costs) == "march 0, squat 1, +2, squat 3"
