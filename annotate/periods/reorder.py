"""Exercises done in another order than planned.

The alignment runs in order, so an exercise that changed places would come out as left out here and
added there, or as another movement in each round. Where the plan fits much better with some of its
exercises in another place, it is aligned in that order, and those exercises are reported as done
out of order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby

from annotate.periods.align import Aligned, Pairing, align
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.run_costs import A, Judge
from annotate.plan.unroll import PlannedPeriod

# An exercise: its periods in order, over all its rounds, or one turn at a station.
Exercise = tuple[PlannedPeriod, ...]


def align_in_any_order(
    activities: Sequence[A],
    planned: Sequence[PlannedPeriod],
    judge: Judge[A],
    *,
    costs: Costs = DEFAULT,
) -> tuple[Pairing, ...]:
    """Pair activities with planned periods, allowing exercises in another order.

    Parameters are those of :func:`annotate.periods.align.align`. One exercise is moved (or two are
    exchanged) at a time, as long as each move wins `costs.min_move_gain` points.

    Returns
    -------
    tuple of Pairing
        In time order; every planned period and every activity occurs exactly once.
    """
    judge = replace(judge, unlike=_remembered(judge.unlike))
    best = align(activities, planned, judge, costs=costs)
    order = exercises(planned)
    while True:
        tried = [
            (align(activities, _in_turn(o), judge, costs=costs), o)
            for o in _other_orders(order, best, activities, judge, costs)
        ]
        found, new_order = min(tried, key=lambda pair: pair[0].points, default=(best, order))
        if found.points > best.points - costs.min_move_gain:
            break
        best, order = found, new_order
    place = [p.index for exercise in order for p in exercise]
    return tuple(
        p if p.planned is None else Pairing(place[p.planned], p.first, p.stop)
        for p in best.pairings
    )


def _remembered(unlike: Callable[[PlannedPeriod, A], float]) -> Callable[[PlannedPeriod, A], float]:
    """Cache the dissimilarity of each planned movement and activity over all orders tried."""
    known: dict[tuple[str, str | None, float], float] = {}

    def once(planned: PlannedPeriod, activity: A) -> float:
        key = (planned.kind, planned.movement, activity.start_s)
        if key not in known:
            known[key] = unlike(planned, activity)
        return known[key]

    return once


def exercises(planned: Sequence[PlannedPeriod]) -> list[Exercise]:
    """Split the plan into parts that may change places, warm-up and cool-down included."""
    return [tuple(g) for _, g in groupby(planned, key=lambda p: (p.block_index, p.station))]


def out_of_order(planned: Sequence[PlannedPeriod]) -> frozenset[int]:
    """Find the indices of planned periods that were delivered in another place.

    Parameters
    ----------
    planned : sequence of PlannedPeriod
        What was delivered, in time order. As many periods as possible count as in order.
    """
    parts = [[p.index for p in exercise] for exercise in exercises(planned)]
    # Longest increasing subsequence of parts, weighted by their number of periods. Among equals
    # the parts planned earlier stay: chains are compared by size, then by how early they were
    # planned.
    best: list[tuple[int, list[int], list[int]]] = []
    for i, part in enumerate(parts):
        before = [best[j] for j in range(i) if parts[j][-1] < part[0]]
        size, early, chain = max(before, default=(0, [], []))
        best.append((size + len(part), [*early, -part[0]], [*chain, i]))
    kept = max(best, default=(0, [], []))[2]
    return frozenset(k for i, part in enumerate(parts) if i not in kept for k in part)


def _in_turn(order: Sequence[Exercise]) -> list[PlannedPeriod]:
    """List the periods of exercises in this order, each starting where the one before ends."""
    turn, clock_s = [], 0.0
    for period in (p for exercise in order for p in exercise):
        end_s = clock_s + period.duration_s
        turn.append(period.model_copy(update={"start_s": clock_s, "end_s": end_s}))
        clock_s = end_s
    return turn


def _other_orders(
    order: Sequence[Exercise],
    aligned: Aligned,
    activities: Sequence[A],
    judge: Judge[A],
    costs: Costs,
) -> list[list[Exercise]]:
    """Orders worth a try: an exercise moved to where something like it was done but not planned.

    Only exercises that miss some of their work are moved. Each goes before or after the exercise
    planned there, or changes places with it.
    """
    in_place = costs.max_in_place_dissimilarity
    whose = [i for i, exercise in enumerate(order) for _ in exercise]
    in_turn = [p for exercise in order for p in exercise]
    missing: dict[int, PlannedPeriod] = {}
    foreign: list[tuple[int, A]] = []  # the exercise in or after which it was done
    here = 0
    for pairing in aligned.pairings:
        done = [activities[j] for j in pairing.activities]
        longest = max(done, key=lambda a: a.duration_s, default=None)
        if pairing.planned is not None:
            here = whose[pairing.planned]
            planned = in_turn[pairing.planned]
            if longest is not None and judge.unlike(planned, longest) <= in_place:
                continue
            if planned.kind == "work":
                missing.setdefault(here, planned)
        if longest is not None and not longest.idle:
            foreign.append((here, longest))
    found: dict[tuple[int, ...], list[Exercise]] = {}
    for i, planned in missing.items():
        for there in {e for e, a in foreign if e != i and judge.unlike(planned, a) <= in_place}:
            swapped = list(order)
            swapped[i], swapped[there] = swapped[there], swapped[i]
            rest = [*order[:i], *order[i + 1 :]]
            at = there - (there > i)
            for other in (
                swapped,
                [*rest[:at], order[i], *rest[at:]],
                [*rest[: at + 1], order[i], *rest[at + 1 :]],
            ):
                found.setdefault(tuple(e[0].index for e in other), other)
    return list(found.values())
