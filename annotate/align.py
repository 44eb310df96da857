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

from annotate.plan import PlannedPeriod

# A planned period that did not happen.
SKIP = 1.7
# A stretch nobody planned: a short one is soon forgiven, a long one is an activity of its own.
ADD = 1.0
ADD_PER_S = 0.1
ADD_MOST = 3.0
# Nobody in the picture, or standing about, is rarely planned.
ADD_IDLE = 0.4
# Once more what was just done, and as long: an extra round.
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
) -> tuple[Pairing, ...]:
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
    tuple of Pairing
        In time order; every planned period and every activity occurs exactly once.
    """
    n, m = len(activities), len(planned)
    # best[i][k]: cheapest way to explain the first i activities and the first k planned periods.
    best = [[math.inf] * (m + 1) for _ in range(n + 1)]
    came: list[list[Pairing | None]] = [[None] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0

    unlike = _unlikeness(activities, planned, judge)

    def offer(i: int, k: int, cost: float, step: Pairing) -> None:
        if cost < best[i][k] - 1e-12:
            best[i][k], came[i][k] = cost, step

    for i in range(n + 1):
        for k in range(m + 1):
            here = best[i][k]
            if math.isinf(here):
                continue
            if k < m:
                offer(i, k + 1, here + SKIP, Pairing(k, i, i))
                for stop in range(i + 1, min(i + merge_most, n) + 1):
                    run = activities[i:stop]
                    if stop > i + 1 and _lasts_s(run) > MERGE_LONGEST * planned[k].duration_s:
                        break
                    cost = matched_cost(planned[k], run, unlike[k][i:stop], judge)
                    offer(stop, k + 1, here + cost, Pairing(k, i, stop))
            if i < n:
                before = range(max(0, k - AGAIN_BACK), k)
                again = [(planned[j], unlike[j][i]) for j in before]
                cost = added_cost(activities[i], again)
                offer(i + 1, k, here + cost, Pairing(None, i, i + 1))
    path: list[Pairing] = []
    i, k = n, m
    while (step := came[i][k]) is not None:
        path.append(step)
        i, k = step.first, (k if step.planned is None else k - 1)
    return tuple(reversed(path))


def _unlikeness(
    activities: Sequence[A], planned: Sequence[PlannedPeriod], judge: Judge[A]
) -> list[list[float]]:
    """Unlikeness of every planned period (row) and activity; equal rounds are judged once."""
    rows: dict[tuple[str, str | None], list[float]] = {}
    out = []
    for p in planned:
        key = (p.kind, p.movement)
        if key not in rows:
            rows[key] = [judge.unlike(p, a) for a in activities]
        out.append(rows[key])
    return out


def _lasts_s(run: Sequence[A]) -> float:
    return run[-1].end_s - run[0].start_s


def added_cost(activity: A, before: Sequence[tuple[PlannedPeriod, float]]) -> float:
    """Points for an activity that nothing in the plan explains.

    Parameters
    ----------
    activity : Stretch
    before : sequence of (PlannedPeriod, float)
        What was planned just before, and how unlike it this activity is.
    """
    if activity.idle:
        return ADD_IDLE
    again = any(
        p.kind in ("work", "recovery")
        and abs(math.log(activity.duration_s / p.duration_s)) < AGAIN_LENGTH
        and unlike < AGAIN_UNLIKE
        for p, unlike in before
    )
    own = min(ADD + ADD_PER_S * activity.duration_s, ADD_MOST)
    return min(own, ADD_AGAIN) if again else own


def matched_cost(
    planned: PlannedPeriod, run: Sequence[A], unlike: Sequence[float], judge: Judge[A]
) -> float:
    """Points for a planned period delivered by these neighbouring activities, each so unlike it."""
    if run[0].absent or run[-1].absent:
        return math.inf
    ratio = abs(math.log(_lasts_s(run) / planned.duration_s))
    duration = min(DURATION * ratio, DURATION_MOST)
    clock = CLOCK_PER_S * abs(run[0].start_s - planned.start_s)
    longest = max(range(len(run)), key=lambda i: run[i].duration_s)
    other = unlike[longest]
    for i, piece in enumerate(run):
        if i != longest:
            # An average would hide a round inside a long warm-up: the worst piece speaks.
            whole = min(1.0, piece.duration_s / WHOLE_PIECE_S) ** 2
            other = max(other, FOREIGN_PIECE * whole * unlike[i])
    if duration + MOVEMENT * other >= HOPELESS:
        return math.inf
    # Of another movement the repetitions say nothing.
    missed = judge.reps_missed(planned, run[0].start_s, run[-1].end_s) if other < 1 else 0.0
    reps = min(REPS * missed, REPS_MOST) * max(0.0, 1 - other)
    return duration + MOVEMENT * other + reps + MERGE * (len(run) - 1) + clock
