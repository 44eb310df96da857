"""Counting repetitions inside a period.

A repetition is a prominent excursion of the signal that carries the movement. What is prominent
is judged twice: against the smallest excursion the movement may have (the catalogue's size) and
against the set's own typical excursion, so that wobbles at the top and double pulses at the
bottom do not count. Published work on pose signals counts the same way (Hsu et al. 2021,
arXiv 2107.13760; Morris et al. 2014, CHI, by autocorrelation and peaks).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from annotate.catalogue.model import Carrier, Movement, SideRule
from annotate.counting.peaks import (
    STAY_S,
    TOP_SHARE,
    Peak,
    Side,
    arrivals,
    large_or_on_the_beat,
    least_of,
    middle,
    peaks,
    weighted_median,
)
from pose.signals.cached import once
from pose.signals.compute import Signals
from pose.signals.geometry import off_side_view_deg

Floats = NDArray[np.float64]

# An excursion counts when it reaches this share of the set's typical one ...
LEAST_SHARE = 0.42
# ... or this share, when it comes on the beat that the others leave open ...
WEAK_SHARE = 0.2
# ... and an excursion between the two shares makes the count less sure.
SURE_SHARE = 0.6
# A swing has the whole way to go; half of it is only a step to or from the middle.
SWING_SHARE = 0.66
# Around a period the signal is looked at this far, so that a repetition at its edge has its
# whole shape; peaks outside the period are never counted.
MARGIN_S = 2.0
# A signal listed first in the catalogue is left only for one this much clearer.
PREFERENCE = 1.25
# A repetition starts and ends where the signal leaves and reaches this share of its size.
FOOT_SHARE = 0.15
SMOOTH_SHARE = 0.15
# A movement with several things done at the bottom has its peak in the middle of them.
HELD_SHARE = 0.4
# A cut repetition counts as complete if at least this share of the way back was seen.
RETURN_SHARE = 0.6
# A side is read from the other signal over this stretch around the peak.
AT_PEAK_S = 0.15
# The person's left and right lie in the depth of a side view, where the model only guesses: no
# side is told from these signals this close to side view.
UNSEEN_FROM_THE_SIDE = frozenset({"hip_shift", "stance_width"})
SIDE_VIEW_DEG = 30.0
# Median deviation from the median interval and size, as a share, that a rhythm may have.
UNEVEN_TIME, UNEVEN_SIZE = 0.25, 0.3


@dataclass(frozen=True)
class FoundRep:
    """One repetition.

    Attributes
    ----------
    start_s, peak_s, end_s : float
    side : "left", "right" or "both"
        Both also where the view does not tell the side of an alternating movement.
    size : float
        Excursion in the carrier's unit.
    complete : bool
        False when the clip or the period cuts it off.
    """

    start_s: float
    peak_s: float
    end_s: float
    side: Side
    size: float
    complete: bool


@dataclass(frozen=True)
class Counted:
    """The repetitions of a period, in time order."""

    reps: tuple[FoundRep, ...]
    signal: str | None
    confidence: float

    @property
    def count(self) -> int:
        return len(self.reps)

    def of(self, side: Side) -> int:
        """Repetitions of one side."""
        return sum(r.side == side for r in self.reps)

    @property
    def cadence_per_min(self) -> float | None:
        """Repetitions per minute from the median interval of peaks; None below three."""
        if len(self.reps) < 3:
            return None
        return float(60.0 / np.median(np.diff([r.peak_s for r in self.reps])))


def even(reps: Sequence[FoundRep]) -> bool:
    """Whether repetitions come evenly in time and size; gestures do neither.

    The median deviation from the median tells, so that one pause in a set does not matter.
    """
    gaps = np.diff([r.peak_s for r in reps])
    sizes = np.array([r.size for r in reps])
    return all(
        float(np.median(np.abs(x - np.median(x)))) <= most * float(np.median(x))
        for x, most in ((gaps, UNEVEN_TIME), (sizes, UNEVEN_SIZE))
    )


NOTHING = Counted((), None, 1.0)


@once
def count_reps(signals: Signals, movement: Movement, start_s: float, end_s: float) -> Counted:
    """Count the repetitions of a known movement whose peak lies in ``[start_s, end_s)``.

    Of several signals that carry the movement, the one with the
    largest typical excursion for its least size is used; an earlier one is preferred. From the
    side, signals that this view does not show are asked last.
    """
    best, best_strength = NOTHING, 0.0
    hidden = UNSEEN_FROM_THE_SIDE if from_the_side(signals, start_s, end_s) else frozenset()
    for carrier in sorted(movement.counts, key=lambda c: c.signal in hidden):
        if carrier.signal in hidden and best.reps:
            continue
        counted, strength = _count_on(signals, carrier, movement, start_s, end_s)
        if strength > best_strength:
            best, best_strength = counted, strength * PREFERENCE
    return best


def from_the_side(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the view is a side view; without depth it is taken to be a frontal one."""
    yaw = signals.yaw_deg[signals.slice(start_s, end_s)]
    off = [off_side_view_deg(float(y)) for y in yaw[:: int(signals.rate_hz)] if np.isfinite(y)]
    return bool(off) and float(np.median(off)) < SIDE_VIEW_DEG


def _count_on(
    signals: Signals, carrier: Carrier, movement: Movement, start_s: float, end_s: float
) -> tuple[Counted, float]:
    window = signals.slice(start_s - MARGIN_S, end_s + MARGIN_S)
    times = signals.times_s[window]
    values = signals[carrier.signal][window] * (1.0 if carrier.peak == "high" else -1.0)
    inside = (times >= start_s) & (times < end_s)
    if np.isfinite(values[inside]).sum() < 5:
        return NOTHING, 0.0
    closest_s = 0.5 * 60.0 / movement.tempo[1]
    rate = signals.rate_hz
    sides = carrier.sides or movement.sides
    signed = sides == "alternating" and carrier.side is None
    least_share = SWING_SHARE if carrier.swing else LEAST_SHARE
    if carrier.swing:
        values = values - middle(values[inside], carrier.signal)
        excursions: list[tuple[Side, Floats]] = [("left", values), ("right", -values)]
    elif signed:
        values = values - middle(values[inside], carrier.signal)
        excursions = [
            ("left", np.maximum(values, 0.0)),
            ("right", np.maximum(-values, 0.0)),
        ]
    else:
        excursions = [("both", values)]

    found = [
        Peak(i, size, side, x)
        for side, x in excursions
        for i, size in peaks(x, carrier.size, closest_s * rate, STAY_S * rate)
    ]
    if carrier.swing:
        found = arrivals(found)
    if not found:
        return NOTHING, 0.0
    own = np.array([p.size for p in found if inside[p.index]])
    typical = weighted_median(own if len(own) else np.array([p.size for p in found]))
    kept = large_or_on_the_beat(found, least_share * typical, WEAK_SHARE * typical)
    top_share = HELD_SHARE if movement.held else TOP_SHARE
    # The middle of a held top may lie on the other side of an edge than its highest sample.
    reps = [_shape(p, kept, times, start_s, end_s, top_share) for p in kept]
    reps = [r for r in reps if start_s <= r.peak_s < end_s]
    if not reps:
        return NOTHING, 0.0
    if carrier.side is not None:
        reps = _sided(reps, signals, carrier.side, start_s, end_s)
    doubtful = np.sum((own >= 0.25 * typical) & (own < SURE_SHARE * typical))
    seen = np.isfinite(values[inside]).mean()
    confidence = float(seen * (1.0 - doubtful / (len(own) + 1.0)))
    counted = Counted(tuple(reps), carrier.signal, round(confidence, 2))
    return counted, float(typical / carrier.size)


def _sided(
    reps: list[FoundRep], signals: Signals, rule: SideRule, start_s: float, end_s: float
) -> list[FoundRep]:
    """Give each repetition its side by another signal."""
    out = []
    if rule.signal in UNSEEN_FROM_THE_SIDE and from_the_side(signals, start_s, end_s):
        return reps
    for rep, following in zip(reps, [*reps[1:], None], strict=False):
        until = following.peak_s if following else min(rep.end_s + MARGIN_S, end_s)
        if rule.when == "at":
            where = signals.slice(rep.peak_s - AT_PEAK_S, rep.peak_s + AT_PEAK_S)
        elif rule.when == "after":
            where = signals.slice(rep.peak_s, until)
        else:
            where = signals.slice(rep.start_s, rep.end_s)
        x = signals[rule.signal][where]
        x = x[np.isfinite(x)]
        if len(x) == 0:
            out.append(rep)
            continue
        if rule.when == "at":
            value = np.median(x)
        elif rule.when == "after":
            value = x[np.argmax(np.abs(x))]
        else:
            value = x[-1] - x[0]
        if abs(value) < rule.least:
            out.append(rep)
            continue
        left = (value > 0) == (rule.left == "high")
        out.append(replace(rep, side="left" if left else "right"))
    return out


def _shape(
    peak: Peak,
    all_peaks: list[Peak],
    times: Floats,
    start_s: float,
    end_s: float,
    top_share: float,
) -> FoundRep:
    """Start, deepest point and end of one repetition."""
    x, i = peak.x, peak.index
    same = [p.index for p in all_peaks if p.side == peak.side]
    lo = max((j for j in same if j < i), default=0)
    hi = min((j for j in same if j > i), default=len(x) - 1)
    left, right = x[lo : i + 1], x[i : hi + 1]
    floor_left, floor_right = least_of(left), least_of(right)
    start = i - _first(left[::-1], floor_left + FOOT_SHARE * (x[i] - floor_left))
    end = i + _first(right, floor_right + FOOT_SHARE * (x[i] - floor_right))
    # The noise of a slow repetition would break its top into pieces.
    width = max(1, int(SMOOTH_SHARE * (end - start)))
    origin = max(0, lo - width)
    smooth = uniform_filter1d(x[origin : hi + width + 1], width, mode="nearest")
    around = range(max(start, i - 3), min(end, i + 3) + 1)
    first = last = max(around, key=lambda k: smooth[k - origin])
    top = smooth[first - origin] - top_share * peak.size
    while first > lo and smooth[first - 1 - origin] >= top:
        first -= 1
    while last < hi and smooth[last + 1 - origin] >= top:
        last += 1
    # The signal runs on past the period; past the clip it does not.
    seen_from = max(start_s, times[0])
    seen_to = min(end_s, times[-1])
    lead = x[min(i, np.searchsorted(times, seen_from)) : i + 1]
    tail = x[i : max(i + 1, np.searchsorted(times, seen_to, side="right"))]
    need = x[i] - RETURN_SHARE * peak.size
    complete = bool(least_of(lead) <= need and least_of(tail) <= need)
    return FoundRep(
        start_s=float(times[start]),
        peak_s=float(0.5 * (times[first] + times[last])),
        end_s=float(times[end]),
        side=peak.side,
        size=peak.size,
        complete=complete,
    )


def _first(x: Floats, level: float) -> int:
    """Index of the first sample at or below `level`, or the last finite one."""
    below = np.flatnonzero(~(x > level))
    return int(below[0]) if len(below) else len(x) - 1
