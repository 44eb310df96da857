"""Segmenter: where one activity ends and the next begins, from the movement alone.

Recovery in an interval class is a lighter movement, not rest, so energy alone does not part the
periods. Posture, limb speeds and their rhythm are averaged over about two seconds and cut by
kernel change-point detection (Harchaoui & Cappe 2007; the `ruptures` library). Every cut is then
moved to the moment at which the postures stop looking like those before and start looking like
those after.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import ruptures
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d
from scipy.spatial import cKDTree

from pose import landmarks as lm
from pose.signals.filters import runs
from pose.signals.model import Signals
from pose.signals.names import CLEAR_LEVELS, CLEAR_SWINGS

Floats = NDArray[np.float64]

CUT_RATE_HZ = 5.0
AVERAGE_S = 2.0
# Shorter stretches are part of a movement (a pause inside a set), not a period of their own.
LEAST_PERIOD_S = 4.0
# The features are scaled by fixed amounts that a person would call a different movement, so one
# penalty fits every clip; a lower one only gives more pieces, which comparing merges again.
PENALTY = 4.0
# Out of the picture for this long is an absence, not a hole in the track.
LEAST_ABSENCE_S = 2.0

# What counts as a clear difference in speed, trunk lengths a second.
SPEEDS: dict[str, tuple[tuple[int, int], float]] = {
    "wrists": (lm.WRISTS, 0.8),
    "ankles": (lm.ANKLES, 0.5),
    "knees": (lm.KNEES, 0.4),
}


# How unlike the two sides of a boundary are, root mean square over the features: a stretch cut in
# its own middle reaches 0.24, boundaries of seeded classes lie above 0.7 (10 classes, 128 cuts).
UNCLEAR, CLEAR = 0.2, 0.8
# A cut less clear than this is taken back.
LEAST_CLEAR = 0.5
SIDE_S = (1.0, 8.0)


@dataclass(frozen=True)
class Segment:
    """A stretch of one activity, or of nobody in the picture.

    Attributes
    ----------
    start_clear, end_clear : float
        0-1, how clearly the activity changes there; 1 where the person comes or goes.
    """

    start_s: float
    end_s: float
    absent: bool = False
    start_clear: float = 1.0
    end_clear: float = 1.0

    @property
    def duration_s(self) -> float:
        return self.end_s - self.start_s


def cut(signals: Signals) -> tuple[Segment, ...]:
    """Cut a clip into stretches of one activity each, in time order, without gaps."""
    if len(signals.times_s) == 0:
        return ()
    end_s = float(signals.times_s[-1]) + 1.0 / signals.rate_hz
    gone = [
        (float(signals.times_s[a]), float(signals.times_s[b - 1]) + 1.0 / signals.rate_hz)
        for a, b in runs(~signals.present)
        if (b - a) / signals.rate_hz >= LEAST_ABSENCE_S
    ]
    segments: list[Segment] = []
    clock = float(signals.times_s[0])
    for start, stop in [*gone, (end_s, end_s)]:
        if start - clock > 1e-6:
            segments += _cut_present(signals, clock, start)
        if stop > start:
            segments.append(Segment(start, stop, absent=True))
        clock = stop
    # To the hundredth, as periods are told: what is asked of both is then asked once.
    return tuple(replace(s, start_s=round(s.start_s, 2), end_s=round(s.end_s, 2)) for s in segments)


def _cut_present(signals: Signals, start_s: float, end_s: float) -> list[Segment]:
    features = activity_features(signals, start_s, end_s)
    if len(features) < 2 * LEAST_PERIOD_S * CUT_RATE_HZ:
        return [Segment(start_s, end_s)]
    kernel = ruptures.KernelCPD(
        kernel="rbf", min_size=int(LEAST_PERIOD_S * CUT_RATE_HZ), params={"gamma": _gamma(features)}
    ).fit(features)
    ends = kernel.predict(pen=PENALTY)[:-1]
    ends = _clear_only(features, ends)
    bounds = [start_s, *(start_s + i / CUT_RATE_HZ for i in ends), end_s]
    bounds = refine(signals, bounds)
    clear = [1.0, *(_clearness(features, bounds, i) for i in range(1, len(bounds) - 1)), 1.0]
    return [
        Segment(bounds[i], bounds[i + 1], start_clear=clear[i], end_clear=clear[i + 1])
        for i in range(len(bounds) - 1)
    ]


def _clear_only(features: Floats, ends: list[int]) -> list[int]:
    """Take back cuts that part nothing: uneven repetitions beat against the averaging and look
    like change. The least clear one goes first, then its neighbours are judged anew."""
    kept = list(ends)
    while kept:
        bounds = [i / CUT_RATE_HZ for i in (0, *kept, len(features))]
        clear = [_clearness(features, bounds, i) for i in range(1, len(bounds) - 1)]
        worst = int(np.argmin(clear))
        if clear[worst] >= LEAST_CLEAR:
            break
        del kept[worst]
    return kept


def _clearness(features: Floats, bounds: list[float], i: int) -> float:
    """How clearly the features change at an inner boundary, 0-1.

    Both sides are averaged, away from the boundary and no further than the next one.
    """
    at, lo, hi = (
        round((b - bounds[0]) * CUT_RATE_HZ) for b in (bounds[i], *bounds[i - 1 : i + 2 : 2])
    )
    near, far = (round(s * CUT_RATE_HZ) for s in SIDE_S)
    before = features[max(lo, at - far) : max(lo + 1, at - near)]
    after = features[min(at + near, hi - 1) : min(at + far, hi)]
    if min(len(before), len(after)) == 0:
        return 0.5
    change = np.minimum(np.abs(before.mean(axis=0) - after.mean(axis=0)), 3.0)
    unlike = float(np.sqrt((change**2).mean()))
    return float(np.clip((unlike - UNCLEAR) / (CLEAR - UNCLEAR), 0.0, 1.0))


def _gamma(features: Floats) -> float:
    """Width of the kernel: two stretches that differ clearly in a fifth of the features are as
    good as unrelated."""
    return 1.0 / (0.4 * int(features.shape[1]))


def activity_features(signals: Signals, start_s: float, end_s: float) -> Floats:
    """What goes on, (k, f) at `CUT_RATE_HZ`: levels, swings and speeds, each over `AVERAGE_S`,
    scaled so that 1 is a clear difference."""
    where = signals.slice(start_s, end_s)
    width = int(AVERAGE_S * signals.rate_hz)

    def mean(x: Floats) -> Floats:
        return np.asarray(uniform_filter1d(_filled(x), width, mode="nearest"))

    columns = [mean(signals[name][where]) / unit for name, unit in CLEAR_LEVELS.items()]
    for name, unit in CLEAR_SWINGS.items():
        x = _filled(signals[name][where])
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
        np.abs(np.gradient(_filled(signals["hip_height"][where]))) * signals.rate_hz,
    ]
    return float(np.mean(parts)) if len(parts[0]) else 0.0


def _speed(signals: Signals, where: slice, pair: tuple[int, int]) -> Floats:
    """Mean speed of a pair of joints against the hips in the picture, trunk lengths a second."""
    points = signals.body[where][:, list(pair), :2]
    if len(points) < 2:
        return np.zeros(len(points))
    step = np.linalg.norm(np.gradient(points, axis=0), axis=2).mean(axis=1)
    return _filled(step * signals.rate_hz)


def _filled(x: Floats) -> Floats:
    known = np.isfinite(x)
    if not known.any():
        return np.zeros_like(x)
    return np.interp(np.arange(len(x)), np.flatnonzero(known), x[known])


# --- moving a cut to the moment of change -----------------------------------------------------

POSTURE_JOINTS = (*lm.SHOULDERS, *lm.ELBOWS, *lm.WRISTS, *lm.KNEES, *lm.ANKLES)
REACH_S = 1.8
INTERIOR_S = 12.0
# Postures are compared together with where they are going.
VELOCITY_WEIGHT_S = 0.15


def refine(signals: Signals, bounds: list[float]) -> list[float]:
    """Move each inner boundary to where postures change from those before to those after.

    Each moment around the cut is compared with the nearest posture inside either neighbour; the
    cut goes where the total distance is least.
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
        lo = max(bounds[i] - REACH_S, 0.5 * (bounds[i - 1] + bounds[i]))
        hi = min(bounds[i] + REACH_S, 0.5 * (bounds[i] + bounds[i + 1]))
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
    """Posture and its velocity at each moment, (m, d), comparable by Euclidean distance."""
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
    """Postures of a stretch away from the boundary in question."""
    guard = min(REACH_S, 0.3 * (end_s - start_s))
    inner = (start_s + guard, end_s) if at_start else (start_s, end_s - guard)
    rows = postures[signals.slice(*inner)]
    return np.asarray(rows[np.isfinite(rows).all(axis=1)])
