"""Jumps: how long both feet were off the floor, how high that is, and whether it fades.

A body in the air rises and falls under gravity alone, so the time in the air gives the height of
the jump without knowing any size in the picture: ``h = g t**2 / 8`` (Bosco, Luhtanen & Komi 1983,
Eur J Appl Physiol 50:273-82; it holds when the body has the same posture at take-off and landing).
Landmarks are noisy, and there are about 15 a second: hops below 6 cm are not seen. Use it only for
movements that have a flight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.review.model import Watched
from annotate.stats import mann_kendall_p, theil_sen
from pose.signals.filters import runs
from pose.signals.model import Signals

GRAVITY_M_S2 = 9.81
# In the air the toes of both feet are this far above their own floor (trunk lengths; 6 cm): the
# landmarks of a stepping foot stray less. The time below it follows from free fall.
AIR = 0.12
# Length of a trunk, hips to shoulders. A tenth more or less changes a height by 6 mm.
TRUNK_M = 0.5
# Shorter than the flight that just reaches AIR (0.22 s), so that the height alone decides.
LEAST_FLIGHT_S = 0.2
# A longer flight is a fault of the landmarks: 1 s would be a jump of 1.2 m.
LONGEST_FLIGHT_S = 1.0
# The usual level of a test; five jumps are the fewest with which Mann and Kendall's test can reach
# it (p 0.027 in perfect order; with four 0.089).
SURE_P = 0.05
LEAST_JUMPS = 5


@dataclass(frozen=True)
class Jump:
    """One flight; times in the clip."""

    takeoff_s: float
    landing_s: float

    @property
    def flight_s(self) -> float:
        """Time in the air."""
        return self.landing_s - self.takeoff_s

    @property
    def height_m(self) -> float:
        """Rise of the body's centre of mass, in metres."""
        return height_m(self.flight_s)


def height_m(flight_s: float) -> float:
    """Height in metres of a jump with this time in the air."""
    return GRAVITY_M_S2 * flight_s**2 / 8


def jumps(signals: Signals, start_s: float, end_s: float) -> tuple[Jump, ...]:
    """Flights whose landing lies in ``[start_s, end_s)``, in time order."""
    where = signals.slice(start_s - LONGEST_FLIGHT_S, end_s)
    times, air = signals.times_s[where], signals["air"][where]
    found = []
    for first, stop in runs(np.isfinite(air) & (air > AIR)):
        if first == 0 or stop == len(air):
            continue
        jump = _whole(_crossing(times, air, first - 1), _crossing(times, air, stop - 1))
        if jump.landing_s >= start_s and LEAST_FLIGHT_S <= jump.flight_s <= LONGEST_FLIGHT_S:
            found.append(jump)
    return tuple(found)


def fade_m(found: Sequence[Jump]) -> float | None:
    """Change of height in metres from the first jump to the last; None where there is no trend.

    The change follows from Theil-Sen's slope; there is a trend where Mann and Kendall's test is
    sure. Fewer than five jumps have none.
    """
    if len(found) < LEAST_JUMPS:
        return None
    heights = np.array([j.height_m for j in found])
    if mann_kendall_p([heights]) > SURE_P:
        return None
    return theil_sen(heights).per_step * (len(found) - 1)


def jump_heights(found: Sequence[Jump]) -> list[Watched]:
    """Median height of a set's jumps, and its change if there is a trend, as watched points."""
    if not found:
        return [Watched(point="jump-height", unit="m", reason="no jump was seen")]
    middle = float(np.median([j.height_m for j in found]))
    points = [Watched(point="jump-height", unit="m", value=round(middle, 2))]
    change = fade_m(found)
    if change is not None:
        points.append(Watched(point="jump-height-change", unit="m", value=round(change, 2)))
    return points


def _whole(up_s: float, down_s: float) -> Jump:
    """The whole flight from its part above `AIR`: the feet rise and fall as the body does."""
    flight_s = float(np.sqrt((down_s - up_s) ** 2 + 8 * AIR * TRUNK_M / GRAVITY_M_S2))
    early = 0.5 * (flight_s - (down_s - up_s))
    return Jump(up_s - early, down_s + early)


def _crossing(times: NDArray[np.float64], air: NDArray[np.float64], i: int) -> float:
    """When the feet pass `AIR` between samples i and i + 1, by linear interpolation."""
    share = (AIR - air[i]) / (air[i + 1] - air[i])
    return float(times[i] + share * (times[i + 1] - times[i]))
