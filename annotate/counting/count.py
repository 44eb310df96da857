"""Counting repetitions inside a period.

A repetition is a peak of the signal that carries the movement. Its prominence has to pass two
thresholds: the smallest excursion the movement may have (the catalogue's size), and a fraction of
the set's own typical excursion, so that wobbles at the top and double pulses at the bottom do not
count. Published work on pose signals counts the same way (Hsu et al. 2021, arXiv 2107.13760; Morris
et al. 2014, CHI, by autocorrelation and peaks).

The fractions below are judgement, kept because the accuracy tables hold with them
(docs/measurements.md, counting and names); none comes from a published source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from annotate.catalogue.model import Carrier, Movement, SideRule
from annotate.counting.peaks import (
    MIN_STAY_S,
    TOP_FRACTION,
    Peak,
    Side,
    large_or_in_rhythm,
    middle,
    nan_min,
    peaks,
    sized_by_rise,
    weighted_median,
)
from annotate.counting.seen import parts_of, unseen_s, usable, why_uncounted, why_unseen
from pose.signals.cached import cached
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals
from pose.signals.names import SIGNALS, UNSEEN_FROM_THE_SIDE

Floats = NDArray[np.float64]

# An excursion counts when it reaches this fraction of the set's typical one: below one half, so
# that half-deep repetitions still count.
MIN_SIZE_FRACTION = 0.42
# A weaker one counts from this fraction on, but only where the rhythm of the others has a gap.
MIN_WEAK_FRACTION = 0.2
# Excursions from a quarter of the typical one up to this fraction make the count less sure.
SURE_FRACTION = 0.6
# A swing goes the whole way from side to side: half of it is only a step to or from the middle. The
# threshold lies between a half and a whole one.
MIN_SWING_FRACTION = 0.66
# The signal is read this far beyond a period, so that a repetition at its edge has its whole shape;
# peaks outside the period are never counted. A whole repetition at 30 a minute lasts as long.
MARGIN_S = 2.0
# A later signal of the catalogue replaces an earlier one only if it is clearer by this factor.
PREFERENCE_FACTOR = 1.25
# A repetition starts and ends where the signal crosses this fraction of its size: above the noise
# at rest, low enough to take in nearly the whole repetition.
EDGE_FRACTION = 0.15
# Window that smooths the top before its middle is taken, as a fraction of a repetition's duration.
SMOOTHING_FRACTION = 0.15
# In a held movement the stretch within this fraction of the peak is its low phase: wide enough to
# span the several things done there.
HELD_TOP_FRACTION = 0.4
# A cut repetition is complete if at least this fraction of the way there and back was seen.
MIN_RETURN_FRACTION = 0.6
# The side is read from the other signal over this stretch before and after the peak: one sample
# alone is noisy.
SIDE_WINDOW_S = 0.15
# Within this angle of a side view, signals that a side view does not show are not used. Measured:
# without it, sides told from depth were right in 2 of 4 sets (docs/measurements.md).
MAX_SIDE_VIEW_DEG = 30.0
# Upper bounds for even repetitions: median deviation from the median, as a fraction of the median,
# of the intervals and of the sizes.
MAX_INTERVAL_SPREAD, MAX_SIZE_SPREAD = 0.25, 0.3


@dataclass(frozen=True)
class FoundRep:
    """One repetition.

    Attributes
    ----------
    start_s, peak_s, end_s : float
        Times in the clip.
    side : "left", "right" or "both"
        Also "both" where the view does not tell the side of an alternating movement.
    size : float
        Prominence of the peak, in the unit of the counted signal.
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
    """The repetitions of a period.

    Attributes
    ----------
    reps : tuple of FoundRep
        In time order.
    signal : str or None
        The signal they were counted on; None where nothing was counted.
    confidence : float
        0-1; 0 where what had to be seen was not.
    unseen : str or None
        Why nothing could be counted.
    """

    reps: tuple[FoundRep, ...]
    signal: str | None
    confidence: float
    unseen: str | None = None

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.reps)

    def of(self, side: Side) -> int:
        """Repetitions of one side."""
        return sum(r.side == side for r in self.reps)

    @property
    def cadence_per_min(self) -> float | None:
        """Repetitions per minute from the median interval between peaks; None below three."""
        if len(self.reps) < 3:
            return None
        return float(60.0 / np.median(np.diff([r.peak_s for r in self.reps])))


def is_even(reps: Sequence[FoundRep]) -> bool:
    """Whether at least two repetitions are even in time and size; gestures are neither.

    Measured by the median deviation from the median, so that one pause in a set does not matter.
    """
    gaps = np.diff([r.peak_s for r in reps])
    sizes = np.array([r.size for r in reps])
    return all(
        float(np.median(np.abs(x - np.median(x)))) <= max_spread * float(np.median(x))
        for x, max_spread in ((gaps, MAX_INTERVAL_SPREAD), (sizes, MAX_SIZE_SPREAD))
    )


NOTHING_COUNTED = Counted((), None, 1.0)


def nothing_seen(reason: str | None) -> Counted:
    """No count, because what had to be seen was not."""
    return Counted((), None, 0.0, reason)


@cached
def count_reps(signals: Signals, movement: Movement, start_s: float, end_s: float) -> Counted:
    """Count the repetitions of a known movement whose peak lies in ``[start_s, end_s)``.

    Of several signals that carry the movement, the one with the largest typical excursion relative
    to its smallest size is used; earlier ones are preferred. In a side view, signals that this view
    does not show are used only if no other one gives a count; signals of parts of the body that
    were not seen are never used.
    """
    carriers = usable(signals, movement.counts, start_s, end_s)
    if movement.counts and not carriers:
        return nothing_seen(why_uncounted(signals, movement, start_s, end_s))
    best, best_strength = NOTHING_COUNTED, 0.0
    hidden = UNSEEN_FROM_THE_SIDE if is_side_view(signals, start_s, end_s) else frozenset()
    for carrier in sorted(carriers, key=lambda c: c.signal in hidden):
        if carrier.signal in hidden and best.reps:
            continue
        counted, strength = _count_carrier(signals, carrier, movement, start_s, end_s)
        if strength > best_strength:
            best, best_strength = counted, strength * PREFERENCE_FACTOR
    return best


def is_side_view(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the view is a side view; False where the direction is not known."""
    yaw = signals.yaw_deg[signals.slice(start_s, end_s)]
    off = [off_side_view_deg(float(y)) for y in yaw[:: int(signals.rate_hz)] if np.isfinite(y)]
    return bool(off) and float(np.median(off)) < MAX_SIDE_VIEW_DEG


def _count_carrier(
    signals: Signals, carrier: Carrier, movement: Movement, start_s: float, end_s: float
) -> tuple[Counted, float]:
    window = signals.slice(start_s - MARGIN_S, end_s + MARGIN_S)
    times = signals.times_s[window]
    values = signals[carrier.signal][window] * (1.0 if carrier.peak == "high" else -1.0)
    inside = (times >= start_s) & (times < end_s)
    if np.isfinite(values[inside]).sum() < 5:
        return NOTHING_COUNTED, 0.0
    min_interval_s = 0.5 * 60.0 / movement.tempo[1]
    rate = signals.rate_hz
    sides = carrier.sides or movement.sides
    signed = sides == "alternating" and carrier.side is None
    min_fraction = MIN_SWING_FRACTION if carrier.swing else MIN_SIZE_FRACTION
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
        for i, size in peaks(x, carrier.size, min_interval_s * rate, MIN_STAY_S * rate)
    ]
    if carrier.swing:
        found = sized_by_rise(found)
    if not found:
        return NOTHING_COUNTED, 0.0
    own = np.array([p.size for p in found if inside[p.index]])
    typical = weighted_median(own if len(own) else np.array([p.size for p in found]))
    kept = large_or_in_rhythm(found, min_fraction * typical, MIN_WEAK_FRACTION * typical)
    top_fraction = HELD_TOP_FRACTION if movement.held else TOP_FRACTION
    # The middle of a held top may lie on the other side of an edge than its highest sample.
    reps = [_located_rep(p, kept, times, start_s, end_s, top_fraction) for p in kept]
    reps = [r for r in reps if start_s <= r.peak_s < end_s]
    if not reps:
        return NOTHING_COUNTED, 0.0
    if carrier.side is not None:
        reps = _with_sides(reps, signals, carrier.side, start_s, end_s)
    unsure_count = np.sum((own >= 0.25 * typical) & (own < SURE_FRACTION * typical))
    gaps_s = unseen_s(signals, parts_of(carrier), start_s, end_s)
    seen = np.isfinite(values[inside]).mean() * (1.0 - gaps_s / (end_s - start_s))
    confidence = float(seen * (1.0 - unsure_count / (len(own) + 1.0)))
    counted = Counted(tuple(reps), carrier.signal, round(confidence, 2))
    return counted, float(typical / carrier.size)


def _with_sides(
    reps: list[FoundRep], signals: Signals, rule: SideRule, start_s: float, end_s: float
) -> list[FoundRep]:
    """Set the side of each repetition from another signal."""
    out = []
    if rule.signal in UNSEEN_FROM_THE_SIDE and is_side_view(signals, start_s, end_s):
        return reps
    if why_unseen(signals, SIGNALS[rule.signal].needs, start_s, end_s) is not None:
        return reps
    for rep, following in zip(reps, [*reps[1:], None], strict=False):
        until = following.peak_s if following else min(rep.end_s + MARGIN_S, end_s)
        if rule.when == "at":
            where = signals.slice(rep.peak_s - SIDE_WINDOW_S, rep.peak_s + SIDE_WINDOW_S)
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


def _located_rep(
    peak: Peak,
    all_peaks: list[Peak],
    times: Floats,
    start_s: float,
    end_s: float,
    top_fraction: float,
) -> FoundRep:
    """Find start, peak and end of one repetition."""
    x, i = peak.x, peak.index
    same = [p.index for p in all_peaks if p.side == peak.side]
    lo = max((j for j in same if j < i), default=0)
    hi = min((j for j in same if j > i), default=len(x) - 1)
    left, right = x[lo : i + 1], x[i : hi + 1]
    floor_left, floor_right = nan_min(left), nan_min(right)
    start = i - _first_at_or_below(left[::-1], floor_left + EDGE_FRACTION * (x[i] - floor_left))
    end = i + _first_at_or_below(right, floor_right + EDGE_FRACTION * (x[i] - floor_right))
    # Without smoothing, noise would break the top of a slow repetition into pieces.
    width = max(1, int(SMOOTHING_FRACTION * (end - start)))
    origin = max(0, lo - width)
    smooth = uniform_filter1d(x[origin : hi + width + 1], width, mode="nearest")
    around = range(max(start, i - 3), min(end, i + 3) + 1)
    first = last = max(around, key=lambda k: smooth[k - origin])
    top = smooth[first - origin] - top_fraction * peak.size
    while first > lo and smooth[first - 1 - origin] >= top:
        first -= 1
    while last < hi and smooth[last + 1 - origin] >= top:
        last += 1
    # The signal continues beyond the period, but not beyond the clip.
    seen_from = max(start_s, times[0])
    seen_to = min(end_s, times[-1])
    rise = x[min(i, np.searchsorted(times, seen_from)) : i + 1]
    fall = x[i : max(i + 1, np.searchsorted(times, seen_to, side="right"))]
    threshold = x[i] - MIN_RETURN_FRACTION * peak.size
    complete = bool(nan_min(rise) <= threshold and nan_min(fall) <= threshold)
    return FoundRep(
        start_s=float(times[start]),
        peak_s=float(0.5 * (times[first] + times[last])),
        end_s=float(times[end]),
        side=peak.side,
        size=peak.size,
        complete=complete,
    )


def _first_at_or_below(x: Floats, level: float) -> int:
    """Index of the first sample at or below `level`, or the last finite one."""
    below = np.flatnonzero(~(x > level))
    return int(below[0]) if len(below) else len(x) - 1
