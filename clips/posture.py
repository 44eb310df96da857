"""A posture: one row of angles that says how a body is held.

Directions of limbs are against the floor, not against the neighbouring limb: ``thigh_forward`` 90
is a level thigh however the trunk leans. That keeps the angles of a movement readable, and lets the
lumbar flexion change while the trunk's inclination stays.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

SPINE = (
    "trunk_lean",  # inclination of the line hips to shoulders, forward
    "trunk_side",  # bend of the spine towards the left
    "trunk_turn",  # turn of the shoulders towards the left
    "lumbar",  # flexion of the lower back, spread over its three bones; 0 is flat
    "thoracic",  # flexion of the upper back
    "neck",  # flexion of the neck against the chest
    "neck_turn",  # turn of the head towards the left
)
SIDED = (
    "arm_forward",
    "arm_out",
    "forearm_forward",
    "forearm_out",
    "thigh_forward",
    "thigh_out",
    "shank_forward",
    "shank_out",
    "foot_down",  # pitch of the foot, toes down
    "toe_bend",  # toes up against the foot
    "palm_flat",  # 0 the hand follows the forearm, 1 it lies flat, fingers forward
    "finger_curl",
)
SIDES = ("left", "right")
ANGLES = SPINE + tuple(f"{side}_{angle}" for side in SIDES for angle in SIDED)
COLUMN = {angle: i for i, angle in enumerate(ANGLES)}
_TURNS_WITH_SIDE = ("trunk_side", "trunk_turn", "neck_turn")


def posture(base: FloatArray, **angles: float) -> FloatArray:
    """A posture that differs from ``base`` in the named angles, degrees.

    A limb angle without ``left_`` or ``right_`` is set on both sides.
    """
    row = base.copy()
    for angle, value_deg in angles.items():
        if angle in COLUMN:
            row[COLUMN[angle]] = value_deg
        elif angle in SIDED:
            for side in SIDES:
                row[COLUMN[f"{side}_{angle}"]] = value_deg
        else:
            raise ValueError(f"no angle named {angle!r}")
    return row


def mirrored(row: FloatArray) -> FloatArray:
    """The posture with left and right exchanged."""
    other = row.copy()
    for angle in SIDED:
        left, right = COLUMN[f"left_{angle}"], COLUMN[f"right_{angle}"]
        other[left], other[right] = row[right], row[left]
    for angle in _TURNS_WITH_SIDE:
        other[COLUMN[angle]] = -row[COLUMN[angle]]
    return other


NEUTRAL = posture(
    np.zeros(len(ANGLES)),
    arm_forward=2.0,
    arm_out=11.0,
    forearm_forward=14.0,
    forearm_out=7.0,
    thigh_out=5.0,
    shank_out=4.0,
    finger_curl=28.0,
)
