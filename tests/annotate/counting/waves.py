"""Signals made by hand: one wave, everything else at rest."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from pose.signals.model import Signals
from pose.signals.names import SIGNALS

Floats = NDArray[np.float64]
RATE_HZ = 30.0


def times_s(lasts_s: float, rate_hz: float = RATE_HZ) -> Floats:
    return np.arange(round(lasts_s * rate_hz)) / rate_hz


def signals(
    moving: Mapping[str, Floats], *, yaw_deg: float = 0.0, rate_hz: float = RATE_HZ
) -> Signals:
    """These signals, the others 0 all the time."""
    n = len(next(iter(moving.values())))
    rest = {name: np.zeros(n) for name in SIGNALS}
    return Signals(
        times_s=np.arange(n) / rate_hz, rate_hz=rate_hz, values=rest | dict(moving),
        yaw_deg=np.full(n, yaw_deg), trunk_px=np.full(n, 80.0), body=np.zeros((n, 33, 3)),
        hips_px=np.zeros((n, 2)),
    )  # fmt: skip


def bumps(lasts_s: float, starts_s: list[float], rep_s: float, sizes: list[float]) -> Floats:
    """One smooth excursion from 0 from each start, of this height."""
    t = times_s(lasts_s)
    out = np.zeros(len(t))
    for start_s, size in zip(starts_s, sizes, strict=True):
        phase = (t - start_s) / rep_s
        out += size * np.where(
            (phase >= 0) & (phase <= 1), 0.5 - 0.5 * np.cos(2 * np.pi * phase), 0
        )
    return out
