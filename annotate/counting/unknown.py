"""Counting a movement that is not in the catalogue: the strongest periodic signal.

Autocorrelation shows whether a signal repeats (Morris et al. 2014, CHI 3225-3234, used it to find
and count exercise). Of the signals that repeat, the one that moves most relative to its smallest
excursion is counted.

The thresholds are judgement: in the accuracy tables nothing is counted where nothing is done
(docs/measurements.md, counting and names). None comes from a published source.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import Carrier, Movement, check_signals
from annotate.counting.count import (
    NOTHING_COUNTED,
    Counted,
    count_reps,
    is_even,
    nothing_seen,
)
from annotate.counting.seen import BODY, why_unseen
from pose.signals.model import Signals

Floats = NDArray[np.float64]

# Autocorrelation below which a signal does not repeat: gestures, walking about, a hold.
MIN_PERIODICITY = 0.5
# Shortest and longest period that is looked for: 120 down to 7.5 cycles a minute.
PERIOD_RANGE_S = (0.5, 8.0)
# More is asked of the arms: someone who stands and explains moves them, nearly regularly.
MIN_ARM_PERIODICITY = 0.6
ARMS = frozenset({"wrist_height", "elbow_deg", "elbow_diff_deg"})
# Three similar movements can be a coincidence, above all slow ones.
MIN_REPS = 4
# Hips that move this far in the direction the person faces (trunk lengths; a step of about 0.6 m)
# are walking about. Exercises that travel go to the side.
MIN_WALK = 1.2
# Bent further than this, a person is not walking. Trunk: the published edge of "upright" (RULA,
# REBA). Knees: the mean of both, of which walking bends one at a time.
MAX_WALKING_TRUNK_DEG, MAX_WALKING_KNEES_DEG = 20.0, 50.0


def one_signal_movement(
    signal: str,
    peak: Literal["high", "low"],
    size: float,
    sides: Literal["both", "alternating"] = "both",
) -> Movement:
    """An unknown movement that is counted on one signal, as an entry of the catalogue.

    Raises
    ------
    ValueError
        The signal is not registered.
    """
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


# Signals to count on, each with the smallest excursion that can be a repetition (trunk lengths, or
# degrees).
CARRIERS: tuple[Movement, ...] = (
    one_signal_movement("hip_height", "low", 0.12),
    one_signal_movement("shoulder_height", "low", 0.25),
    one_signal_movement("trunk_deg", "high", 20.0),
    one_signal_movement("wrist_height", "high", 0.45),
    one_signal_movement("stance_width", "high", 0.3),
    one_signal_movement("elbow_deg", "high", 45.0),
    one_signal_movement("knee_lift_diff", "high", 0.15, "alternating"),
    one_signal_movement("foot_lift_diff", "high", 0.15, "alternating"),
    one_signal_movement("knee_diff_deg", "high", 30.0, "alternating"),
    one_signal_movement("travel", "high", 0.2, "alternating"),
    one_signal_movement("side_lean_deg", "high", 10.0, "alternating"),
    one_signal_movement("elbow_diff_deg", "high", 45.0, "alternating"),
)


def count_unknown(signals: Signals, start_s: float, end_s: float) -> Counted:
    """Count the strongest periodic signal of a stretch; nothing where no signal repeats.

    Without trunk and legs nothing is counted. Where no signal repeats, but the arms were not seen,
    that is no count of zero.
    """
    reason = why_unseen(signals, BODY | {"arms"}, start_s, end_s)
    best = NOTHING_COUNTED if reason is None else nothing_seen(reason)
    best_score = 0.0
    if why_unseen(signals, BODY, start_s, end_s) is not None:
        return best
    if is_walking(signals, start_s, end_s):
        return best
    for movement in CARRIERS:
        (carrier,) = movement.counts
        signal, size = carrier.signal, carrier.size
        x = signals[signal][signals.slice(start_s, end_s)]
        strength, _ = periodicity(x, signals.rate_hz)
        if strength < (MIN_ARM_PERIODICITY if signal in ARMS else MIN_PERIODICITY):
            continue
        counted = count_reps(signals, movement, start_s, end_s)
        low, high = np.nanquantile(x, [0.05, 0.95])
        score = strength * (high - low) / size
        if counted.count >= MIN_REPS and is_even(counted.reps) and score > best_score:
            best = Counted(counted.reps, signal, round(counted.confidence * strength, 2))
            best_score = float(score)
    return best


def is_walking(signals: Signals, start_s: float, end_s: float) -> bool:
    """Whether the person walks about, upright."""
    where = signals.slice(start_s, end_s)

    def quantile(name: str, fraction: float) -> float:
        x = signals[name][where]
        return float(np.quantile(x[np.isfinite(x)], fraction)) if np.isfinite(x).any() else np.nan

    # Bending towards the camera looks like walking towards it.
    bends = quantile("trunk_deg", 0.95) > MAX_WALKING_TRUNK_DEG
    sinks = quantile("knee_deg", 0.95) > MAX_WALKING_KNEES_DEG
    goes = quantile("advance", 0.95) - quantile("advance", 0.05) > MIN_WALK
    return goes and not bends and not sinks


def periodicity(x: Floats, rate_hz: float) -> tuple[float, float]:
    """How well a signal repeats, 0-1, and its period in seconds.

    The strength is the largest peak of the normalised, unbiased autocorrelation between the
    shortest and the longest plausible period; the period is the shortest one with a peak nearly as
    high.

    Parameters
    ----------
    x : (n,) float64
        The signal, NaN where it is not known.
    rate_hz : float
        Samples per second.

    Returns
    -------
    strength, period_s : float
        0 and NaN where it does not repeat, or where more than 30 % is not known.
    """
    known = np.isfinite(x)
    if known.sum() < 2 * PERIOD_RANGE_S[0] * rate_hz or known.mean() < 0.7:
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
    first = int(PERIOD_RANGE_S[0] * rate_hz)
    last = min(int(PERIOD_RANGE_S[1] * rate_hz), n // 2)
    inner = curve[first - 1 : last + 2]
    peaks = np.flatnonzero((inner[1:-1] > inner[:-2]) & (inner[1:-1] >= inner[2:])) + first
    top = curve[peaks].max(initial=0.0)
    if top <= 0.0:
        return 0.0, float("nan")
    # The shortest period that is nearly as good: any multiple of a period repeats, too.
    period = peaks[curve[peaks] >= 0.9 * top][0]
    return float(np.clip(top, 0.0, 1.0)), float(period / rate_hz)
