"""Counting a movement the catalogue does not know: the strongest periodic signal.

Autocorrelation tells whether something repeats (Morris et al. 2014, CHI 3225-3234, used it to
find and count exercise); the signal that moves most for its size and repeats is counted.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import Carrier, Movement, check_signals
from annotate.counting.count import NOTHING, Counted, count_reps, even
from pose.signals.model import Signals

Floats = NDArray[np.float64]

# Below this the signal does not repeat: gestures, walking about, a hold.
LEAST_PERIODICITY = 0.5
PERIOD_S = (0.5, 8.0)
# Someone who stands and explains moves the arms only, and not in time.
LEAST_PERIODICITY_OF_ARMS = 0.6
ARMS = frozenset({"wrist_height", "elbow_deg", "elbow_diff_deg"})
# Three of something slow are a coincidence.
LEAST_REPS = 4
# Hips that go this far to and fro in the direction the person faces (trunk lengths): walking
# about. Exercises that travel go to the side.
WALKS = 1.2
WALKING_TRUNK_DEG, WALKING_KNEES_DEG = 20.0, 50.0


def carried_by(
    signal: str,
    peak: Literal["high", "low"],
    size: float,
    sides: Literal["both", "alternating"] = "both",
) -> Movement:
    """An unknown movement that one signal carries, as the catalogue would have it."""
    return check_signals(
        Movement(
            id="unknown",
            name="unknown",
            repetition="one cycle",
            sides=sides,
            counts=(Carrier(signal=signal, peak=peak, size=size),),
            intensity="moderate",
        )
    )


CARRIERS: tuple[Movement, ...] = (
    carried_by("hip_height", "low", 0.12),
    carried_by("shoulder_height", "low", 0.25),
    carried_by("trunk_deg", "high", 20.0),
    carried_by("wrist_height", "high", 0.45),
    carried_by("stance_width", "high", 0.3),
    carried_by("elbow_deg", "high", 45.0),
    carried_by("knee_lift_diff", "high", 0.15, "alternating"),
    carried_by("foot_lift_diff", "high", 0.15, "alternating"),
    carried_by("knee_diff_deg", "high", 30.0, "alternating"),
    carried_by("travel", "high", 0.2, "alternating"),
    carried_by("side_lean_deg", "high", 10.0, "alternating"),
    carried_by("elbow_diff_deg", "high", 45.0, "alternating"),
)


def count_unknown(signals: Signals, start_s: float, end_s: float) -> Counted:
    """Count the strongest periodic signal of a stretch, or nothing where none repeats."""
    best, best_score = NOTHING, 0.0
    if walks_about(signals, start_s, end_s):
        return best
    for entry in CARRIERS:
        (carrier,) = entry.counts
        signal, size = carrier.signal, carrier.size
        x = signals[signal][signals.slice(start_s, end_s)]
        strength, _ = periodicity(x, signals.rate_hz)
        if strength < (LEAST_PERIODICITY_OF_ARMS if signal in ARMS else LEAST_PERIODICITY):
            continue
        counted = count_reps(signals, entry, start_s, end_s)
        low, high = np.nanquantile(x, [0.05, 0.95])
        score = strength * (high - low) / size
        if counted.count >= LEAST_REPS and even(counted.reps) and score > best_score:
            best = Counted(counted.reps, signal, round(counted.confidence * strength, 2))
            best_score = float(score)
    return best


def walks_about(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the person goes to and fro over the floor, upright."""
    where = signals.slice(start_s, end_s)

    def quantile(name: str, share: float) -> float:
        x = signals[name][where]
        return float(np.quantile(x[np.isfinite(x)], share)) if np.isfinite(x).any() else np.nan

    # Bending towards the camera and away looks like coming nearer.
    bends = quantile("trunk_deg", 0.95) > WALKING_TRUNK_DEG
    sinks = quantile("knee_deg", 0.95) > WALKING_KNEES_DEG
    goes = quantile("advance", 0.95) - quantile("advance", 0.05) > WALKS
    return goes and not bends and not sinks


def periodicity(x: Floats, rate_hz: float) -> tuple[float, float]:
    """How well a signal repeats, 0-1, and its period in seconds (NaN when it does not).

    The first peak of the normalised, unbiased autocorrelation between the shortest and the
    longest plausible period.
    """
    known = np.isfinite(x)
    if known.sum() < 2 * PERIOD_S[0] * rate_hz or known.mean() < 0.7:
        return 0.0, float("nan")
    filled = np.interp(np.arange(len(x)), np.flatnonzero(known), x[known])
    t = np.arange(len(filled))
    centred = filled - np.polyval(np.polyfit(t, filled, 1), t)
    n = len(centred)
    spectrum = np.fft.rfft(centred, 2 * n)
    raw = np.fft.irfft(np.abs(spectrum) ** 2)[:n]
    if raw[0] <= 1e-12:
        return 0.0, float("nan")
    curve = raw / raw[0] * n / (n - np.arange(n))
    first = int(PERIOD_S[0] * rate_hz)
    last = min(int(PERIOD_S[1] * rate_hz), n // 2)
    inner = curve[first - 1 : last + 2]
    peaks = np.flatnonzero((inner[1:-1] > inner[:-2]) & (inner[1:-1] >= inner[2:])) + first
    top = curve[peaks].max(initial=0.0)
    if top <= 0.0:
        return 0.0, float("nan")
    # The shortest period that is nearly as good: twice a period repeats as well.
    period = peaks[curve[peaks] >= 0.9 * top][0]
    return float(np.clip(top, 0.0, 1.0)), float(period / rate_hz)
