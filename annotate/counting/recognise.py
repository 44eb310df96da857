"""Which movement is this? Likeness of a stretch to each entry of the catalogue.

Every entry says how some signals behave while it is done: their swing (95th minus 5th percentile),
level (median), low and high end (5th and 95th percentile). A stretch is compared with those ranges.
Each value outside its range adds a cost: the square of its distance from the range, in clear
differences of that signal (see :mod:`pose.signals.names`). Unknown is a result: a movement is named
only when one entry fits and no other fits nearly as well.

The thresholds are judgement, kept because the accuracy tables hold with them (docs/measurements.md,
counting and names); none comes from a published source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import Movement, SignalBounds, catalogue
from annotate.counting.count import count_reps, is_even, is_side_view
from annotate.counting.seen import BODY, signals_unseen, why_unseen
from annotate.counting.unknown import is_walking
from pose.signals.cached import cached
from pose.signals.model import Signals
from pose.signals.names import SIGNALS, UNSEEN_FROM_THE_SIDE

# Likeness from which a movement is named. As likeness is exp(-cost / 2), one signal may be 1.2
# clear differences outside its range.
MIN_LIKENESS = 0.5
# Likeness by which it must exceed the next entry's.
MIN_LEAD = 0.12
# Cost at which the comparison stops early: the likeness is then below 1e-8.
MAX_COST = 40.0
# A cadence may lie outside a movement's range of tempo by this factor: about a tenth.
TEMPO_TOLERANCE = 0.9
# A stretch is named after a set only if the set covers at least this fraction of it: more than
# half, so that no other set covers more.
MIN_COVERED_FRACTION = 0.55
# Two repetitions make a movement only if they fill this fraction of the stretch and are at least
# this far apart.
MIN_FILLED_FRACTION = 0.5
MIN_INTERVAL_OF_TWO_S = 1.5
# One interval shows no rhythm, so the look has to carry the name: within one clear difference in
# all, exp(-1/2). Hands that move while talking were like arm curls by 0.51.
MIN_LIKENESS_OF_TWO = 0.6
# Left out at both ends of a stretch, where the movement before or after still shows.
EDGE_S = 1.0


@dataclass(frozen=True)
class Behaviour:
    """How the signals behave over a stretch, by signal name, each in its signal's unit.

    Signals that this view does not show are left out.

    Attributes
    ----------
    swing : dict
        95th minus 5th percentile.
    level, low, high : dict
        Median, 5th and 95th percentile.
    unseen : frozenset of str
        Signals of arms or feet that were not seen: nothing speaks for or against them.
    """

    swing: dict[str, float]
    level: dict[str, float]
    low: dict[str, float]
    high: dict[str, float]
    unseen: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Recognised:
    """A movement id, or None when unknown, and the confidence, 0-1."""

    movement: str | None
    confidence: float


@cached
def behaviour(signals: Signals, start_s: float, end_s: float) -> Behaviour:
    """Swing, level, low and high of every signal between two times.

    Nothing where trunk or legs were not seen: what is left would fit many movements.
    """
    if why_unseen(signals, BODY, start_s, end_s) is not None:
        return Behaviour({}, {}, {}, {})
    edge = min(EDGE_S, 0.15 * (end_s - start_s))
    where = signals.slice(start_s + edge, end_s - edge)
    unseen = signals_unseen(signals, start_s, end_s)
    seen = Behaviour({}, {}, {}, {}, unseen)
    stretch = {name: x[where] for name, x in signals.values.items() if name not in unseen}
    whole = [name for name, x in stretch.items() if np.isfinite(x).all()]
    # Signals without gaps have one length: all of them at once, for speed.
    quantiles = dict(zip(whole, _quantiles([stretch[name] for name in whole]), strict=True))
    for name in UNSEEN_FROM_THE_SIDE if is_side_view(signals, start_s, end_s) else ():
        stretch.pop(name, None)
    for name, x in stretch.items():
        x = x[np.isfinite(x)]
        if len(x) < 5:
            continue
        low, middle, high = quantiles[name] if name in quantiles else _quantiles([x])[0]
        seen.swing[name], seen.level[name] = float(high - low), float(middle)
        seen.low[name], seen.high[name] = float(low), float(high)
    if {"travel", "place"} <= set(seen.swing):
        # Near the ends of a stretch the usual place is partly that of the movement before or after.
        seen.swing["travel"] = min(seen.swing["travel"], seen.swing["place"])
    return seen


def _quantiles(rows: list[NDArray[np.float64]]) -> list[NDArray[np.float64]]:
    """5th, 50th and 95th percentile of each row; rows are of one length."""
    if not rows or not len(rows[0]):
        return [np.full(3, np.nan) for _ in rows]
    return list(np.quantile(np.stack(rows), [0.05, 0.5, 0.95], axis=1).T)


def likeness(seen: Behaviour, movement: Movement) -> float | None:
    """How well a stretch fits an entry, 0-1.

    None when the entry does not say how it looks, or a signal it needs was not seen.
    """
    if not movement.looks or (
        movement.counts and all(c.signal in seen.unseen for c in movement.counts)
    ):
        return None
    cost = 0.0
    for name, look in movement.looks.items():
        if name not in seen.swing:
            if name in seen.unseen and _has_to_be_seen(look):
                return None
            if seen.swing and (name in UNSEEN_FROM_THE_SIDE or name in seen.unseen):
                continue
            return None
        for value, bounds in (
            (seen.swing, look.swing),
            (seen.level, look.level),
            (seen.low, look.low),
            (seen.high, look.high),
        ):
            if bounds:
                unit = SIGNALS[name].clear
                if value is seen.swing and value[name] < bounds[0]:
                    # Half of the smallest swing counts as a clear difference, however small it is.
                    unit = min(unit, 0.5 * bounds[0])
                cost += _excess(value[name], bounds, unit) ** 2
        if cost > MAX_COST:
            return 0.0
    return float(np.exp(-0.5 * cost))


def _has_to_be_seen(look: SignalBounds) -> bool:
    """Whether a signal has to move: a flight cannot be told without the feet."""
    return any(bounds is not None and bounds[0] > 0 for bounds in (look.swing, look.high))


def recognise(signals: Signals, start_s: float, end_s: float) -> Recognised:
    """Name the movement done between two times; unknown where no entry fits clearly."""
    seen = behaviour(signals, start_s, end_s)
    alike = sorted(
        ((s, m) for m in catalogue().values() if (s := likeness(seen, m)) is not None),
        key=lambda pair: -pair[0],
    )
    fits = [
        (s, m)
        for s, m in alike
        if s >= MIN_LIKENESS - MIN_LEAD and _has_plausible_rhythm(signals, m, start_s, end_s, s)
    ]
    if not fits or is_walking(signals, start_s, end_s):
        return Recognised(None, 0.0)
    best, movement = fits[0]
    lead = best - (fits[1][0] if len(fits) > 1 else 0.0)
    if best < MIN_LIKENESS or lead < MIN_LEAD:
        return Recognised(None, round(best, 2))
    return Recognised(movement.id, round(min(best, 0.5 + lead), 2))


def _has_plausible_rhythm(
    signals: Signals, movement: Movement, start_s: float, end_s: float, alike: float
) -> bool:
    """Whether repetitions of the movement are found, at a plausible and even tempo.

    `alike` is the likeness of the stretch to the movement: where there are only two repetitions, it
    has to be higher. Hands that move while talking swing as far as reaching ones, but not evenly.
    """
    if not movement.counts:
        return True
    reps = count_reps(signals, movement, start_s, end_s).reps
    if len(reps) < 2:
        return False
    filled = sum(r.end_s - r.start_s for r in reps) / (end_s - start_s)
    gaps = np.diff([r.peak_s for r in reps])
    covered = (reps[-1].peak_s - reps[0].peak_s + float(np.median(gaps))) / (end_s - start_s)
    if covered < MIN_COVERED_FRACTION:
        return False
    if len(reps) == 2 and (
        filled < MIN_FILLED_FRACTION
        or gaps[0] < MIN_INTERVAL_OF_TWO_S
        or alike < MIN_LIKENESS_OF_TWO
    ):  # a coincidence, not a rhythm
        return False
    cadence = 60.0 / float(np.median(gaps))
    slowest, fastest = movement.tempo
    in_tempo = TEMPO_TOLERANCE * slowest <= cadence <= fastest / TEMPO_TOLERANCE
    return in_tempo and is_even(reps)


def _excess(value: float, bounds: tuple[float, float], unit: float) -> float:
    return max(bounds[0] - value, value - bounds[1], 0.0) / unit
