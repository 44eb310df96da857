"""Up and down on two feet: squats and hinges."""

from __future__ import annotations

from clips.motions.rep import AIR, FISTS, RIGHT, STAND, WIDE, Key, Movement
from clips.posture import posture

SQUAT = posture(
    WIDE, trunk_lean=42, thigh_forward=92, thigh_out=17, shank_forward=-32, shank_out=4,
    arm_forward=84, forearm_forward=86, arm_out=7, forearm_out=0, neck=-25,
)  # fmt: skip
HINGE = posture(
    STAND, trunk_lean=66, thigh_forward=14, shank_forward=-8, arm_forward=4,
    forearm_forward=8, arm_out=9, neck=-22,
)  # fmt: skip
QUARTER_SQUAT = posture(
    WIDE, trunk_lean=20, thigh_forward=38, thigh_out=10, shank_forward=-22, shank_out=5,
    arm_forward=20, arm_out=14, forearm_forward=95, forearm_out=-18, neck=-8, **FISTS,
)  # fmt: skip
TAP = posture(
    STAND, left_thigh_out=24, left_shank_out=24, left_foot_down=8, right_thigh_out=1,
    right_shank_out=1, arm_forward=14, arm_out=14, forearm_forward=95, forearm_out=-18, **FISTS,
)  # fmt: skip
SOFT = posture(
    STAND, trunk_lean=6, thigh_forward=12, shank_forward=-9, arm_forward=14, arm_out=14,
    forearm_forward=95, forearm_out=-18, **FISTS,
)  # fmt: skip

SQUAT_REP = Movement(
    "squat",
    (
        Key(0, WIDE), Key(0.06, WIDE), Key(0.46, SQUAT, depth=1), Key(0.56, SQUAT, depth=1),
        Key(0.95, WIDE), Key(1, WIDE),
    ),
    "knee flexion",
    rep_s=2.1,
)  # fmt: skip
HINGE_REP = Movement(
    "hip-hinge",
    (
        Key(0, STAND), Key(0.06, STAND), Key(0.46, HINGE, depth=1), Key(0.56, HINGE, depth=1),
        Key(0.95, STAND), Key(1, STAND),
    ),
    "trunk inclination",
    rep_s=2.4,
)  # fmt: skip
QUARTER_SQUAT_TAP = Movement(
    "quarter-squat-tap",
    (
        Key(0, SOFT), Key(0.36, QUARTER_SQUAT), Key(0.44, QUARTER_SQUAT, RIGHT),
        Key(0.74, TAP, RIGHT), Key(1, SOFT),
    ),
    "hips low",
    alternating=True,
    rep_s=1.3,
)  # fmt: skip

HALF_SQUAT = WIDE + 0.72 * (SQUAT - WIDE)
PULSE_SQUAT = Movement(
    "pulse-squat",
    (Key(0, HALF_SQUAT), Key(0.5, SQUAT, depth=1), Key(1, HALF_SQUAT)),
    "knee flexion",
    rep_s=0.9,
)
FLOOR_TAP = posture(
    SQUAT, trunk_lean=58, thigh_forward=100, left_arm_forward=22, left_forearm_forward=14,
    left_forearm_out=-6, right_arm_forward=20, right_arm_out=30, right_forearm_forward=60,
)  # fmt: skip
JUMPED = posture(
    WIDE, foot_down=34, trunk_lean=2, arm_forward=-18, arm_out=14, forearm_forward=0,
)  # fmt: skip
LANDING = posture(
    WIDE, trunk_lean=14, thigh_forward=28, shank_forward=-18, neck=-6, arm_forward=20,
    forearm_forward=40,
)  # fmt: skip
SQUAT_TAP_JUMP = Movement(
    "squat-tap-jump",
    (
        Key(0, LANDING), Key(0.4, FLOOR_TAP, depth=1), Key(0.48, FLOOR_TAP, depth=1),
        Key(0.66, JUMPED, AIR), Key(0.84, JUMPED), Key(1, LANDING),
    ),
    "knee flexion",
    alternating=True,
    rep_s=2.1,
)  # fmt: skip

MOVEMENTS = (SQUAT_REP, HINGE_REP, QUARTER_SQUAT_TAP, PULSE_SQUAT, SQUAT_TAP_JUMP)
