"""Work or recovery, warm-up or cool-down, without a plan: by effort next to its neighbours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from annotate.movements import catalogue
from annotate.periods import Segment, is_still, speed
from annotate.review import PeriodKind
from pose.signals import Signals

_CLASS = {"easy": 0.0, "moderate": 0.6, "hard": 1.0}
# A class opens and closes with something longer and easier than its rounds.
_ENDS_LEAST_S = 15.0
# Points for a change of kind between neighbours: rounds alternate.
_ALTERNATE = 0.35


def intensities(signals: Signals, segments: Sequence[Segment]) -> list[float | None]:
    """Effort of each segment within this clip's own range, 0-1; None where nobody is seen."""
    speeds = [None if s.absent else speed(signals, s) for s in segments]
    known = np.array([v for v in speeds if v is not None])
    if len(known) == 0:
        return [None] * len(segments)
    low, high = float(known.min()), float(known.max())
    span = high - low
    return [
        None if v is None else (0.5 if span < 1e-6 else round((v - low) / span, 2)) for v in speeds
    ]


def kinds_without_plan(
    signals: Signals,
    segments: Sequence[Segment],
    movements: Sequence[str | None],
    efforts: Sequence[float | None],
) -> list[PeriodKind]:
    """Label segments by what stands next to what."""
    kinds: list[PeriodKind] = []
    for s in segments:
        kinds.append("absent" if s.absent else "still" if is_still(signals, s) else "work")
    active = [i for i, kind in enumerate(kinds) if kind == "work"]
    if len(active) < 2:
        return kinds
    score = {i: _work_score(movements[i], efforts[i]) for i in active}
    middle = list(active)
    if len(active) >= 5:
        for end, kind in ((active[0], "warm-up"), (active[-1], "cool-down")):
            easy = score[end] < np.median([score[i] for i in active])
            if easy and segments[end].duration_s >= _ENDS_LEAST_S:
                kinds[end] = "warm-up" if kind == "warm-up" else "cool-down"
                middle.remove(end)
    for i, works in zip(middle, _alternate([score[i] for i in middle]), strict=True):
        kinds[i] = "work" if works else "recovery"
    return kinds


def _work_score(movement: str | None, effort: float | None) -> float:
    known = catalogue().get(movement or "")
    measured = 0.5 if effort is None else effort
    return measured if known is None else 0.4 * measured + 0.6 * _CLASS[known.intensity]


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
