"""What a movement is: one repetition as a few key postures, written for the left side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from clips.posture import NEUTRAL, mirrored, posture

FloatArray = NDArray[np.float64]

BOTH = frozenset({"left foot", "right foot"})
LEFT = frozenset({"left foot"})
RIGHT = frozenset({"right foot"})
HANDS = frozenset({"left hand", "right hand"})
ALL = BOTH | HANDS
AIR: frozenset[str] = frozenset()

FISTS = {"finger_curl": 55.0}
STAND = NEUTRAL
WIDE = posture(NEUTRAL, thigh_out=9, shank_out=8, arm_forward=14, forearm_forward=30)


@dataclass(frozen=True)
class Key:
    """A posture at a fraction of the repetition, and what carries the body from there on.

    Attributes
    ----------
    phase : float
        0 at the start of the repetition, 1 at its end.
    depth : float
        How much of the repetition's own lumbar flexion applies here, 0 to 1.
    travel_m : float
        Way to the person's left covered by the flight that starts here.
    """

    phase: float
    posture: FloatArray
    planted: frozenset[str] = BOTH
    depth: float = 0.0
    travel_m: float = 0.0


@dataclass(frozen=True)
class Movement:
    """One repetition, and how its peak is measured.

    Attributes
    ----------
    measure : str
        Key of :data:`clips.truth.PEAK_MEASURES`; the peak is where it is greatest.
    alternating : bool
        Each side is one repetition; otherwise a repetition is two-sided.
    rep_s : float
        Usual time of one repetition.
    gesture : callable, optional
        For movements without repetitions: draws the posture held next.
    """

    id: str
    keys: tuple[Key, ...]
    measure: str
    alternating: bool = False
    rep_s: float = 2.0
    gesture: Callable[[np.random.Generator], FloatArray] | None = None

    def side_keys(self, side: str) -> tuple[Key, ...]:
        """The keys of a repetition on one side (``left``, ``right`` or ``both``)."""
        if side != "right":
            return self.keys
        swap = {"left": "right", "right": "left"}
        return tuple(
            replace(
                key,
                posture=mirrored(key.posture),
                planted=frozenset(
                    f"{swap[which]} {part}" for which, part in (c.split() for c in key.planted)
                ),
                travel_m=-key.travel_m,
            )
            for key in self.keys
        )
