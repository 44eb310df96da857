"""Work or recovery, warm-up or cool-down, without a plan: by what stands next to what.

A class runs warm-up, then work and recovery in turn, then cool-down. The likeliest way through
these four kinds is found by dynamic programming (Viterbi 1967). What a movement is usually for
speaks first, in this class's own range: the easiest movement of a class is its recovery, however
hard it would be elsewhere. Speed says little: slow work can be hard, and recovery fast.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import catalogue
from annotate.periods.evidence import CLASS_EFFORT, Activity
from annotate.review.model import PeriodKind

Floats = NDArray[np.float64]

KINDS: tuple[PeriodKind, ...] = ("warm-up", "work", "recovery", "cool-down")
WARM_UP, WORK, RECOVERY, COOL_DOWN = range(4)

# Weight of the limbs' speed against what the movement is usually for.
SPEED_WEIGHT = 0.15
# How far an activity counts of which no name is likely.
UNNAMED_TRUST = 0.5
LEAST_TRUST = 0.2
# Movements whose names are sure set the class's range, unless they are all as hard as each other.
LEAST_RANGE = 0.3
# Points for rounds: work and recovery take turns, the harder of two neighbours is the work.
TURN = 0.08
CONTRAST = 0.7
# Against recovery before any work or after recovery, and a cool-down straight after work.
BEFORE_WORK = 0.2
AGAIN = 0.1
AT_ONCE = 0.1
# For what all stretches of one movement are mostly taken for.
SAME = 0.3
# A last easy stretch lasting so much longer than the recoveries is no recovery.
LONGER = 1.5
LONGER_POINTS = 0.15
# Among so few activities there is no telling a cool-down from the recovery of the last round.
LEAST_FOR_COOL_DOWN = 5


def kinds_without_plan(activities: Sequence[Activity]) -> list[PeriodKind]:
    """Label activities by what stands next to what."""
    kinds: list[PeriodKind] = [
        "absent" if a.absent else "still" if a.still else "work" for a in activities
    ]
    active = [i for i, kind in enumerate(kinds) if kind == "work"]
    if len(active) < 2:
        return kinds
    doing = [activities[i] for i in active]
    lean = _leanings(doing)
    apart = np.diff(active) > 1
    states = _likeliest(doing, lean, apart)
    # A movement is the same thing in every round: what it was mostly taken for speaks for it.
    for members in _alike(doing):
        taken = [1 if states[i] == WORK else -1 for i in members if states[i] in (WORK, RECOVERY)]
        lean[members] += SAME * float(np.mean(taken or [0]))
    for i, state in zip(active, _likeliest(doing, lean, apart), strict=True):
        kinds[i] = KINDS[state]
    return kinds


def _alike(activities: Sequence[Activity]) -> list[list[int]]:
    """Positions of the stretches of each movement, or of the same few it may be."""
    same: dict[tuple[str, ...], list[int]] = {}
    for i, activity in enumerate(activities):
        if activity.likely:
            same.setdefault(activity.likely, []).append(i)
    return list(same.values())


def _leanings(activities: Sequence[Activity]) -> Floats:
    """How much each activity is like work (above 0) or like recovery, in this class's range.

    All stretches of one movement lean alike.
    """
    hard = np.empty(len(activities))
    trust = np.empty(len(activities))
    for i, activity in enumerate(activities):
        # A movement set by hand may be one the catalogue does not know.
        known = [catalogue()[m] for m in activity.likely if m in catalogue()]
        classes = [CLASS_EFFORT[movement.intensity] for movement in known]
        effort = 0.5 if activity.effort is None else activity.effort
        if classes:
            hard[i] = (1 - SPEED_WEIGHT) * float(np.mean(classes)) + SPEED_WEIGHT * effort
            # Where it may be one or the other, its neighbours decide.
            trust[i] = max(1 - (max(classes) - min(classes)), LEAST_TRUST)
        else:
            hard[i], trust[i] = effort, UNNAMED_TRUST
    sure = hard[trust >= UNNAMED_TRUST]
    if not len(sure) or np.ptp(sure) < LEAST_RANGE:
        sure = hard
    lean: Floats = trust * (hard - 0.5 * (sure.min() + sure.max()))
    for members in _alike(activities):
        lean[members] = lean[members].mean()
    return lean


def _gains(activities: Sequence[Activity], lean: Floats) -> Floats:
    """Points (n, 4) for each activity being of each kind, by itself."""
    gain: Floats = np.stack([-lean, lean, -lean, -lean], axis=1)
    gain[0, RECOVERY] -= BEFORE_WORK
    if len(activities) < LEAST_FOR_COOL_DOWN:
        gain[:, COOL_DOWN] = -np.inf
    lasts_s = np.array([a.duration_s for a in activities])
    easy = lasts_s[1:-1][lean[1:-1] < 0]
    # Where nothing else is recovery, the last easy stretch is none either.
    if not len(easy) or lasts_s[-1] > LONGER * float(np.median(easy)):
        gain[-1, COOL_DOWN] += LONGER_POINTS
    return gain


def _likeliest(activities: Sequence[Activity], lean: Floats, apart: NDArray[np.bool_]) -> list[int]:
    """Kinds with the most points; `apart` tells where two activities do not touch."""
    gain = _gains(activities, lean)
    total = gain[0].copy()
    total[COOL_DOWN] = -np.inf
    came = []
    for i in range(1, len(gain)):
        options = total[:, None] + _step(lean[i - 1], lean[i], bool(apart[i - 1]))
        came.append(options.argmax(axis=0))
        total = gain[i] + options.max(axis=0)
    states = [int(total.argmax())]
    for before in reversed(came):
        states.append(int(before[states[-1]]))
    return states[::-1]


def _step(before: float, after: float, apart: bool) -> Floats:
    """Points (4, 4) for going from one kind (row) to the next (column)."""
    step: Floats = np.full((4, 4), -np.inf)
    falls = 0.0 if apart else TURN + CONTRAST * (before - after)
    rises = 0.0 if apart else TURN + CONTRAST * (after - before)
    step[WARM_UP, [WARM_UP, WORK]] = 0.0, rises
    step[WORK, [WORK, RECOVERY, COOL_DOWN]] = 0.0, falls, falls - AT_ONCE
    step[RECOVERY, [RECOVERY, WORK, COOL_DOWN]] = -AGAIN, rises, 0.0
    step[COOL_DOWN, COOL_DOWN] = 0.0
    return step
