"""Alignment of what was delivered with what was planned, by dynamic programming.

Delivered activities and planned periods both run in order. A planned period takes one activity,
several neighbouring ones that together are it, or none (skipped); an activity may belong to
nothing planned (added). The cheapest way through all of them wins. Costs are in points; each is
a judgement, kept here in one place.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.plan.unroll import PlannedPeriod

Floats = NDArray[np.float64]

# A planned period that did not happen.
SKIP = 1.7
# Each further one after the last activity: all are missing for one reason, the class was cut off.
SKIP_ON = 0.6
# A stretch nobody planned: a short one is soon forgiven, a long one is an activity of its own.
ADD = 1.0
ADD_PER_S = 0.1
ADD_MOST = 3.0
# Nobody in the picture, or standing about, is rarely planned.
ADD_IDLE = 0.4
# Once more what was just done, and as long: an extra round. Or what comes next, broken off to stand
# about: a false start.
ADD_AGAIN = 1.2
AGAIN_BACK = 2
AGAIN_UNLIKE = 0.3
AGAIN_LENGTH = 0.2
# Factor on the logarithm of delivered over planned duration, and its cap.
DURATION = 2.0
DURATION_MOST = 2.4
# A wholly different movement than planned.
MOVEMENT = 3.3
# Factor on the share of repetitions missed or too many, and its cap.
REPS = 1.0
REPS_MOST = 0.8
# Each further activity taken into one period.
MERGE = 0.5
MERGE_MOST = 6
# Several are never taken for a period planned this much shorter.
MERGE_LONGEST = 3.0
# A piece this long counts fully when several make up one period; a pause inside a set less.
WHOLE_PIECE_S = 8.0
# A foreign piece among several is worse than one foreign whole: it could stand alone.
FOREIGN_PIECE = 2.0
# Dearer than skipping and adding: not worth counting repetitions for.
HOPELESS = 7.0
# Equal rounds cannot be told apart; a faint pull towards the clock makes the last one the
# skipped one and keeps the answer stable.
CLOCK_PER_S = 0.0005
# Sums of the same costs in another order differ by far less than this.
_ROUNDING = 1e-6


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
class Pairing:
    """A planned period (index, or None) and the activities it was delivered by (may be empty)."""

    planned: int | None
    first: int
    stop: int

    @property
    def activities(self) -> range:
        return range(self.first, self.stop)


@dataclass(frozen=True)
class Aligned:
    """All pairings in time order, and the points they cost together."""

    pairings: tuple[Pairing, ...]
    points: float


@dataclass(frozen=True)
class Judge(Generic[A]):
    """How well planned and delivered fit.

    Attributes
    ----------
    unlike : callable
        Planned period and activity: unlike in what is done, 0 (alike) to 1.
    reps_missed : callable
        Planned period, start and end: share by which the repetitions miss the planned ones; 0
        where none are planned. Rounds that differ in nothing else are told apart by them.
    """

    unlike: Callable[[PlannedPeriod, A], float]
    reps_missed: Callable[[PlannedPeriod, float, float], float]


def align(
    activities: Sequence[A],
    planned: Sequence[PlannedPeriod],
    judge: Judge[A],
    *,
    merge_most: int = MERGE_MOST,
) -> Aligned:
    """Pair activities with planned periods at the least total cost.

    Parameters
    ----------
    activities, planned
        In time order.
    judge : Judge
    merge_most : int
        At most so many neighbouring activities make up one period.

    Returns
    -------
    Aligned
        Every planned period, by its place in `planned`, and every activity occurs exactly once.
    """
    n, m = len(activities), len(planned)
    # best[i][k]: cheapest way to explain the first i activities and the first k planned periods.
    best = [[math.inf] * (m + 1) for _ in range(n + 1)]
    # How it got there: the planned period, or None, and the first activity of the last step.
    came: list[list[tuple[int | None, int] | None]] = [[None] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0

    unlike = _unlikeness(activities, planned, judge)
    runs = [_runs(activities, planned, unlike, i, merge_most) for i in range(n + 1)]
    added = [
        added_costs(a, planned, unlike[:, i], any(b.idle for b in activities[i + 1 : i + 2]))
        for i, a in enumerate(activities)
    ]
    # Counting repetitions is slow. Without them the way from here on can be no dearer than this;
    # so what lies on no way as cheap as one that is known need not be looked at.
    least = _least_from(runs, added, m)

    def dearer(run: _Run, i: int, k: int) -> float:
        """What the repetitions add; of another movement they say nothing."""
        if run.foreign[k] >= 1:
            return 0.0
        start_s, end_s = activities[i].start_s, activities[run.stop - 1].end_s
        missed = judge.reps_missed(planned[k], start_s, end_s)
        return min(REPS * missed, REPS_MOST) * (1 - run.foreign[k])

    enough = _cost_of_likeliest(runs, added, least, dearer) + _ROUNDING

    def offer(i: int, k: int, cost: float, step: tuple[int | None, int]) -> None:
        if cost < best[i][k] - 1e-12:
            best[i][k], came[i][k] = cost, step

    for i in range(n):
        for k in range(m + 1):
            here = best[i][k]
            if here + least[i][k] > enough:
                continue
            if k < m:
                offer(i, k + 1, here + SKIP, (k, i))
                for run in runs[i]:
                    points = run.points[k]
                    # Repetitions make nothing cheaper.
                    if here + points + least[run.stop][k + 1] <= enough:
                        offer(run.stop, k + 1, here + points + dearer(run, i, k), (k, i))
            offer(i + 1, k, here + added[i][k], (None, i))
    totals = [best[n][k] + _cut_off(m - k) for k in range(m + 1)]
    i, k = n, int(np.argmin(totals))
    path = [Pairing(gone, n, n) for gone in range(m - 1, k - 1, -1)]
    points = totals[k]
    while (step := came[i][k]) is not None:
        path.append(Pairing(step[0], step[1], i))
        i, k = step[1], (k if step[0] is None else k - 1)
    return Aligned(tuple(reversed(path)), points)


def _cut_off(missing: int) -> float:
    """Cost of so many planned periods after the last activity."""
    return SKIP + SKIP_ON * (missing - 1) if missing else 0.0


def _least_from(
    runs: Sequence[Sequence[_Run]], added: Sequence[Sequence[float]], m: int
) -> list[list[float]]:
    """Least cost from any number of activities and planned periods on, repetitions aside."""
    n = len(added)
    skips = SKIP * np.arange(m + 1)
    least = np.full((n + 1, m + 1), math.inf)
    least[n] = [_cut_off(m - k) for k in range(m + 1)]
    for i in range(n - 1, -1, -1):
        row = np.array(added[i]) + least[i + 1]
        for run in runs[i]:
            row[:m] = np.minimum(row[:m], np.array(run.points) + least[run.stop, 1:])
        # Any number of planned periods may be skipped first.
        least[i] = np.minimum.accumulate((row + skips)[::-1])[::-1] - skips
    out: list[list[float]] = least.tolist()
    return out


def _cost_of_likeliest(
    runs: Sequence[Sequence[_Run]],
    added: Sequence[Sequence[float]],
    least: list[list[float]],
    dearer: Callable[[_Run, int, int], float],
) -> float:
    """Full cost of the way that is cheapest without repetitions."""
    n, m = len(added), len(least[0]) - 1
    i, k, cost = 0, 0, 0.0
    while i < n:
        here = least[i][k] + _ROUNDING
        fitting = (r for r in runs[i] if k < m and r.points[k] + least[r.stop][k + 1] <= here)
        if (run := next(fitting, None)) is not None:
            cost += run.points[k] + dearer(run, i, k)
            i, k = run.stop, k + 1
        elif k < m and SKIP + least[i][k + 1] <= here:
            cost, k = cost + SKIP, k + 1
        else:
            cost, i = cost + added[i][k], i + 1
    return cost + _cut_off(m - k)


def _unlikeness(
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
    activity: Stretch, planned: Sequence[PlannedPeriod], unlike: Floats, broken_off: bool
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
        return [ADD_IDLE] * (len(planned) + 1)
    own = min(ADD + ADD_PER_S * activity.duration_s, ADD_MOST)
    alike = [
        u < AGAIN_UNLIKE
        and p.kind in ("work", "recovery")
        and abs(math.log(activity.duration_s / p.duration_s)) < AGAIN_LENGTH
        for p, u in zip(planned, unlike.tolist(), strict=True)
    ]
    start = [broken_off and u < AGAIN_UNLIKE for u in unlike.tolist()]
    return [
        min(own, ADD_AGAIN) if any(alike[max(0, k - AGAIN_BACK) : k] + start[k : k + 1]) else own
        for k in range(len(planned) + 1)
    ]


@dataclass(frozen=True)
class _Run:
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


def _runs(
    activities: Sequence[A],
    planned: Sequence[PlannedPeriod],
    unlike: Floats,
    first: int,
    merge_most: int,
) -> list[_Run]:
    """All runs of activities from `first` on that may make up one planned period."""
    if not planned or first == len(activities):
        return []
    planned_s = np.array([p.duration_s for p in planned])
    clock = CLOCK_PER_S * np.abs([activities[first].start_s - p.start_s for p in planned])
    out = []
    for stop in range(first + 1, min(first + merge_most, len(activities)) + 1):
        run = activities[first:stop]
        if run[0].absent or run[-1].absent:
            continue
        lasts_s = run[-1].end_s - run[0].start_s
        duration = np.minimum(DURATION * np.abs(np.log(lasts_s / planned_s)), DURATION_MOST)
        # Nobody in the picture is nothing foreign: what went on there is not known.
        seen = [i for i, piece in enumerate(run) if not piece.absent]
        longest = max(seen, key=lambda i: run[i].duration_s)
        foreign = unlike[:, first + longest]
        for i in seen:
            piece = run[i]
            if i != longest:
                # An average would hide a round inside a long warm-up: the worst piece speaks.
                whole = min(1.0, piece.duration_s / WHOLE_PIECE_S) ** 2
                foreign = np.maximum(foreign, FOREIGN_PIECE * whole * unlike[:, first + i])
        fit = duration + MOVEMENT * foreign
        out_of_question = fit >= HOPELESS
        if len(run) > 1:
            out_of_question |= lasts_s > MERGE_LONGEST * planned_s
        points = np.where(out_of_question, math.inf, fit + MERGE * (len(run) - 1) + clock)
        out.append(_Run(stop, points.tolist(), foreign.tolist()))
    return out
