"""No exercise: standing quietly, and standing while explaining something."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from clips.motions.rep import STAND, Key, Movement
from clips.posture import posture

FloatArray = NDArray[np.float64]


def _talk(rng: np.random.Generator) -> FloatArray:
    """A gesture of someone explaining: hands before the body, weight and head shifting."""
    angles = {
        "trunk_turn": rng.normal(0, 8),
        "trunk_side": rng.normal(0, 2),
        "neck_turn": rng.normal(0, 14),
        "neck": rng.normal(2, 5),
    }
    for side in ("left", "right"):
        raised = rng.random() < 0.75
        angles |= {
            f"{side}_arm_forward": rng.uniform(8, 55) if raised else 2,
            f"{side}_arm_out": rng.uniform(8, 45),
            f"{side}_forearm_forward": rng.uniform(75, 150) if raised else 15,
            f"{side}_forearm_out": rng.uniform(-25, 45) if raised else 7,
            f"{side}_finger_curl": rng.uniform(5, 40),
        }
    return posture(STAND, **angles)


def _stand(rng: np.random.Generator) -> FloatArray:
    """Quiet standing with small shifts."""
    return posture(
        STAND, trunk_lean=rng.normal(0, 0.7), trunk_side=rng.normal(0, 0.8), neck=rng.normal(0, 2)
    )


def _still(movement_id: str, gesture: Callable[[np.random.Generator], FloatArray]) -> Movement:
    return Movement(movement_id, (Key(0, STAND),), "none", rep_s=0.9, gesture=gesture)


MOVEMENTS = (_still("stand", _stand), _still("talk", _talk))
