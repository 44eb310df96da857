"""From raw samples to an even, smooth time grid: gaps and zero-lag low-pass.

The usual order of motion analysis: drop what is not seen, fill short gaps only, then filter, and
never filter across a gap.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.signal import butter, sosfiltfilt

Floats = NDArray[np.float64]

# Twice the 15 samples a second that are taken of a film: no sample is lost on the grid, and the
# top of a repetition is told to a thirtieth of a second.
RATE_HZ = 30.0
# Longer holes are left open: half a repetition of a fast movement could hide in them (a step of a
# march at 145 a minute takes 0.41 s).
MAX_GAP_S = 0.4

# One pass of a second-order Butterworth filter designed for w_d lets 1 / sqrt(1 + (w / w_d)^4) of
# the amplitude through, two passes 1 / (1 + (w / w_d)^4). That is to be 1 / sqrt(2) at the wanted
# cut-off w, so w / w_d = (sqrt(2) - 1)^(1/4) = 0.802. The same factor is in Winter, Biomechanics
# and Motor Control of Human Movement, 4th edition, p. 69.
TWO_PASS_CORRECTION = (2**0.5 - 1) ** 0.25

# Columns worked on at once. Measured: more, of half an hour, do not fit into the processor's cache
# and take three times as long.
_MAX_COLUMNS = 12
# A run shorter than this is all edge: the filter would make its ends up.
_MIN_RUN = 10
# Samples mirrored at either end of a run to settle the filter, half a second.
_PADDING = 15


def zero_lag_sos(cutoff_hz: float, rate_hz: float) -> Floats:
    """Second-order sections of the filter to run forwards and backwards.

    Parameters
    ----------
    cutoff_hz : float
        Where the combined gain of both passes is 0.7071. Below 0.36 of `rate_hz`.
    rate_hz : float
        Samples per second.
    """
    # The correction holds for analogue frequencies, so they are pre-warped by hand.
    warped = np.tan(np.pi * cutoff_hz / rate_hz) / TWO_PASS_CORRECTION
    design_hz = rate_hz / np.pi * np.arctan(warped)
    sos: Floats = butter(2, design_hz, fs=rate_hz, output="sos")
    return sos


def low_pass(values: Floats, rate_hz: float, cutoff_hz: float) -> Floats:
    """Zero-lag low-pass along the first axis; each run of finite samples on its own.

    A run too short for the filter is returned as it is.
    """
    flat = values.reshape(len(values), math.prod(values.shape[1:]))
    out = flat.copy()
    sos = zero_lag_sos(cutoff_hz, rate_hz)
    for known, columns in _columns_by_gaps(np.isfinite(flat)):
        for start, stop in runs(known):
            if stop - start >= _MIN_RUN:
                out[start:stop, columns] = sosfiltfilt(
                    sos, flat[start:stop, columns], axis=0, padlen=min(stop - start - 1, _PADDING)
                )
    return out.reshape(values.shape)


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and stop (exclusive) of each run of True."""
    edges = np.diff(np.concatenate([[0], mask.astype(np.int8), [0]]))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return list(zip(starts.tolist(), stops.tolist(), strict=True))


def _columns_by_gaps(finite: NDArray[np.bool_]) -> list[tuple[NDArray[np.bool_], NDArray[np.intp]]]:
    """Columns that are known at the same times, to be worked on together, a few at once."""
    by_column = np.ascontiguousarray(finite.T)
    groups: dict[bytes, list[int]] = {}
    for column, known in enumerate(by_column):
        groups.setdefault(known.tobytes(), []).append(column)
    return [
        (by_column[columns[0]], np.array(columns[i : i + _MAX_COLUMNS], dtype=np.intp))
        for columns in groups.values()
        for i in range(0, len(columns), _MAX_COLUMNS)
    ]


def even_grid(times_s: Floats, rate_hz: float) -> Floats:
    """Evenly spaced times from the first to the last sample."""
    if len(times_s) == 0:
        return np.empty(0)
    count = int(np.floor((times_s[-1] - times_s[0]) * rate_hz + 1e-9)) + 1
    return np.asarray(times_s[0] + np.arange(count) / rate_hz)


def resample(times_s: Floats, values: Floats, grid_s: Floats, max_gap_s: float) -> Floats:
    """Put samples on another time grid by monotone cubic interpolation.

    Parameters
    ----------
    times_s : (n,) float64
    values : (n, ...) float64
        NaN where missing.
    grid_s : (m,) float64
    max_gap_s : float
        Longer stretches without a sample stay NaN, and nothing is extrapolated.

    Returns
    -------
    (m, ...) float64
    """
    flat = values.reshape(len(values), math.prod(values.shape[1:]))
    out = np.full((len(grid_s), flat.shape[1]), np.nan)
    for known, columns in _columns_by_gaps(np.isfinite(flat)):
        seen = np.flatnonzero(known)
        if len(seen) < 2:
            continue
        t = times_s[seen]
        inside = (grid_s >= t[0] - 1e-9) & (grid_s <= t[-1] + 1e-9)
        after = np.clip(np.searchsorted(t, grid_s, side="left"), 1, len(t) - 1)
        inside &= (t[after] - t[after - 1]) <= max_gap_s
        wanted = np.flatnonzero(inside)
        if len(wanted):
            curve = PchipInterpolator(t, flat[np.ix_(seen, columns)], axis=0)
            out[np.ix_(wanted, columns)] = curve(np.clip(grid_s[wanted], t[0], t[-1]))
    return out.reshape((len(grid_s), *values.shape[1:]))
