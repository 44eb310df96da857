"""Hands on the floor."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from clips.motions.rep import AIR, ALL, HANDS, RIGHT, STAND, Key, Movement
from clips.posture import posture

PLANK = posture(
    STAND, trunk_lean=72, thigh_forward=-70, shank_forward=-70, thigh_out=2, shank_out=2,
    foot_down=66, toe_bend=62, arm_forward=2, forearm_forward=4, arm_out=6, forearm_out=4,
    palm_flat=1, finger_curl=0, neck=-14,
)  # fmt: skip
LOWERED = posture(
    PLANK, trunk_lean=86, thigh_forward=-83, shank_forward=-83, foot_down=74, toe_bend=70,
    arm_forward=-55, arm_out=34, forearm_forward=10, forearm_out=0,
)  # fmt: skip
CROUCH = posture(
    STAND, trunk_lean=70, lumbar=26, thoracic=10, thigh_forward=112, thigh_out=14,
    shank_forward=-40, shank_out=3, foot_down=14, toe_bend=12, arm_forward=10, forearm_forward=8,
    arm_out=3, forearm_out=2, palm_flat=1, finger_curl=0, neck=-28,
)  # fmt: skip
TUCK = posture(
    PLANK, trunk_lean=76, lumbar=18, thigh_forward=48, shank_forward=-84, foot_down=74,
    toe_bend=20, arm_forward=6, forearm_forward=4,
)  # fmt: skip

PUSH_UP = Movement(
    "push-up",
    (
        Key(0, PLANK, ALL), Key(0.06, PLANK, ALL), Key(0.47, LOWERED, ALL, depth=1),
        Key(0.55, LOWERED, ALL, depth=1), Key(0.95, PLANK, ALL), Key(1, PLANK, ALL),
    ),
    "shoulders low",
    rep_s=2.0,
)  # fmt: skip
SQUAT_THRUST = Movement(
    "squat-thrust",
    (
        Key(0, STAND), Key(0.22, CROUCH, ALL, depth=1), Key(0.28, CROUCH, HANDS, depth=1),
        Key(0.33, TUCK, HANDS), Key(0.4, PLANK, ALL), Key(0.56, PLANK, HANDS),
        Key(0.63, TUCK, HANDS), Key(0.69, CROUCH, ALL, depth=1), Key(0.75, CROUCH, depth=1),
        Key(0.97, STAND), Key(1, STAND),
    ),
    "feet away",
    rep_s=3.6,
)  # fmt: skip

KNEE_IN = posture(
    PLANK, left_thigh_forward=36, left_shank_forward=-62, left_foot_down=66, left_toe_bend=20
)
MOUNTAIN_CLIMBER = Movement(
    "mountain-climber",
    (
        Key(0, PLANK, HANDS | RIGHT), Key(0.5, KNEE_IN, HANDS | RIGHT), Key(1, PLANK, ALL),
    ),
    "knee flexion",
    alternating=True,
    rep_s=0.7,
)  # fmt: skip
JUMPED_UP = posture(
    STAND, foot_down=34, arm_forward=165, arm_out=10, forearm_forward=170, forearm_out=4
)
SOFT_KNEES = posture(
    STAND, thigh_forward=26, shank_forward=-18, trunk_lean=12, arm_forward=14, forearm_forward=30
)
SQUAT_THRUST_JUMP = Movement(
    "squat-thrust-jump",
    (
        *(replace(key, phase=key.phase * 0.8) for key in SQUAT_THRUST.keys[:-2]),
        Key(0.72, SOFT_KNEES), Key(0.78, posture(STAND, foot_down=10), AIR),
        Key(0.84, JUMPED_UP, AIR), Key(0.91, SOFT_KNEES), Key(1, STAND),
    ),
    "feet away",
    rep_s=4.4,
)  # fmt: skip


def _held(rng: np.random.Generator) -> NDArray[np.float64]:
    """A plank that is held, with the hips drifting a little."""
    return posture(PLANK, trunk_lean=72 + rng.normal(0, 0.6), neck=-14 + rng.normal(0, 2))


HELD_PLANK = Movement("plank", (Key(0, PLANK, ALL),), "none", rep_s=1.2, gesture=_held)

MOVEMENTS = (PUSH_UP, SQUAT_THRUST, MOUNTAIN_CLIMBER, SQUAT_THRUST_JUMP, HELD_PLANK)
