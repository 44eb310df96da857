"""Segmentation: where one activity ends and the next begins, from the movement alone.

Recovery in an interval class is a lighter movement, not rest, so energy alone does not separate
the periods. Posture, limb speeds and their rhythm are averaged over about two seconds and cut by
kernel change-point detection (Harchaoui & Cappe 2007; the `ruptures` library). Each boundary is
then moved to the moment at which the postures stop looking like those before and start looking
like those after. Boundaries are found within 0.5 s in 0.99 of the seeded classes' changes, with a
median error of 0.07 s (docs/measurements.md).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import ruptures
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d
from scipy.spatial import cKDTree

from annotate.counting.seen import BODY, unseen_stretches, why_unseen
from pose import landmarks as lm
from pose.signals.filters import runs
from pose.signals.model import Signals
from pose.signals.names import CLEAR_LEVELS, CLEAR_SWINGS

Floats = NDArray[np.float64]

# Rate of the features. Finer steps gain nothing: they are averaged over two seconds, and every
# boundary is refined on the full rate.
CUT_RATE_HZ = 5.0
# One to two repetitions of most movements, so that the average does not swing with each one.
AVERAGE_S = 2.0
# A shorter stretch is part of a movement (a pause inside a set), not a period of its own. Two
# averages long: change within less cannot be seen.
MIN_PERIOD_S = 4.0
# The features are scaled by fixed amounts that a person would call a different movement, so one
# penalty fits every clip. Set low on the seeded classes: a low one only gives more pieces, and the
# alignment merges those again.
PENALTY = 4.0
# Out of the picture for this long is an absence, shorter is a gap in the track: as long as the
# average that the features are taken over.
MIN_ABSENCE_S = 2.0
# In less, not one repetition at 60 a minute has room: neither standing nor moving can be told, so
# there is no period (judgement, no source).
MIN_CLIP_S = 1.0

# What counts as a clear difference in speed, trunk lengths a second: judgements, on the same
# footing as the clear differences of the signals (pose/signals/names.py).
SPEEDS: dict[str, tuple[tuple[int, int], float]] = {
    "wrists": (lm.WRISTS, 0.8),
    "ankles": (lm.ANKLES, 0.5),
    "knees": (lm.KNEES, 0.4),
}


# Dissimilarity of the two sides of a boundary, root mean square over the features: a stretch cut
# in its own middle reaches 0.24, boundaries of seeded classes lie above 0.7 (10 classes, 128 cuts).
UNCLEAR_DISSIMILARITY, CLEAR_DISSIMILARITY = 0.2, 0.8
# A cut less clear than this is removed: half way between the two, root mean square 0.5.
MIN_CLEARNESS = 0.5
# What is compared on each side: not the second next to the boundary, which the average blurs, and
# no further than some repetitions.
SIDE_RANGE_S = (1.0, 8.0)


@dataclass(frozen=True)
class Segment:
    """A stretch of one activity, of nobody in the picture, or of too little of the body.

    Attributes
    ----------
    start_s, end_s : float
        Seconds from the first picture.
    absent : bool
        Whether nobody is in the picture.
    unseen : str or None
        Why too little of the body is seen to say what is done.
    start_clear, end_clear : float
        How clearly the activity changes there, 0 to 1; 1 where the person comes or goes.
    """

    start_s: float
    end_s: float
    absent: bool = False
    unseen: str | None = None
    start_clear: float = 1.0
    end_clear: float = 1.0

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return self.end_s - self.start_s


def segment_clip(signals: Signals) -> tuple[Segment, ...]:
    """Cut a clip into stretches of one activity each, in time order, without gaps.

    Returns
    -------
    tuple of Segment
        Times rounded to 0.01 s; empty for less than `MIN_CLIP_S`.
    """
    if is_too_short(signals.times_s):
        return ()
    end_s = float(signals.times_s[-1]) + 1.0 / signals.rate_hz
    absences = [
        (float(signals.times_s[a]), float(signals.times_s[b - 1]) + 1.0 / signals.rate_hz)
        for a, b in runs(~signals.present)
        # Nobody in any picture is an absence, however short.
        if (b - a) / signals.rate_hz >= MIN_ABSENCE_S or b - a == len(signals.times_s)
    ]
    unseen = unseen_stretches(signals)
    segments: list[Segment] = []
    clock = float(signals.times_s[0])
    for start, stop in [*absences, (end_s, end_s)]:
        if start - clock > 1e-6:
            segments += _segment_present(signals, clock, start, unseen)
        if stop > start:
            segments.append(Segment(start, stop, absent=True))
        clock = stop
    # Rounded to the hundredth, as periods are: results cached for the one then fit the other.
    return tuple(
        replace(
            s,
            start_s=round(s.start_s, 2),
            end_s=round(s.end_s, 2),
            unseen=None if s.absent else why_unseen(signals, BODY, s.start_s, s.end_s),
        )
        for s in segments
    )


def is_too_short(times_s: Floats) -> bool:
    """Whether samples at these times (n,) span too little to tell what is done in them."""
    # The rounding of times that were made by adding up steps does not count.
    return len(times_s) == 0 or bool(times_s[-1] - times_s[0] < MIN_CLIP_S - 1e-9)


def _segment_present(
    signals: Signals, start_s: float, end_s: float, unseen: list[tuple[float, float]]
) -> list[Segment]:
    """Cut a stretch in which somebody is in the picture; what cannot be judged stays whole."""
    segments: list[Segment] = []
    clock = start_s
    for a, b in [*unseen, (end_s, end_s)]:
        first, last = min(max(a, clock), end_s), min(b, end_s)
        if first - clock > 1e-6:
            segments += _segment_seen(signals, clock, first)
        if last - first > 1e-6:
            segments.append(Segment(first, last))
        clock = max(clock, last)
    return segments


def _segment_seen(signals: Signals, start_s: float, end_s: float) -> list[Segment]:
    features = activity_features(signals, start_s, end_s)
    if len(features) < 2 * MIN_PERIOD_S * CUT_RATE_HZ:
        return [Segment(start_s, end_s)]
    kernel = ruptures.KernelCPD(
        kernel="rbf", min_size=int(MIN_PERIOD_S * CUT_RATE_HZ), params={"gamma": _gamma(features)}
    ).fit(features)
    ends = kernel.predict(pen=PENALTY)[:-1]
    ends = _remove_unclear(features, ends)
    bounds = [start_s, *(start_s + i / CUT_RATE_HZ for i in ends), end_s]
    bounds = refine(signals, bounds)
    clear = [1.0, *(_clearness(features, bounds, i) for i in range(1, len(bounds) - 1)), 1.0]
    return [
        Segment(bounds[i], bounds[i + 1], start_clear=clear[i], end_clear=clear[i + 1])
        for i in range(len(bounds) - 1)
    ]


def _remove_unclear(features: Floats, ends: list[int]) -> list[int]:
    """Remove cuts without a clear change on both sides.

    Uneven repetitions beat against the averaging and look like change. The least clear cut goes
    first, then its neighbours are judged again.
    """
    kept = list(ends)
    while kept:
        bounds = [i / CUT_RATE_HZ for i in (0, *kept, len(features))]
        clear = [_clearness(features, bounds, i) for i in range(1, len(bounds) - 1)]
        worst = int(np.argmin(clear))
        if clear[worst] >= MIN_CLEARNESS:
            break
        del kept[worst]
    return kept


def _clearness(features: Floats, bounds: list[float], i: int) -> float:
    """How clearly the features change at an inner boundary, 0 to 1.

    Each side is averaged over `SIDE_RANGE_S` from the boundary, and no further than the next one.
    """
    at, lo, hi = (
        round((b - bounds[0]) * CUT_RATE_HZ) for b in (bounds[i], *bounds[i - 1 : i + 2 : 2])
    )
    near, far = (round(s * CUT_RATE_HZ) for s in SIDE_RANGE_S)
    before = features[max(lo, at - far) : max(lo + 1, at - near)]
    after = features[min(at + near, hi - 1) : min(at + far, hi)]
    if min(len(before), len(after)) == 0:
        return 0.5
    change = np.minimum(np.abs(before.mean(axis=0) - after.mean(axis=0)), 3.0)
    dissimilarity = float(np.sqrt((change**2).mean()))
    return float(
        np.clip(
            (dissimilarity - UNCLEAR_DISSIMILARITY) / (CLEAR_DISSIMILARITY - UNCLEAR_DISSIMILARITY),
            0.0,
            1.0,
        )
    )


def _gamma(features: Floats) -> float:
    """Width of the kernel, exp(-gamma d**2), for the number of features.

    Two stretches that differ clearly (by 1) in a fifth of the features get the exponent -0.5.
    """
    return 1.0 / (0.4 * int(features.shape[1]))


def activity_features(signals: Signals, start_s: float, end_s: float) -> Floats:
    """Levels, swings and speeds of the movement, each over `AVERAGE_S`.

    Returns
    -------
    (k, f) float64
        At `CUT_RATE_HZ`, scaled so that 1 is a clear difference.
    """
    where = signals.slice(start_s, end_s)
    width = int(AVERAGE_S * signals.rate_hz)

    def mean(x: Floats) -> Floats:
        return np.asarray(uniform_filter1d(_fill_gaps(x), width, mode="nearest"))

    columns = [mean(signals[name][where]) / unit for name, unit in CLEAR_LEVELS.items()]
    for name, unit in CLEAR_SWINGS.items():
        x = _fill_gaps(signals[name][where])
        variance = np.maximum(mean(x**2) - mean(x) ** 2, 0.0)
        columns.append(np.sqrt(variance) / unit)
    for pair, unit in SPEEDS.values():
        columns.append(mean(_speed(signals, where, pair)) / unit)
    step = signals.rate_hz / CUT_RATE_HZ
    at = np.round(np.arange(0, where.stop - where.start, step)).astype(int)
    rows = np.minimum(at, where.stop - where.start - 1)
    return np.asarray(np.stack(columns, axis=1)[rows])


def speed(signals: Signals, segment: Segment) -> float:
    """Mean speed of hands and feet and of the hips' height, trunk lengths a second."""
    where = signals.slice(segment.start_s, segment.end_s)
    parts = [
        _speed(signals, where, lm.WRISTS),
        _speed(signals, where, lm.ANKLES),
        np.abs(np.gradient(_fill_gaps(signals["hip_height"][where]))) * signals.rate_hz,
    ]
    return float(np.mean(parts)) if len(parts[0]) else 0.0


def _speed(signals: Signals, where: slice, pair: tuple[int, int]) -> Floats:
    """Mean speed (n,) of a pair of joints relative to the hips, trunk lengths a second."""
    points = signals.body[where][:, list(pair), :2]
    if len(points) < 2:
        return np.zeros(len(points))
    step = np.linalg.norm(np.gradient(points, axis=0), axis=2).mean(axis=1)
    return _fill_gaps(step * signals.rate_hz)


def _fill_gaps(x: Floats) -> Floats:
    known = np.isfinite(x)
    if not known.any():
        return np.zeros_like(x)
    return np.interp(np.arange(len(x)), np.flatnonzero(known), x[known])


# --- moving a cut to the moment of change -----------------------------------------------------

POSTURE_JOINTS = (*lm.SHOULDERS, *lm.ELBOWS, *lm.WRISTS, *lm.KNEES, *lm.ANKLES)
# How far a boundary may move: a little less than the average, which is how far it can be off.
MAX_BOUNDARY_SHIFT_S = 1.8
# How much of each side is taken as its typical postures: some repetitions, near the boundary.
INTERIOR_S = 12.0
# Postures are compared together with their velocity, since the way up is not the way down. The
# weight is a judgement: velocity counts as the distance covered in this time.
VELOCITY_WEIGHT_S = 0.15


def refine(signals: Signals, bounds: list[float]) -> list[float]:
    """Move each inner boundary to where the postures change.

    Each moment around the boundary is compared with the nearest posture inside either neighbour.
    The boundary goes to where the sum of distances is smallest.

    Parameters
    ----------
    signals : Signals
    bounds : list of float
        Seconds, with the start and the end.

    Returns
    -------
    list of float
        As many, in seconds. A boundary stays where either side has too few postures.
    """
    postures = posture_vectors(signals)
    out = list(bounds)
    for i in range(1, len(bounds) - 1):
        before = _interior(
            signals, postures, max(bounds[i - 1], bounds[i] - INTERIOR_S), bounds[i], False
        )
        after = _interior(
            signals, postures, bounds[i], min(bounds[i + 1], bounds[i] + INTERIOR_S), True
        )
        lo = max(bounds[i] - MAX_BOUNDARY_SHIFT_S, 0.5 * (bounds[i - 1] + bounds[i]))
        hi = min(bounds[i] + MAX_BOUNDARY_SHIFT_S, 0.5 * (bounds[i] + bounds[i + 1]))
        where = signals.slice(lo, hi)
        here = postures[where]
        if min(len(before), len(after), len(here)) < 5 or not np.isfinite(here).all():
            continue
        to_before = cKDTree(before).query(here)[0]
        to_after = cKDTree(after).query(here)[0]
        cost = np.concatenate([[0.0], np.cumsum(to_before - to_after)])
        best = int(np.argmin(cost))
        out[i] = float(signals.times_s[where.start] + best / signals.rate_hz)
    return out


def posture_vectors(signals: Signals) -> Floats:
    """Posture and its velocity at each moment, (m, d), to compare by Euclidean distance."""
    points = signals.body[:, list(POSTURE_JOINTS), :2].reshape(
        len(signals.times_s), 2 * len(POSTURE_JOINTS)
    )
    if len(points) < 2:
        return points
    velocity = np.asarray(np.gradient(points, axis=0)) * signals.rate_hz * VELOCITY_WEIGHT_S
    return np.concatenate([points, velocity], axis=1)


def _interior(
    signals: Signals, postures: Floats, start_s: float, end_s: float, at_start: bool
) -> Floats:
    """Postures (r, d) of a stretch, without those near the boundary that is being moved."""
    guard = min(MAX_BOUNDARY_SHIFT_S, 0.3 * (end_s - start_s))
    inner = (start_s + guard, end_s) if at_start else (start_s, end_s - guard)
    rows = postures[signals.slice(*inner)]
    return np.asarray(rows[np.isfinite(rows).all(axis=1)])
