"""Work or recovery, warm-up or cool-down, without a plan: judged by the neighbours.

A class runs warm-up, then work and recovery in turn, then cool-down. The most likely sequence of
these four kinds is found by dynamic programming (Viterbi 1967). The strongest evidence is how hard
the movement is, relative to the other movements of this class: the easiest one is its recovery,
however hard it would be in another class. Speed says little: slow work can be hard, and recovery
can be fast.

All points and limits below are judgements. They were set on seeded classes without a plan
(``tests/accuracy/sessions.py``), where 0.99 of the time is labelled rightly; judged by effort alone
it was 0.92 (docs/measurements.md). The comments say what each one is there to decide.
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

# Weight of the limbs' speed, against 1 minus this for the catalogue's class of the movement.
# Small: speed only separates movements of one class.
SPEED_WEIGHT = 0.15
# Weight of an activity with no likely name: only its speed is known.
UNNAMED_TRUST = 0.5
# Lowest weight of an activity whose likely names run from easy to hard; the neighbours decide.
LEAST_TRUST = 0.2
# Movements with a sure name set the range of the class. If they are all about as hard (within half
# of the step from easy to moderate, 0.6), the uncertain ones count too.
LEAST_RANGE = 0.3
# Points for rounds: work and recovery take turns (TURN), and the harder of two neighbours is the
# work (CONTRAST, for a whole class of difference). Contrast decides; the turn only breaks ties.
TURN = 0.08
CONTRAST = 0.7
# Points against recovery before any work, recovery after recovery, and a cool-down straight after
# work. Possible, but rarer than the alternative; more than TURN, less than a clear contrast.
BEFORE_WORK = 0.2
AGAIN = 0.1
AT_ONCE = 0.1
# Points for the kind that most stretches of the same movement have: one odd round follows them.
SAME = 0.3
# A last easy stretch this many times as long as the median recovery is more likely a cool-down.
LONGER = 1.5
# Points for it; enough to outweigh AT_ONCE.
LONGER_POINTS = 0.15
# With fewer activities a cool-down cannot be separated from the recovery of the last round:
# warm-up, work, recovery, work and cool-down make five.
LEAST_FOR_COOL_DOWN = 5


def kinds_without_plan(activities: Sequence[Activity]) -> list[PeriodKind]:
    """Label activities by their neighbours.

    Returns
    -------
    list of PeriodKind
        One for each activity. "absent" and "still" stay as they are; a single active one is work.
    """
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
    # A movement has the same purpose in every round, so its most frequent kind gains points.
    for members in _alike(doing):
        taken = [1 if states[i] == WORK else -1 for i in members if states[i] in (WORK, RECOVERY)]
        lean[members] += SAME * float(np.mean(taken or [0]))
    for i, state in zip(active, _likeliest(doing, lean, apart), strict=True):
        kinds[i] = KINDS[state]
    return kinds


def _alike(activities: Sequence[Activity]) -> list[list[int]]:
    """Positions of the stretches of each movement, or of each set of likely movements."""
    same: dict[tuple[str, ...], list[int]] = {}
    for i, activity in enumerate(activities):
        if activity.likely:
            same.setdefault(activity.likely, []).append(i)
    return list(same.values())


def _leanings(activities: Sequence[Activity]) -> Floats:
    """How much each activity (n,) is like work (above 0) or like recovery, in this class's range.

    All stretches of one movement get their mean.
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
            # Where the likely movements are not equally hard, the neighbours decide.
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
    """Points (n, 4) for each activity being of each kind, without its neighbours."""
    gain: Floats = np.stack([-lean, lean, -lean, -lean], axis=1)
    gain[0, RECOVERY] -= BEFORE_WORK
    if len(activities) < LEAST_FOR_COOL_DOWN:
        gain[:, COOL_DOWN] = -np.inf
    lasts_s = np.array([a.duration_s for a in activities])
    easy = lasts_s[1:-1][lean[1:-1] < 0]
    # Where nothing else looks like recovery, the last easy stretch is not recovery either.
    if not len(easy) or lasts_s[-1] > LONGER * float(np.median(easy)):
        gain[-1, COOL_DOWN] += LONGER_POINTS
    return gain


def _likeliest(activities: Sequence[Activity], lean: Floats, apart: NDArray[np.bool_]) -> list[int]:
    """Kinds with the most points; `apart` (n - 1,) is true where neighbours do not touch."""
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
