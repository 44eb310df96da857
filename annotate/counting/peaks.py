"""Excursions of a signal: where it peaks, how far it went, and which of them make a set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.signal import find_peaks

Floats = NDArray[np.float64]
Side = Literal["left", "right", "both"]

# A beat shows from so many repetitions on, and may be off by this share of itself.
LEAST_FOR_BEAT = 5
BEAT_PLAY = 0.5
# The deepest point is the middle of the stretch within this share of the peak: a held bottom
# has no single deepest sample.
TOP_SHARE = 0.08
# Where the clip ends, someone who has not moved on for this long has arrived.
STAY_S = 0.25
# A peak whose rise was not seen at least to this share is none.
ARRIVAL_SHARE = 0.25
# A signed signal's middle is zero for a body seen straight; perspective and posture move it by
# no more than this (trunk lengths, degrees).
LARGEST_OFFSET = {False: 0.2, True: 15.0}


@dataclass(frozen=True, eq=False)
class Peak:
    """One excursion: its sample, its size, and the (one-sided) signal it was found in."""

    index: int
    size: float
    side: Side
    x: Floats


def peaks(x: Floats, least: float, distance: float, stay: float) -> list[tuple[int, float]]:
    """Indices and prominences of peaks; the signal's ends and holes count as its base.

    A person who is still down when the clip ends has made a peak, though the way up is missing;
    a person who is still going down has not.
    """
    finite = np.isfinite(x)
    if finite.sum() < 3:
        return []
    base = float(np.quantile(x[finite], 0.1))
    filled = np.where(finite, x, base)
    padded = np.concatenate([[base], filled, [base]])
    at, props = find_peaks(
        padded, prominence=least, distance=max(1.0, distance), plateau_size=(None, None)
    )
    at = at - 1
    out = []
    for i, prominence in zip(at, props["prominences"], strict=True):
        rises = i > 0 and finite[i - 1]
        falls = i < len(x) - 1 and finite[i + 1]
        if not falls:  # the signal ends here: has it arrived, or is it still on its way?
            before = x[max(0, int(i - stay)) : i + 1]
            falls = bool(len(before) > stay and x[i] - np.nanmin(before) < TOP_SHARE * prominence)
        # Of a rise that lies before the clip only the end was seen: the peak may have been, too.
        arrives = rises and least_of(x[: i + 1]) <= x[i] - ARRIVAL_SHARE * prominence
        if arrives and falls:
            out.append((int(i), float(prominence)))
    return out


def large_or_on_the_beat(found: list[Peak], large: float, weak: float) -> list[Peak]:
    """The peaks that are large enough, and weak ones that fill a missing beat.

    In fast movements samples miss the top of an excursion, and a tired knee comes half as high:
    where two large peaks are twice the usual time apart and a weak one lies midway, it counts.
    """
    kept = sorted((p for p in found if p.size >= large), key=lambda p: p.index)
    if len(kept) < LEAST_FOR_BEAT:
        return kept
    beat = float(np.median(np.diff([p.index for p in kept])))
    added = []
    for before, after in zip(kept, kept[1:], strict=False):
        if abs(after.index - before.index - 2 * beat) > BEAT_PLAY * beat:
            continue
        middle = 0.5 * (before.index + after.index)
        off = [
            p
            for p in found
            if weak <= p.size < large and abs(p.index - middle) <= 0.5 * BEAT_PLAY * beat
        ]
        added += off[:1]
    return sorted([*kept, *added], key=lambda p: p.index)


def arrivals(found: list[Peak]) -> list[Peak]:
    """Size each peak by the way there from the extreme before it, not by the way back.

    Stepping to the side before the first swing, and back to the middle after the last, are
    half a swing.
    """
    out = []
    ordered = sorted(found, key=lambda p: p.index)
    for before, peak in zip([None, *ordered], ordered, strict=False):
        since = peak.x[before.index if before else 0 : peak.index + 1]
        out.append(replace(peak, size=float(peak.x[peak.index] - np.nanmin(since))))
    return out


def weighted_median(sizes: Floats) -> float:
    """The size that half of the total movement is made of: small wobbles hardly weigh."""
    order = np.sort(sizes)
    half = np.searchsorted(np.cumsum(order), 0.5 * order.sum())
    return float(order[min(half, len(order) - 1)])


def middle(values: Floats, signal: str) -> float:
    """Where a signed signal rests: halfway in an even set, the resting end in a one-sided one."""
    low, middle, high = np.nanquantile(values, [0.05, 0.5, 0.95])
    limit = LARGEST_OFFSET[signal.endswith("_deg")]
    up, down = high - middle, middle - low
    if up > 2.5 * down:
        rest = np.nanquantile(values, 0.2)
    elif down > 2.5 * up:
        rest = np.nanquantile(values, 0.8)
    else:
        rest = 0.5 * (low + high)
    return float(np.clip(rest, -limit, limit))


def least_of(x: Floats) -> float:
    """Smallest value, skipping NaN; as `numpy.nanmin` in a third of its time."""
    return float(np.fmin.reduce(x))
