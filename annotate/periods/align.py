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
from annotate.periods.run_costs import (
    A,
    FitMeasures,
    Run,
    added_costs,
    candidate_runs,
    dissimilarities,
)
from annotate.plan.unroll import PlannedPeriod

# Adding the same costs in another order changes the sum by far less than this (some hundred
# float64 values of a few points: below 1e-12). No cost is as small.
_ROUNDING_TOLERANCE = 1e-6


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
    measures: FitMeasures[A],
    *,
    costs: Costs = DEFAULT,
) -> Aligned:
    """Pair activities with planned periods at the lowest total cost.

    Parameters
    ----------
    activities : sequence of ActivityLike
        What was delivered, in time order.
    planned : sequence of PlannedPeriod
        In time order.
    judge : FitMeasures
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
    back_pointers: list[list[tuple[int | None, int] | None]] = [
        [None] * (m + 1) for _ in range(n + 1)
    ]
    best[0][0] = 0.0

    dissimilarity = dissimilarities(activities, planned, measures)
    runs = [candidate_runs(i, activities, planned, dissimilarity, costs) for i in range(n)]
    added = [
        added_costs(
            a, planned, dissimilarity[:, i], any(b.idle for b in activities[i + 1 : i + 2]), costs
        )
        for i, a in enumerate(activities)
    ]
    # Counting repetitions is slow, so the search is bounded. `least` is a lower bound of the cost
    # from each state to the end: the cost without repetitions, which only ever add to it. `enough`
    # is an upper bound: the full cost of one path. States above it are not expanded.
    lower_bound = _lower_bounds(runs, added, m, costs)

    def added_by_reps(run: Run, i: int, k: int) -> float:
        return _reps_cost(run, activities[i : run.stop], k, planned[k], measures, costs)

    upper_bound = _upper_bound(runs, added, lower_bound, added_by_reps, costs) + _ROUNDING_TOLERANCE

    def relax(i: int, k: int, cost: float, step: tuple[int | None, int]) -> None:
        if cost < best[i][k] - 1e-12:
            best[i][k], back_pointers[i][k] = cost, step

    for i in range(n):
        for k in range(m + 1):
            here = best[i][k]
            if here + lower_bound[i][k] > upper_bound:
                continue
            if k < m:
                relax(i, k + 1, here + costs.skip_cost, (k, i))
                for run in runs[i]:
                    points = run.points[k]
                    # Repetitions never lower the cost, so this test needs no counting.
                    if here + points + lower_bound[run.stop][k + 1] <= upper_bound:
                        relax(run.stop, k + 1, here + points + added_by_reps(run, i, k), (k, i))
            relax(i + 1, k, here + added[i][k], (None, i))
    return _cheapest(best[n], back_pointers, costs)


def _cheapest(
    ends: Sequence[float],
    back_pointers: Sequence[Sequence[tuple[int | None, int] | None]],
    costs: Costs,
) -> Aligned:
    """Follow the back pointers from the cheapest end."""
    n, m = len(back_pointers) - 1, len(ends) - 1
    totals = [cost + _missing_at_end_cost(m - k, costs) for k, cost in enumerate(ends)]
    i, k = n, int(np.argmin(totals))
    path = [Pairing(missing_index, n, n) for missing_index in range(m - 1, k - 1, -1)]
    points = totals[k]
    while (step := back_pointers[i][k]) is not None:
        path.append(Pairing(step[0], step[1], i))
        i, k = step[1], (k if step[0] is None else k - 1)
    return Aligned(tuple(reversed(path)), points)


def _reps_cost(
    run: Run,
    done: Sequence[A],
    k: int,
    planned: PlannedPeriod,
    measures: FitMeasures[A],
    costs: Costs,
) -> float:
    """Cost added by the repetitions; those of another movement say nothing."""
    if run.run_dissimilarity[k] >= 1:
        return 0.0
    missed = measures.reps_missed(planned, done[0].start_s, done[-1].end_s)
    return min(costs.reps_cost * missed, costs.max_reps_cost) * (1 - run.run_dissimilarity[k])


def _missing_at_end_cost(missing: int, costs: Costs) -> float:
    """Cost of this many planned periods missing after the last activity."""
    return costs.skip_cost + costs.cut_off_cost * (missing - 1) if missing else 0.0


def _lower_bounds(
    runs: Sequence[Sequence[Run]], added: Sequence[Sequence[float]], m: int, costs: Costs
) -> list[list[float]]:
    """Lower bound (n + 1, m + 1) of the cost from each state to the end, without repetitions."""
    n = len(added)
    skips = costs.skip_cost * np.arange(m + 1)
    lower_bound = np.full((n + 1, m + 1), math.inf)
    lower_bound[n] = [_missing_at_end_cost(m - k, costs) for k in range(m + 1)]
    for i in range(n - 1, -1, -1):
        row = np.array(added[i]) + lower_bound[i + 1]
        for run in runs[i]:
            row[:m] = np.minimum(row[:m], np.array(run.points) + lower_bound[run.stop, 1:])
        # Any number of planned periods may be skipped first.
        lower_bound[i] = np.minimum.accumulate((row + skips)[::-1])[::-1] - skips
    out: list[list[float]] = lower_bound.tolist()
    return out


def _upper_bound(
    runs: Sequence[Sequence[Run]],
    added: Sequence[Sequence[float]],
    lower_bound: list[list[float]],
    added_by_reps: Callable[[Run, int, int], float],
    costs: Costs,
) -> float:
    """Upper bound: the full cost of the path that is cheapest without repetitions."""
    n, m = len(added), len(lower_bound[0]) - 1
    i, k, cost = 0, 0, 0.0
    while i < n:
        here = lower_bound[i][k] + _ROUNDING_TOLERANCE
        candidates = (
            r for r in runs[i] if k < m and r.points[k] + lower_bound[r.stop][k + 1] <= here
        )
        if (run := next(candidates, None)) is not None:
            cost += run.points[k] + added_by_reps(run, i, k)
            i, k = run.stop, k + 1
        elif k < m and costs.skip_cost + lower_bound[i][k + 1] <= here:
            cost, k = cost + costs.skip_cost, k + 1
        else:
            cost, i = cost + added[i][k], i + 1
    return cost + _missing_at_end_cost(m - k, costs)
