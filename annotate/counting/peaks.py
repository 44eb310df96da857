"""Excursions of a signal: where it peaks, how far it went, and which of them make a set.

Constants without a derivation are judgement, kept because the accuracy tables hold with them
(docs/measurements.md, counting and names).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.signal import find_peaks

Floats = NDArray[np.float64]
Side = Literal["left", "right", "both"]

# A rhythm needs this many repetitions: the median of their four intervals survives one odd one.
MIN_REPS_FOR_RHYTHM = 5
# A missing repetition is filled in where its place is off by at most this fraction of the interval.
RHYTHM_TOLERANCE = 0.5
# The peak is the middle of the stretch within this fraction of its prominence: a held bottom has no
# single deepest sample.
TOP_FRACTION = 0.08
# Where the clip ends, a signal that has not moved for this long has reached its peak.
MIN_STAY_S = 0.25
# A peak counts only if at least this fraction of the rise to it was seen.
MIN_RISE_FRACTION = 0.25
# A signed signal rests at zero in a body seen straight on; perspective and posture move it by at
# most this much. Keys: whether the signal is in degrees (else trunk lengths).
MAX_OFFSET = {False: 0.2, True: 15.0}


@dataclass(frozen=True, eq=False)
class Peak:
    """One excursion.

    Attributes
    ----------
    index : int
        Its sample in `x`.
    size : float
        Prominence, or the way from the extreme before it (:func:`arrivals`), in the signal's unit.
    side : "left", "right" or "both"
    x : (n,) float64
        The signal it was found in; a signed signal is cut to one side, or turned, so that every
        peak is a maximum.
    """

    index: int
    size: float
    side: Side
    x: Floats


def peaks(
    x: Floats, min_prominence: float, distance: float, min_stay: float
) -> list[tuple[int, float]]:
    """Indices and prominences of peaks; both ends and gaps of the signal count as its base.

    A person who is still down when the clip ends has made a peak, although the way up is missing; a
    person who is still going down has not.

    Parameters
    ----------
    x : (n,) float64
        The signal, NaN where it is not known.
    least : float
        Smallest prominence, in the signal's unit.
    distance : float
        Smallest distance between peaks, in samples.
    stay : float
        At the end of the signal, samples without movement that make a peak.
    """
    finite = np.isfinite(x)
    if finite.sum() < 3:
        return []
    base = float(np.quantile(x[finite], 0.1))
    filled = np.where(finite, x, base)
    padded = np.concatenate([[base], filled, [base]])
    at, props = find_peaks(padded, prominence=min_prominence, distance=max(1.0, distance))
    at = at - 1
    out = []
    for i, prominence in zip(at, props["prominences"], strict=True):
        rises = i > 0 and finite[i - 1]
        falls = i < len(x) - 1 and finite[i + 1]
        if not falls:  # the signal ends here: at its peak, or on the way to it?
            before = x[max(0, int(i - min_stay)) : i + 1]
            falls = bool(
                len(before) > min_stay and x[i] - np.nanmin(before) < TOP_FRACTION * prominence
            )
        # If the rise lies mostly before the clip, the peak may lie there, too.
        arrives = rises and nan_min(x[: i + 1]) <= x[i] - MIN_RISE_FRACTION * prominence
        if arrives and falls:
            out.append((int(i), float(prominence)))
    return out


def large_or_in_rhythm(found: list[Peak], min_large: float, min_weak: float) -> list[Peak]:
    """The peaks that are large enough, and weak ones that fill a gap in the rhythm.

    In fast movements samples miss the top of an excursion, and a tired knee rises half as high.
    Where two large peaks are about two usual intervals apart, a weak peak about midway counts.

    Parameters
    ----------
    found : list of Peak
    large, weak : float
        Smallest size of a large and of a weak peak, in the signal's unit.

    Returns
    -------
    list of Peak
        In time order.
    """
    kept = sorted((p for p in found if p.size >= min_large), key=lambda p: p.index)
    if len(kept) < MIN_REPS_FOR_RHYTHM:
        return kept
    beat = float(np.median(np.diff([p.index for p in kept])))
    added = []
    for before, after in zip(kept, kept[1:], strict=False):
        if abs(after.index - before.index - 2 * beat) > RHYTHM_TOLERANCE * beat:
            continue
        middle = 0.5 * (before.index + after.index)
        off = [
            p
            for p in found
            if min_weak <= p.size < min_large
            and abs(p.index - middle) <= 0.5 * RHYTHM_TOLERANCE * beat
        ]
        added += off[:1]
    return sorted([*kept, *added], key=lambda p: p.index)


def sized_by_rise(found: list[Peak]) -> list[Peak]:
    """Size each peak by the way from the extreme before it, not by the way back.

    The step to the side before the first swing, and the one back to the middle after the last, are
    half a swing and so have half the size.
    """
    out = []
    ordered = sorted(found, key=lambda p: p.index)
    for before, peak in zip([None, *ordered], ordered, strict=False):
        since = peak.x[before.index if before else 0 : peak.index + 1]
        out.append(replace(peak, size=float(peak.x[peak.index] - np.nanmin(since))))
    return out


def weighted_median(sizes: Floats) -> float:
    """The size up to which half of the total movement lies: small wobbles have little weight."""
    order = np.sort(sizes)
    half = np.searchsorted(np.cumsum(order), 0.5 * order.sum())
    return float(order[min(half, len(order) - 1)])


def middle(values: Floats, signal: str) -> float:
    """Where a signed signal rests: the middle of an even set, the low end of a one-sided one."""
    low, middle, high = np.nanquantile(values, [0.05, 0.5, 0.95])
    limit = MAX_OFFSET[signal.endswith("_deg")]
    up, down = high - middle, middle - low
    if up > 2.5 * down:
        rest = np.nanquantile(values, 0.2)
    elif down > 2.5 * up:
        rest = np.nanquantile(values, 0.8)
    else:
        rest = 0.5 * (low + high)
    return float(np.clip(rest, -limit, limit))


def nan_min(x: Floats) -> float:
    """Smallest value, ignoring NaN: as `numpy.nanmin`, in a third of its time."""
    return float(np.fmin.reduce(x))
