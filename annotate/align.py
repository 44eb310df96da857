"""Alignment of what was delivered with what was planned, by dynamic programming.

Delivered segments and planned periods both run in order. A planned period takes one segment,
several neighbouring ones that together are it, or none (skipped); a segment may belong to
nothing planned (added). The cheapest way through all of them wins. Costs are in points; each is
a judgement, kept here in one place.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from annotate.periods import Segment
from annotate.plan import PlannedPeriod

# A planned period that did not happen.
SKIP = 2.2
# A stretch nobody planned: a short one is soon forgiven, a long one is an activity of its own.
ADD = 0.5
ADD_PER_S = 0.12
ADD_MOST = 3.0
# Nobody in the picture, or standing about, is rarely planned.
ADD_IDLE = 0.4
# Factor on the logarithm of delivered over planned duration, and its cap.
DURATION = 2.0
DURATION_MOST = 2.4
# Factor on the share of repetitions missed or too many, and its cap.
REPS = 1.0
REPS_MOST = 0.8
# A wholly different movement than planned.
MOVEMENT = 3.0
# Each further segment taken into one period.
MERGE = 0.5
MERGE_MOST = 6
# A foreign piece among several is worse than one foreign whole: it could stand alone.
FOREIGN_PIECE = 2.0
# A piece this long counts fully when several make up one period; a pause inside a set less.
WHOLE_PIECE_S = 8.0
HOPELESS = 7.0
# Equal rounds cannot be told apart; a faint pull towards the clock makes the last one the
# skipped one and keeps the answer stable.
CLOCK_PER_S = 0.0005


@dataclass(frozen=True)
class Pairing:
    """A planned period (index, or None) and the segments it was delivered by (may be empty)."""

    planned: int | None
    first: int
    stop: int

    @property
    def segments(self) -> range:
        return range(self.first, self.stop)


# How unlike a segment and a planned period are in what is done, 0 (alike) to 1.
Unlikeness = Callable[[PlannedPeriod, Segment], float]
# Share by which the repetitions between two times miss the planned ones; 0 where none are planned.
RepsMissed = Callable[[PlannedPeriod, float, float], float]


def align(
    segments: Sequence[Segment],
    planned: Sequence[PlannedPeriod],
    unlike: Unlikeness,
    reps_missed: RepsMissed,
) -> tuple[Pairing, ...]:
    """Pair segments with planned periods at the least total cost.

    Parameters
    ----------
    segments : sequence of Segment
        In time order.
    planned : sequence of PlannedPeriod
        In time order.
    unlike : callable
        Judges movement and effort.
    reps_missed : callable
        Judges the repetitions: rounds that differ in nothing else are told apart by them.

    Returns
    -------
    tuple of Pairing
        In time order; every planned period and every segment occurs exactly once.
    """
    n, m = len(segments), len(planned)
    # best[i][k]: cheapest way to explain the first i segments and the first k planned periods.
    best = [[math.inf] * (m + 1) for _ in range(n + 1)]
    came: list[list[Pairing | None]] = [[None] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0
    for i in range(n + 1):
        for k in range(m + 1):
            here = best[i][k]
            if math.isinf(here):
                continue
            if k < m:
                _relax(best, came, i, k + 1, here + SKIP, Pairing(k, i, i))
            if i < n:
                _relax(
                    best, came, i + 1, k, here + added_cost(segments[i]), Pairing(None, i, i + 1)
                )
            if k < m:
                for stop in range(i + 1, min(i + MERGE_MOST, n) + 1):
                    run = segments[i:stop]
                    cost = matched_cost(planned[k], run, unlike, reps_missed)
                    _relax(best, came, stop, k + 1, here + cost, Pairing(k, i, stop))
    path: list[Pairing] = []
    i, k = n, m
    while (step := came[i][k]) is not None:
        path.append(step)
        i, k = step.first, (k if step.planned is None else k - 1)
    return tuple(reversed(path))


def _relax(
    best: list[list[float]],
    came: list[list[Pairing | None]],
    i: int,
    k: int,
    cost: float,
    step: Pairing,
) -> None:
    if cost < best[i][k] - 1e-12:
        best[i][k], came[i][k] = cost, step


def added_cost(segment: Segment) -> float:
    """Points for a segment that nothing in the plan explains."""
    if segment.absent:
        return ADD_IDLE
    return min(ADD + ADD_PER_S * segment.duration_s, ADD_MOST)


def matched_cost(
    planned: PlannedPeriod,
    run: Sequence[Segment],
    unlike: Unlikeness,
    reps_missed: RepsMissed,
) -> float:
    """Points for a planned period delivered by these neighbouring segments."""
    if run[0].absent or run[-1].absent:
        return math.inf
    delivered_s = run[-1].end_s - run[0].start_s
    ratio = abs(math.log(delivered_s / planned.duration_s))
    duration = min(DURATION * ratio, DURATION_MOST)
    clock = CLOCK_PER_S * abs(run[0].start_s - planned.start_s)
    if len(run) == 1:
        other = unlike(planned, run[0])
    else:
        # The worst piece speaks for all: an average would hide a round inside a long warm-up.
        worst = max(unlike(planned, s) * min(1.0, s.duration_s / WHOLE_PIECE_S) for s in run)
        other = FOREIGN_PIECE * worst
    if duration + MOVEMENT * other >= HOPELESS:
        return math.inf  # dearer than skipping and adding: spare the counting
    reps = min(REPS * reps_missed(planned, run[0].start_s, run[-1].end_s), REPS_MOST)
    return duration + MOVEMENT * other + reps + MERGE * (len(run) - 1) + clock
