"""Stepping on the spot and sideways."""

from __future__ import annotations

from clips.motions.rep import AIR, FISTS, LEFT, RIGHT, STAND, Key, Movement
from clips.posture import mirrored, posture

MARCH_UP = posture(
    STAND, left_thigh_forward=58, left_shank_forward=-14, left_foot_down=12, right_thigh_out=1,
    right_shank_out=1, right_arm_forward=38, right_forearm_forward=100, left_arm_forward=-26,
    left_forearm_forward=48, trunk_lean=2, **FISTS,
)  # fmt: skip
MARCH_DOWN = posture(STAND, arm_forward=6, forearm_forward=76, thigh_out=3, shank_out=3, **FISTS)
REACHED_UP = posture(
    STAND, arm_forward=168, arm_out=10, forearm_forward=172, forearm_out=4, thigh_out=3,
    shank_out=3, trunk_lean=-2, **FISTS,
)  # fmt: skip
KNEE_UP = posture(
    STAND, left_thigh_forward=98, left_thigh_out=4, left_shank_forward=2, left_foot_down=-2,
    right_thigh_out=-1, right_shank_out=0, arm_forward=48, arm_out=16, forearm_forward=62,
    forearm_out=6, trunk_lean=7, neck=4, **FISTS,
)  # fmt: skip
CURL_UP = posture(
    STAND, left_thigh_forward=0, left_shank_forward=-112, left_foot_down=85, right_thigh_out=0,
    right_shank_out=0, arm_forward=-12, forearm_forward=70, trunk_lean=5, **FISTS,
)  # fmt: skip
CURL_DOWN = posture(
    STAND, arm_forward=62, forearm_forward=80, arm_out=8, thigh_out=4, shank_out=4, **FISTS
)
APART = posture(
    STAND, thigh_out=15, shank_out=15, thigh_forward=6, shank_forward=-5, arm_out=40,
    forearm_out=30, arm_forward=10, forearm_forward=50, trunk_lean=3, **FISTS,
)  # fmt: skip
TOGETHER = posture(
    STAND, thigh_out=2, shank_out=2, arm_out=12, arm_forward=8, forearm_forward=80,
    forearm_out=-10, **FISTS,
)  # fmt: skip

MARCH = Movement(
    "march",
    (Key(0, MARCH_DOWN, RIGHT), Key(0.5, MARCH_UP, RIGHT), Key(1, MARCH_DOWN)),
    "thigh raise",
    alternating=True,
    rep_s=0.55,
)
KNEE_LIFT = Movement(
    "knee-lift",
    (
        Key(0, REACHED_UP, RIGHT), Key(0.05, REACHED_UP, RIGHT), Key(0.48, KNEE_UP, RIGHT),
        Key(0.56, KNEE_UP, RIGHT), Key(0.96, REACHED_UP), Key(1, REACHED_UP),
    ),
    "thigh raise",
    alternating=True,
    rep_s=1.0,
)  # fmt: skip
HAMSTRING_CURL = Movement(
    "hamstring-curl",
    (
        Key(0, CURL_DOWN, RIGHT), Key(0.47, CURL_UP, RIGHT), Key(0.55, CURL_UP, RIGHT),
        Key(1, CURL_DOWN),
    ),
    "knee flexion",
    alternating=True,
    rep_s=0.9,
)  # fmt: skip
STEP_TOUCH = Movement(
    "step-touch",
    (
        Key(0, TOGETHER, RIGHT), Key(0.4, APART), Key(0.5, APART, LEFT), Key(0.95, TOGETHER, LEFT),
        Key(1, TOGETHER),
    ),
    "feet apart",
    alternating=True,
    rep_s=1.0,
)  # fmt: skip

HIGH_KNEE = posture(MARCH_UP, left_thigh_forward=88, left_shank_forward=-6)
HIGH_KNEES = Movement(
    "high-knees",
    (Key(0, MARCH_DOWN, RIGHT), Key(0.5, HIGH_KNEE, RIGHT), Key(1, MARCH_DOWN)),
    "thigh raise",
    alternating=True,
    rep_s=0.4,
)
JOG_UP = posture(MARCH_UP, left_thigh_forward=34, left_shank_forward=-52, left_foot_down=30)
JOG_PUSH = posture(
    MARCH_DOWN, left_thigh_forward=16, left_shank_forward=-22, right_foot_down=24, trunk_lean=4
)
JOG = Movement(
    "jog",
    (
        Key(0, MARCH_DOWN, RIGHT), Key(0.45, JOG_UP, RIGHT), Key(0.76, JOG_PUSH, AIR),
        Key(1, MARCH_DOWN),
    ),
    "thigh raise",
    alternating=True,
    rep_s=0.42,
)  # fmt: skip
RUN_OUT = posture(
    APART, arm_out=18, arm_forward=8, forearm_out=-6, forearm_forward=85, trunk_lean=7,
    left_thigh_forward=22, left_shank_forward=-16,
)  # fmt: skip
RUN_CLOSED = posture(TOGETHER, thigh_forward=18, shank_forward=-22, foot_down=20, trunk_lean=7)
SIDE_JOG = Movement(
    "side-jog",
    (
        Key(0, TOGETHER, RIGHT), Key(0.15, RUN_OUT, LEFT), Key(0.28, RUN_CLOSED, AIR, travel_m=0.1),
        Key(0.38, RUN_CLOSED, RIGHT), Key(0.52, RUN_OUT, LEFT),
        Key(0.65, RUN_CLOSED, AIR, travel_m=0.1), Key(0.75, RUN_CLOSED, LEFT),
        Key(0.9, TOGETHER, LEFT), Key(1, TOGETHER),
    ),
    "sideways",
    alternating=True,
    rep_s=1.6,
)  # fmt: skip

STRIDE = posture(
    STAND, left_thigh_forward=24, left_shank_forward=4, left_foot_down=-8,
    right_thigh_forward=-14, right_shank_forward=-34, right_foot_down=26, right_toe_bend=22,
    left_arm_forward=-16, right_arm_forward=22, trunk_lean=3,
)  # fmt: skip
PASSING = posture(STAND, left_thigh_forward=26, left_shank_forward=-38, left_foot_down=14)
WALK = Movement(
    "walk",
    (
        Key(0, STAND, RIGHT), Key(0.08, PASSING, RIGHT), Key(0.16, STRIDE, LEFT),
        Key(0.24, mirrored(PASSING), LEFT), Key(0.32, mirrored(STRIDE), RIGHT),
        Key(0.4, PASSING, RIGHT), Key(0.47, STAND), Key(0.53, STAND, RIGHT),
        Key(0.6, PASSING, RIGHT), Key(0.68, mirrored(STRIDE), LEFT),
        Key(0.76, mirrored(PASSING), LEFT), Key(0.84, STRIDE, RIGHT), Key(0.92, PASSING, RIGHT),
        Key(1, STAND),
    ),
    "none",
    rep_s=4.2,
)  # fmt: skip

MOVEMENTS = (MARCH, KNEE_LIFT, HAMSTRING_CURL, STEP_TOUCH, HIGH_KNEES, JOG, SIDE_JOG, WALK)
