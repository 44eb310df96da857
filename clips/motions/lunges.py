"""Lunges to the side and back."""

from __future__ import annotations

from clips.motions.rep import FISTS, RIGHT, STAND, Key, Movement
from clips.posture import mirrored, posture

SIDE_STEP = posture(
    STAND, left_thigh_out=30, left_shank_out=26, left_thigh_forward=12, left_shank_forward=-6,
    right_thigh_out=14, right_shank_out=14, trunk_lean=10, arm_forward=30, forearm_forward=60,
)  # fmt: skip
SIDE_LUNGE = posture(
    STAND, left_thigh_forward=72, left_thigh_out=20, left_shank_forward=-26, left_shank_out=2,
    right_thigh_forward=16, right_thigh_out=38, right_shank_forward=10, right_shank_out=40,
    trunk_lean=34, neck=-18, arm_forward=62, forearm_forward=90, arm_out=6, forearm_out=-16,
    **FISTS,
)  # fmt: skip
BACK_STEP = posture(
    STAND, left_thigh_forward=-24, left_shank_forward=-44, left_foot_down=44, left_toe_bend=40,
    right_thigh_forward=16, right_shank_forward=-6, trunk_lean=8, arm_out=18, forearm_forward=50,
)  # fmt: skip
BACK_LUNGE = posture(
    STAND, left_thigh_forward=-4, left_shank_forward=-92, left_foot_down=58, left_toe_bend=55,
    right_thigh_forward=84, right_shank_forward=-8, trunk_lean=8, arm_out=16, arm_forward=18,
    forearm_forward=80, forearm_out=-12, **FISTS,
)  # fmt: skip

SIDE_LUNGE_REP = Movement(
    "side-lunge",
    (
        Key(0, STAND, RIGHT), Key(0.22, SIDE_STEP), Key(0.46, SIDE_LUNGE), Key(0.56, SIDE_LUNGE),
        Key(0.78, SIDE_STEP, RIGHT), Key(1, STAND),
    ),
    "hips low",
    alternating=True,
    rep_s=2.1,
)  # fmt: skip
REVERSE_LUNGE_REP = Movement(
    "reverse-lunge",
    (
        Key(0, STAND, RIGHT), Key(0.26, BACK_STEP), Key(0.48, BACK_LUNGE), Key(0.56, BACK_LUNGE),
        Key(0.76, BACK_STEP, RIGHT), Key(1, STAND),
    ),
    "hips low",
    alternating=True,
    rep_s=2.1,
)  # fmt: skip

FRONT_STEP = posture(
    STAND, left_thigh_forward=38, left_shank_forward=12, left_foot_down=-8,
    right_thigh_forward=-12, right_shank_forward=-20, right_foot_down=16, trunk_lean=4,
)  # fmt: skip
FRONT_LUNGE = mirrored(BACK_LUNGE)
FORWARD_LUNGE = Movement(
    "forward-lunge",
    (
        Key(0, STAND, RIGHT), Key(0.26, FRONT_STEP), Key(0.48, FRONT_LUNGE),
        Key(0.56, FRONT_LUNGE), Key(0.76, FRONT_STEP, RIGHT), Key(1, STAND),
    ),
    "hips low",
    alternating=True,
    rep_s=2.1,
)  # fmt: skip

MOVEMENTS = (SIDE_LUNGE_REP, REVERSE_LUNGE_REP, FORWARD_LUNGE)
