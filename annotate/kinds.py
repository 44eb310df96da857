"""Work or recovery, warm-up or cool-down, without a plan: by effort next to its neighbours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from annotate.activities import Activity
from annotate.review import PeriodKind

# A last easy stretch is a cool-down after another easy one, or when it lasts this much longer than
# the recoveries; else it is the recovery of the last round.
_LONGER = 1.5
# Points for a change of kind between neighbours: rounds alternate.
_ALTERNATE = 0.35
# Weight of the limbs' speed against the movement's own class: slow work can be hard.
_SPEED_WEIGHT = 0.4


def kinds_without_plan(activities: Sequence[Activity]) -> list[PeriodKind]:
    """Label activities by what stands next to what."""
    kinds: list[PeriodKind] = [
        "absent" if a.absent else "still" if a.still else "work" for a in activities
    ]
    active = [i for i, kind in enumerate(kinds) if kind == "work"]
    if len(active) < 2:
        return kinds
    score = {i: _work_score(activities[i]) for i in active}
    centre = 0.5 * (min(score.values()) + max(score.values()))
    easy = [i for i in active if score[i] < centre]
    middle = list(active)
    if len(active) >= 5:
        if active[0] in easy:
            kinds[active[0]] = "warm-up"
            middle.remove(active[0])
        last, before = active[-1], active[-2]
        others = [activities[i].duration_s for i in easy if i not in (active[0], last)]
        if last in easy and (
            before in easy
            or activities[last].duration_s > _LONGER * float(np.median(others or [0]))
        ):
            kinds[last] = "cool-down"
            middle.remove(last)
    for i, works in zip(middle, _alternate([score[i] for i in middle]), strict=True):
        kinds[i] = "work" if works else "recovery"
    return kinds


def _work_score(activity: Activity) -> float:
    effort = 0.5 if activity.effort is None else activity.effort
    if not activity.likely:
        return effort
    return _SPEED_WEIGHT * effort + (1 - _SPEED_WEIGHT) * activity.hardness


def _alternate(scores: Sequence[float]) -> list[bool]:
    """Best sequence of work (True) and recovery that fits the scores and likes to alternate."""
    values: NDArray[np.float64] = np.asarray(scores, dtype=np.float64)
    centre = 0.5 * (values.min() + values.max())
    gain = np.stack([centre - values, values - centre], axis=1)
    total = gain[0].copy()
    back: list[NDArray[np.intp]] = []
    for row in gain[1:]:
        options = total[None, :] + _ALTERNATE * (1 - np.eye(2))
        back.append(options.argmax(axis=1))
        total = row + options.max(axis=1)
    state = int(total.argmax())
    states = [state]
    for choice in reversed(back):
        state = int(choice[state])
        states.append(state)
    return [s == 1 for s in reversed(states)]
