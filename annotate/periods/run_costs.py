"""Costs of taking neighbouring activities for one planned period, or for nothing planned.

The alignment looks for the cheapest path through these.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.periods.costs import Costs
from annotate.plan.unroll import PlannedPeriod

Floats = NDArray[np.float64]


class Stretch(Protocol):
    """What the alignment needs to know about an activity; times in seconds."""

    @property
    def start_s(self) -> float:
        """Where it begins."""

    @property
    def end_s(self) -> float:
        """Where it ends."""

    @property
    def duration_s(self) -> float:
        """Length in seconds."""

    @property
    def absent(self) -> bool:
        """Nobody is in the picture."""

    @property
    def idle(self) -> bool:
        """Nobody exercises."""


A = TypeVar("A", bound=Stretch)


@dataclass(frozen=True)
class Judge(Generic[A]):
    """How well planned and delivered fit.

    Attributes
    ----------
    unlike : callable
        Takes a planned period and an activity; dissimilarity of what is done, 0 (alike) to 1.
    reps_missed : callable
        Takes a planned period, start and end; fraction of the planned repetitions missed or too
        many, 0 where none are planned. It separates rounds that differ in nothing else.
    """

    unlike: Callable[[PlannedPeriod, A], float]
    reps_missed: Callable[[PlannedPeriod, float, float], float]


@dataclass(frozen=True)
class Run:
    """Neighbouring activities up to `stop`, taken for each of the planned periods.

    Attributes
    ----------
    stop : int
        Index of the activity after the last.
    points : list of float, one for each planned period
        Cost of the pairing without repetitions; infinite where it is ruled out.
    foreign : list of float, one for each planned period
        Dissimilarity from what was planned.
    """

    stop: int
    points: list[float]
    foreign: list[float]


def unlikeness(
    activities: Sequence[A], planned: Sequence[PlannedPeriod], judge: Judge[A]
) -> Floats:
    """Dissimilarity (m, n) of planned periods and activities; equal rounds are judged once."""
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
    """Cost of an added activity at each place between two planned periods.

    Parameters
    ----------
    activity : Stretch
    planned : sequence of PlannedPeriod, length m
    unlike : (m,) float64
        Dissimilarity of the activity from each planned period.
    broken_off : bool
        Whether nobody exercises right after it.
    costs : Costs

    Returns
    -------
    list of float, length m + 1
        Points. Entry k is for the place before planned period k, the last for the end.
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
    """List the runs of activities from `first` on that may make up one planned period."""
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
    """Dissimilarity (m,) of a run as a whole from each planned period."""
    # An absence is not counted as another movement: what went on there is not known.
    seen = [i for i, piece in enumerate(run) if not piece.absent]
    longest = max(seen, key=lambda i: run[i].duration_s)
    foreign: Floats = unlike[:, first + longest]
    for i in seen:
        piece = run[i]
        if i != longest:
            # The worst piece decides: an average would hide a round inside a long warm-up.
            whole = min(1.0, piece.duration_s / costs.whole_piece_s) ** 2
            weight = costs.foreign_piece_factor * whole
            foreign = np.maximum(foreign, weight * unlike[:, first + i])
    return foreign
