"""Alignment of what was delivered with what was planned, by dynamic programming.

Delivered activities and planned periods both run in order. A planned period takes one activity,
several neighbouring ones (pieces of the same period), or none (skipped). An activity that answers
no planned period is added. The path with the lowest total cost wins.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.run_costs import A, Judge, Run, added_costs, runs_from, unlikeness
from annotate.plan.unroll import PlannedPeriod

# Adding the same costs in another order changes the sum by far less than this (some hundred
# float64 values of a few points: below 1e-12). No cost is as small.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Pairing:
    """A planned period and the activities that answer it.

    Attributes
    ----------
    planned : int or None
        Index of the planned period; None for added activities.
    first, stop : int
        Indices of the first activity and of the one after the last; equal when skipped.
    """

    planned: int | None
    first: int
    stop: int

    @property
    def activities(self) -> range:
        """Their places among all activities."""
        return range(self.first, self.stop)


@dataclass(frozen=True)
class Aligned:
    """All pairings in time order, and their total cost in points."""

    pairings: tuple[Pairing, ...]
    points: float


def align(
    activities: Sequence[A],
    planned: Sequence[PlannedPeriod],
    judge: Judge[A],
    *,
    costs: Costs = DEFAULT,
) -> Aligned:
    """Pair activities with planned periods at the lowest total cost.

    Parameters
    ----------
    activities : sequence of Stretch
        What was delivered, in time order.
    planned : sequence of PlannedPeriod
        In time order.
    judge : Judge
        How well an activity fits a planned period.
    costs : Costs
        Weights of the alignment.

    Returns
    -------
    Aligned
        Every planned period, by its place in `planned`, and every activity occurs exactly once.
    """
    n, m = len(activities), len(planned)
    # best[i][k]: lowest cost of explaining the first i activities and the first k planned periods.
    best = [[math.inf] * (m + 1) for _ in range(n + 1)]
    # Back pointers: the planned period (or None) and the first activity of the last step.
    came: list[list[tuple[int | None, int] | None]] = [[None] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0

    unlike = unlikeness(activities, planned, judge)
    runs = [runs_from(i, activities, planned, unlike, costs) for i in range(n)]
    added = [
        added_costs(a, planned, unlike[:, i], any(b.idle for b in activities[i + 1 : i + 2]), costs)
        for i, a in enumerate(activities)
    ]
    # Counting repetitions is slow, so the search is bounded. `least` is a lower bound of the cost
    # from each state to the end: the cost without repetitions, which only ever add to it. `enough`
    # is an upper bound: the full cost of one path. States above it are not expanded.
    least = _least_from(runs, added, m, costs)

    def dearer(run: Run, i: int, k: int) -> float:
        return _reps_cost(run, activities[i : run.stop], k, planned[k], judge, costs)

    enough = _cost_of_likeliest(runs, added, least, dearer, costs) + _ROUNDING

    def offer(i: int, k: int, cost: float, step: tuple[int | None, int]) -> None:
        if cost < best[i][k] - 1e-12:
            best[i][k], came[i][k] = cost, step

    for i in range(n):
        for k in range(m + 1):
            here = best[i][k]
            if here + least[i][k] > enough:
                continue
            if k < m:
                offer(i, k + 1, here + costs.skip_cost, (k, i))
                for run in runs[i]:
                    points = run.points[k]
                    # Repetitions never lower the cost, so this test needs no counting.
                    if here + points + least[run.stop][k + 1] <= enough:
                        offer(run.stop, k + 1, here + points + dearer(run, i, k), (k, i))
            offer(i + 1, k, here + added[i][k], (None, i))
    return _cheapest(best[n], came, costs)


def _cheapest(
    ends: Sequence[float], came: Sequence[Sequence[tuple[int | None, int] | None]], costs: Costs
) -> Aligned:
    """Follow the back pointers from the cheapest end."""
    n, m = len(came) - 1, len(ends) - 1
    totals = [cost + _cut_off(m - k, costs) for k, cost in enumerate(ends)]
    i, k = n, int(np.argmin(totals))
    path = [Pairing(gone, n, n) for gone in range(m - 1, k - 1, -1)]
    points = totals[k]
    while (step := came[i][k]) is not None:
        path.append(Pairing(step[0], step[1], i))
        i, k = step[1], (k if step[0] is None else k - 1)
    return Aligned(tuple(reversed(path)), points)


def _reps_cost(
    run: Run, done: Sequence[A], k: int, planned: PlannedPeriod, judge: Judge[A], costs: Costs
) -> float:
    """Cost added by the repetitions; those of another movement say nothing."""
    if run.foreign[k] >= 1:
        return 0.0
    missed = judge.reps_missed(planned, done[0].start_s, done[-1].end_s)
    return min(costs.reps_cost * missed, costs.max_reps_cost) * (1 - run.foreign[k])


def _cut_off(missing: int, costs: Costs) -> float:
    """Cost of this many planned periods missing after the last activity."""
    return costs.skip_cost + costs.cut_off_cost * (missing - 1) if missing else 0.0


def _least_from(
    runs: Sequence[Sequence[Run]], added: Sequence[Sequence[float]], m: int, costs: Costs
) -> list[list[float]]:
    """Lower bound (n + 1, m + 1) of the cost from each state to the end, without repetitions."""
    n = len(added)
    skips = costs.skip_cost * np.arange(m + 1)
    least = np.full((n + 1, m + 1), math.inf)
    least[n] = [_cut_off(m - k, costs) for k in range(m + 1)]
    for i in range(n - 1, -1, -1):
        row = np.array(added[i]) + least[i + 1]
        for run in runs[i]:
            row[:m] = np.minimum(row[:m], np.array(run.points) + least[run.stop, 1:])
        # Any number of planned periods may be skipped first.
        least[i] = np.minimum.accumulate((row + skips)[::-1])[::-1] - skips
    out: list[list[float]] = least.tolist()
    return out


def _cost_of_likeliest(
    runs: Sequence[Sequence[Run]],
    added: Sequence[Sequence[float]],
    least: list[list[float]],
    dearer: Callable[[Run, int, int], float],
    costs: Costs,
) -> float:
    """Upper bound: the full cost of the path that is cheapest without repetitions."""
    n, m = len(added), len(least[0]) - 1
    i, k, cost = 0, 0, 0.0
    while i < n:
        here = least[i][k] + _ROUNDING
        fitting = (r for r in runs[i] if k < m and r.points[k] + least[r.stop][k + 1] <= here)
        if (run := next(fitting, None)) is not None:
            cost += run.points[k] + dearer(run, i, k)
            i, k = run.stop, k + 1
        elif k < m and costs.skip_cost + least[i][k + 1] <= here:
            cost, k = cost + costs.skip_cost, k + 1
        else:
            cost, i = cost + added[i][k], i + 1
    return cost + _cut_off(m - k, costs)
