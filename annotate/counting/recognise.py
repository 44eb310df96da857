"""Which movement is this? Likeness of a stretch to each entry of the catalogue.

Every entry says how some signals behave while it is done: how far they swing (95th minus 5th
percentile), where they rest (median), how low and how high they come. A stretch is compared with
those ranges; each signal outside its range costs by how far it is out, in clear differences of
that signal (see :mod:`pose.signals.names`). Unknown is a result: a name is given only when one
entry fits and no other fits nearly as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import Movement, catalogue
from annotate.counting.count import count_reps, even, from_the_side
from annotate.counting.unknown import walks_about
from pose.signals.cached import cached
from pose.signals.model import Signals
from pose.signals.names import SIGNALS, UNSEEN_FROM_THE_SIDE

# Likeness from which a movement is named, and the lead it needs over the next one.
NAMED_LIKENESS = 0.5
LEAD = 0.12
# A stretch this far out is like the entry in nothing; there is no need to look further.
NO_LIKENESS = 40.0
# Play at the ends of a movement's range of tempo.
TEMPO_SLACK = 0.9
# A stretch is named after a set that covers at least this share of it.
LEAST_COVERED = 0.55
# Two repetitions are a movement only where they are slow and fill this share of the stretch.
FILLED = 0.5
SLOW_S = 1.5
# Away from the edges, where the change from the movement before still shows.
EDGE_S = 1.0


@dataclass(frozen=True)
class Behaviour:
    """How the signals behave over a stretch, by signal name.

    Signals that this view does not show are left out.
    """

    swing: dict[str, float]
    level: dict[str, float]
    low: dict[str, float]
    high: dict[str, float]


@dataclass(frozen=True)
class Recognised:
    """A movement id, or None when unknown, and 0-1 how sure."""

    movement: str | None
    confidence: float


@cached
def behaviour(signals: Signals, start_s: float, end_s: float) -> Behaviour:
    """Swing and level of every signal between two times."""
    edge = min(EDGE_S, 0.15 * (end_s - start_s))
    where = signals.slice(start_s + edge, end_s - edge)
    seen = Behaviour({}, {}, {}, {})
    stretch = {name: values[where] for name, values in signals.values.items()}
    whole = [name for name, x in stretch.items() if np.isfinite(x).all()]
    # Signals without holes are as long as each other: all of them at once, for speed.
    quantiles = dict(zip(whole, _quantiles([stretch[name] for name in whole]), strict=True))
    for name in UNSEEN_FROM_THE_SIDE if from_the_side(signals, start_s, end_s) else ():
        del stretch[name]
    for name, x in stretch.items():
        x = x[np.isfinite(x)]
        if len(x) < 5:
            continue
        low, middle, high = quantiles[name] if name in quantiles else _quantiles([x])[0]
        seen.swing[name], seen.level[name] = float(high - low), float(middle)
        seen.low[name], seen.high[name] = float(low), float(high)
    if {"travel", "place"} <= set(seen.swing):
        # The usual place is not yet, or no longer, that of this stretch near its ends.
        seen.swing["travel"] = min(seen.swing["travel"], seen.swing["place"])
    return seen


def _quantiles(rows: list[NDArray[np.float64]]) -> list[NDArray[np.float64]]:
    """5th, 50th and 95th percentile of each row; rows are of one length."""
    if not rows or not len(rows[0]):
        return [np.full(3, np.nan) for _ in rows]
    return list(np.quantile(np.stack(rows), [0.05, 0.5, 0.95], axis=1).T)


def likeness(seen: Behaviour, movement: Movement) -> float | None:
    """How well a stretch fits an entry, 0-1; None when the entry does not say how it looks."""
    if not movement.looks:
        return None
    cost = 0.0
    for name, look in movement.looks.items():
        if name not in seen.swing:
            if name in UNSEEN_FROM_THE_SIDE:
                continue
            return None
        for value, band in (
            (seen.swing, look.swing),
            (seen.level, look.level),
            (seen.low, look.low),
            (seen.high, look.high),
        ):
            if band:
                unit = SIGNALS[name].clear
                if value is seen.swing and value[name] < band[0]:
                    # Half of the least movement is hardly any, however small that is.
                    unit = min(unit, 0.5 * band[0])
                cost += _outside(value[name], band, unit) ** 2
        if cost > NO_LIKENESS:
            return 0.0
    return float(np.exp(-0.5 * cost))


def recognise(signals: Signals, start_s: float, end_s: float) -> Recognised:
    """Name the movement done between two times, or say unknown."""
    seen = behaviour(signals, start_s, end_s)
    alike = sorted(
        ((s, m) for m in catalogue().values() if (s := likeness(seen, m)) is not None),
        key=lambda pair: -pair[0],
    )
    fits = [
        (s, m)
        for s, m in alike
        if s >= NAMED_LIKENESS - LEAD and _keeps_time(signals, m, start_s, end_s)
    ]
    if not fits or walks_about(signals, start_s, end_s):
        return Recognised(None, 0.0)
    best, movement = fits[0]
    lead = best - (fits[1][0] if len(fits) > 1 else 0.0)
    if best < NAMED_LIKENESS or lead < LEAD:
        return Recognised(None, round(best, 2))
    return Recognised(movement.id, round(min(best, 0.5 + lead), 2))


def _keeps_time(signals: Signals, movement: Movement, start_s: float, end_s: float) -> bool:
    """Whether a movement's own repetitions come, at a plausible and even tempo.

    Talking hands swing as far as reaching ones, but not in time.
    """
    if not movement.counts:
        return True
    reps = count_reps(signals, movement, start_s, end_s).reps
    if len(reps) < 2:
        return False
    filled = sum(r.end_s - r.start_s for r in reps) / (end_s - start_s)
    gaps = np.diff([r.peak_s for r in reps])
    covered = (reps[-1].peak_s - reps[0].peak_s + float(np.median(gaps))) / (end_s - start_s)
    if covered < LEAST_COVERED:
        return False
    if len(reps) == 2 and (filled < FILLED or gaps[0] < SLOW_S):  # a coincidence, not a rhythm
        return False
    cadence = 60.0 / float(np.median(gaps))
    slowest, fastest = movement.tempo
    in_tempo = TEMPO_SLACK * slowest <= cadence <= fastest / TEMPO_SLACK
    return in_tempo and even(reps)


def _outside(value: float, band: tuple[float, float], unit: float) -> float:
    return max(band[0] - value, value - band[1], 0.0) / unit
