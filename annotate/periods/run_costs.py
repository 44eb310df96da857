"""What it costs to take neighbouring activities for one planned period, or for nothing planned.

Aligning looks for the cheapest way through these.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.periods.costs import Costs
from annotate.plan.model import PlannedPeriod

Floats = NDArray[np.float64]


class Stretch(Protocol):
    """What aligning needs to know of an activity."""

    @property
    def start_s(self) -> float: ...
    @property
    def end_s(self) -> float: ...
    @property
    def duration_s(self) -> float: ...
    @property
    def absent(self) -> bool: ...
    @property
    def idle(self) -> bool: ...


A = TypeVar("A", bound=Stretch)


@dataclass(frozen=True)
class Judge(Generic[A]):
    """How well planned and delivered fit.

    Attributes
    ----------
    unlike : callable
        Planned period and activity: unlike in what is done, 0 (alike) to 1.
    reps_missed : callable
        Planned period, start and end: fraction by which the repetitions miss the planned ones;
        0 where none are planned. Rounds that differ in nothing else are told apart by them.
    """

    unlike: Callable[[PlannedPeriod, A], float]
    reps_missed: Callable[[PlannedPeriod, float, float], float]


@dataclass(frozen=True)
class Run:
    """Neighbouring activities up to `stop`, as each of the planned periods.

    Attributes
    ----------
    points : list of float, one for each planned period
        What the pairing costs, repetitions aside; infinite where it is out of the question.
    foreign : list of float
        How unlike it is what was planned.
    """

    stop: int
    points: list[float]
    foreign: list[float]


def unlikeness(
    activities: Sequence[A], planned: Sequence[PlannedPeriod], judge: Judge[A]
) -> Floats:
    """Unlikeness of every planned period (row) and activity; equal rounds are judged once."""
    rows: dict[tuple[str, str | None], list[float]] = {}
    out = []
    for p in planned:
        key = (p.kind, p.movement)
        if key not in rows:
            rows[key] = [judge.unlike(p, a) for a in activities]
        out.append(rows[key])
    return np.array(out, dtype=np.float64).reshape(len(planned), len(activities))


def added_costs(
    activity: Stretch,
    planned: Sequence[PlannedPeriod],
    unlike: Floats,
    broken_off: bool,
    costs: Costs,
) -> list[float]:
    """Points for an activity that nothing in the plan explains, between any two planned periods.

    Parameters
    ----------
    activity : Stretch
    unlike : (m,) float64
        How unlike each planned period the activity is.
    broken_off : bool
        Nobody exercises right after it.

    Returns
    -------
    list of float, length m + 1
        Entry k holds before planned period k, and behind all for the last.
    """
    if activity.idle:
        return [costs.added_idle_cost] * (len(planned) + 1)
    own = min(costs.added_cost + costs.added_cost_per_s * activity.duration_s, costs.max_added_cost)
    alike = [
        u < costs.max_repeat_dissimilarity
        and p.kind in ("work", "recovery")
        and abs(math.log(activity.duration_s / p.duration_s)) < costs.max_repeat_log_ratio
        for p, u in zip(planned, unlike.tolist(), strict=True)
    ]
    start = [broken_off and u < costs.max_repeat_dissimilarity for u in unlike.tolist()]
    again = min(own, costs.max_repeat_cost)
    back = costs.repeat_lookback
    return [
        again if any(alike[max(0, k - back) : k] + start[k : k + 1]) else own
        for k in range(len(planned) + 1)
    ]


def runs_from(
    first: int,
    activities: Sequence[A],
    planned: Sequence[PlannedPeriod],
    unlike: Floats,
    costs: Costs,
) -> list[Run]:
    """All runs of activities from `first` on that may make up one planned period."""
    planned_s = np.array([p.duration_s for p in planned])
    late_s = np.abs([activities[first].start_s - p.start_s for p in planned])
    clock = costs.clock_cost_per_s * late_s
    out = []
    for stop in range(first + 1, min(first + costs.max_merged, len(activities)) + 1):
        run = activities[first:stop]
        if run[0].absent or run[-1].absent:
            continue
        lasts_s = run[-1].end_s - run[0].start_s
        stretched = costs.duration_cost * np.abs(np.log(lasts_s / planned_s))
        duration = np.minimum(stretched, costs.max_duration_cost)
        foreign = _foreign(first, run, unlike, costs)
        fit = duration + costs.movement_cost * foreign
        out_of_question = fit >= costs.max_match_cost
        if len(run) > 1:
            out_of_question |= lasts_s > costs.max_merged_ratio * planned_s
        whole = fit + costs.merge_cost * (len(run) - 1) + clock
        points = np.where(out_of_question, math.inf, whole)
        out.append(Run(stop, points.tolist(), foreign.tolist()))
    return out


def _foreign(first: int, run: Sequence[A], unlike: Floats, costs: Costs) -> Floats:
    """How unlike each planned period a run is as a whole."""
    # Nobody in the picture is nothing foreign: what went on there is not known.
    seen = [i for i, piece in enumerate(run) if not piece.absent]
    longest = max(seen, key=lambda i: run[i].duration_s)
    foreign: Floats = unlike[:, first + longest]
    for i in seen:
        piece = run[i]
        if i != longest:
            # An average would hide a round inside a long warm-up: the worst piece speaks.
            whole = min(1.0, piece.duration_s / costs.whole_piece_s) ** 2
            weight = costs.foreign_piece_factor * whole
            foreign = np.maximum(foreign, weight * unlike[:, first + i])
    return foreign
