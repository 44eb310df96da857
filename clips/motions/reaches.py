"""Arms, sides and stretching."""

from __future__ import annotations

from clips.motions.rep import FISTS, STAND, Key, Movement
from clips.posture import posture

HANDS_AT_CHEST = posture(
    STAND, arm_forward=20, arm_out=16, forearm_forward=120, forearm_out=-10, **FISTS
)
REACH_LEFT = posture(
    HANDS_AT_CHEST, left_arm_forward=172, left_arm_out=8, left_forearm_forward=174,
    left_forearm_out=2, trunk_side=-6, left_finger_curl=20,
)  # fmt: skip
BENT_LEFT = posture(
    STAND, trunk_side=30, right_arm_out=150, right_forearm_out=190, right_arm_forward=4,
    right_forearm_forward=4, left_arm_out=14, neck=0, thigh_out=9, shank_out=8,
)  # fmt: skip
UPRIGHT_WIDE = posture(STAND, thigh_out=9, shank_out=8)
STRETCHED_LEFT = posture(
    STAND, trunk_side=-18, left_arm_out=166, left_forearm_out=176, left_arm_forward=6,
    left_forearm_forward=6, right_arm_out=24, right_forearm_out=-20, thigh_out=9, shank_out=8,
    left_finger_curl=12,
)  # fmt: skip

REACH = Movement(
    "reach",
    (
        Key(0, HANDS_AT_CHEST), Key(0.45, REACH_LEFT), Key(0.55, REACH_LEFT),
        Key(1, HANDS_AT_CHEST),
    ),
    "hand high",
    alternating=True,
    rep_s=1.6,
)  # fmt: skip
SIDE_BEND = Movement(
    "side-bend",
    (
        Key(0, UPRIGHT_WIDE), Key(0.42, BENT_LEFT), Key(0.58, BENT_LEFT), Key(1, UPRIGHT_WIDE),
    ),
    "trunk inclination",
    alternating=True,
    rep_s=2.4,
)  # fmt: skip
STRETCH = Movement(
    "stretch",
    (
        Key(0, UPRIGHT_WIDE), Key(0.3, STRETCHED_LEFT), Key(0.72, STRETCHED_LEFT),
        Key(1, UPRIGHT_WIDE),
    ),
    "hand high",
    alternating=True,
    rep_s=4.0,
)  # fmt: skip

AT_SHOULDERS = posture(
    UPRIGHT_WIDE, arm_forward=18, arm_out=34, forearm_forward=168, forearm_out=-6, **FISTS
)
PRESSED_UP = posture(
    UPRIGHT_WIDE, arm_forward=168, arm_out=8, forearm_forward=172, forearm_out=4, **FISTS
)
PRESS = Movement(
    "press",
    (
        Key(0, AT_SHOULDERS), Key(0.45, PRESSED_UP), Key(0.55, PRESSED_UP), Key(1, AT_SHOULDERS),
    ),
    "hand high",
    rep_s=1.8,
)  # fmt: skip
GUARD = posture(
    UPRIGHT_WIDE, trunk_lean=6, thigh_forward=10, shank_forward=-8, arm_forward=26, arm_out=14,
    forearm_forward=136, forearm_out=-8, **FISTS,
)  # fmt: skip
PUNCHED = posture(
    GUARD, left_arm_forward=86, left_arm_out=0, left_forearm_forward=88, left_forearm_out=-4,
    trunk_turn=-26, neck_turn=22,
)  # fmt: skip
PUNCH = Movement(
    "punch",
    (Key(0, GUARD), Key(0.4, PUNCHED), Key(0.5, PUNCHED), Key(1, GUARD)),
    "hand far",
    alternating=True,
    rep_s=0.7,
)
HANGING = posture(UPRIGHT_WIDE, arm_forward=2, arm_out=10, forearm_forward=10, **FISTS)
CURLED = posture(HANGING, arm_forward=10, forearm_forward=140, forearm_out=4)
ARM_CURL = Movement(
    "arm-curl",
    (Key(0, HANGING), Key(0.45, CURLED), Key(0.55, CURLED), Key(1, HANGING)),
    "hand high",
    rep_s=1.8,
)
SPREAD = posture(STAND, thigh_out=18, shank_out=17, arm_out=84, forearm_out=84)
TOUCHED = posture(
    SPREAD, trunk_lean=82, trunk_turn=-30, thigh_forward=16, lumbar=14, neck=-10,
    left_arm_forward=4, left_arm_out=-12, left_forearm_forward=4, left_forearm_out=-14,
    right_arm_out=150, right_forearm_out=156,
)  # fmt: skip
TOE_TOUCH = Movement(
    "toe-touch",
    (Key(0, SPREAD), Key(0.44, TOUCHED, depth=1), Key(0.54, TOUCHED, depth=1), Key(1, SPREAD)),
    "trunk inclination",
    alternating=True,
    rep_s=2.0,
)

MOVEMENTS = (REACH, SIDE_BEND, STRETCH, PRESS, PUNCH, ARM_CURL, TOE_TOUCH)
