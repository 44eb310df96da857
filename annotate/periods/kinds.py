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
MIN_TRUST = 0.2
# Movements with a sure name set the range of the class. If they are all about as hard (within half
# of the step from easy to moderate, 0.6), the uncertain ones count too.
MIN_CLASS_RANGE = 0.3
# Points for rounds: work and recovery take turns (ALTERNATION_POINTS), and the harder of two
# neighbours is the work (CONTRAST_POINTS, for a whole class of difference). Contrast decides; the
# turn only breaks ties.
ALTERNATION_POINTS = 0.08
CONTRAST_POINTS = 0.7
# Points against recovery before any work, recovery after recovery, and a cool-down straight after
# work. Possible, but rarer than the alternative; more than ALTERNATION_POINTS, less than a clear
# contrast.
RECOVERY_FIRST_PENALTY = 0.2
RECOVERY_AGAIN_PENALTY = 0.1
COOL_DOWN_AFTER_WORK_PENALTY = 0.1
# Points for the kind that most stretches of the same movement have: one odd round follows them.
SAME_MOVEMENT_POINTS = 0.3
# A last easy stretch this many times as long as the median recovery is more likely a cool-down.
MIN_COOL_DOWN_RATIO = 1.5
# Points for it; enough to outweigh COOL_DOWN_AFTER_WORK_PENALTY.
LONG_COOL_DOWN_POINTS = 0.15
# With fewer activities a cool-down cannot be separated from the recovery of the last round:
# warm-up, work, recovery, work and cool-down make five.
MIN_ACTIVITIES_FOR_COOL_DOWN = 5


def estimate_kinds(activities: Sequence[Activity]) -> list[PeriodKind]:
    """Label activities by their neighbours.

    Returns
    -------
    list of PeriodKind
        One for each activity. "absent" and "still" stay as they are; a single active one is work.
    """
    kinds: list[PeriodKind] = [
        "absent" if a.absent or a.unseen else "still" if a.still else "work" for a in activities
    ]
    active = [i for i, kind in enumerate(kinds) if kind == "work"]
    if len(active) < 2:
        return kinds
    active_activities = [activities[i] for i in active]
    work_score = _work_scores(active_activities)
    is_gap = np.diff(active) > 1
    states = _best_sequence(active_activities, work_score, is_gap)
    # A movement has the same purpose in every round, so its most frequent kind gains points.
    for members in _positions_by_movement(active_activities):
        taken = [1 if states[i] == WORK else -1 for i in members if states[i] in (WORK, RECOVERY)]
        work_score[members] += SAME_MOVEMENT_POINTS * float(np.mean(taken or [0]))
    for i, state in zip(active, _best_sequence(active_activities, work_score, is_gap), strict=True):
        kinds[i] = KINDS[state]
    return kinds


def _positions_by_movement(activities: Sequence[Activity]) -> list[list[int]]:
    """Positions of the stretches of each movement, or of each set of likely movements."""
    positions: dict[tuple[str, ...], list[int]] = {}
    for i, activity in enumerate(activities):
        if activity.likely:
            positions.setdefault(activity.likely, []).append(i)
    return list(positions.values())


def _work_scores(activities: Sequence[Activity]) -> Floats:
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
            trust[i] = max(1 - (max(classes) - min(classes)), MIN_TRUST)
        else:
            hard[i], trust[i] = effort, UNNAMED_TRUST
    sure = hard[trust >= UNNAMED_TRUST]
    if not len(sure) or np.ptp(sure) < MIN_CLASS_RANGE:
        sure = hard
    work_score: Floats = trust * (hard - 0.5 * (sure.min() + sure.max()))
    for members in _positions_by_movement(activities):
        work_score[members] = work_score[members].mean()
    return work_score


def _kind_scores(activities: Sequence[Activity], work_score: Floats) -> Floats:
    """Points (n, 4) for each activity being of each kind, without its neighbours."""
    kind_scores: Floats = np.stack([-work_score, work_score, -work_score, -work_score], axis=1)
    kind_scores[0, RECOVERY] -= RECOVERY_FIRST_PENALTY
    if len(activities) < MIN_ACTIVITIES_FOR_COOL_DOWN:
        kind_scores[:, COOL_DOWN] = -np.inf
    lasts_s = np.array([a.duration_s for a in activities])
    easy = lasts_s[1:-1][work_score[1:-1] < 0]
    # Where nothing else looks like recovery, the last easy stretch is not recovery either.
    if not len(easy) or lasts_s[-1] > MIN_COOL_DOWN_RATIO * float(np.median(easy)):
        kind_scores[-1, COOL_DOWN] += LONG_COOL_DOWN_POINTS
    return kind_scores


def _best_sequence(
    activities: Sequence[Activity], work_score: Floats, is_gap: NDArray[np.bool_]
) -> list[int]:
    """Kinds with the most points; `apart` (n - 1,) is true where neighbours do not touch."""
    kind_scores = _kind_scores(activities, work_score)
    total = kind_scores[0].copy()
    total[COOL_DOWN] = -np.inf
    back_pointers = []
    for i in range(1, len(kind_scores)):
        options = total[:, None] + _transition_scores(
            work_score[i - 1], work_score[i], bool(is_gap[i - 1])
        )
        back_pointers.append(options.argmax(axis=0))
        total = kind_scores[i] + options.max(axis=0)
    states = [int(total.argmax())]
    for before in reversed(back_pointers):
        states.append(int(before[states[-1]]))
    return states[::-1]


def _transition_scores(before: float, after: float, is_gap: bool) -> Floats:
    """Points (4, 4) for going from one kind (row) to the next (column)."""
    step: Floats = np.full((4, 4), -np.inf)
    falls = 0.0 if is_gap else ALTERNATION_POINTS + CONTRAST_POINTS * (before - after)
    rises = 0.0 if is_gap else ALTERNATION_POINTS + CONTRAST_POINTS * (after - before)
    step[WARM_UP, [WARM_UP, WORK]] = 0.0, rises
    step[WORK, [WORK, RECOVERY, COOL_DOWN]] = 0.0, falls, falls - COOL_DOWN_AFTER_WORK_PENALTY
    step[RECOVERY, [RECOVERY, WORK, COOL_DOWN]] = -RECOVERY_AGAIN_PENALTY, rises, 0.0
    step[COOL_DOWN, COOL_DOWN] = 0.0
    return step
