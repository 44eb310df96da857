"""Jumps, and the jack without a jump."""

from __future__ import annotations

from clips.motions.rep import AIR, FISTS, LEFT, RIGHT, STAND, Key, Movement
from clips.posture import mirrored, posture

FEET_TOGETHER = posture(STAND, arm_forward=6, forearm_forward=76, thigh_out=3, shank_out=3, **FISTS)
CLOSED_SOFT = posture(
    STAND, thigh_out=3, shank_out=3, thigh_forward=16, shank_forward=-14, trunk_lean=6,
    arm_out=14, forearm_out=10, forearm_forward=10,
)  # fmt: skip
CLOSED_FLIGHT = posture(
    CLOSED_SOFT, thigh_forward=3, shank_forward=-3, trunk_lean=2, thigh_out=8, shank_out=8,
    foot_down=30, arm_out=60, forearm_out=60,
)  # fmt: skip
OPEN_SOFT = posture(
    STAND, thigh_out=24, shank_out=22, thigh_forward=12, shank_forward=-10, trunk_lean=4,
    arm_out=162, forearm_out=172, arm_forward=3, forearm_forward=3,
)  # fmt: skip
OPEN_FLIGHT = posture(
    OPEN_SOFT, thigh_forward=3, shank_forward=-3, thigh_out=18, shank_out=17, foot_down=30,
    arm_out=110, forearm_out=115,
)  # fmt: skip
LOW_OPEN = posture(
    STAND, left_thigh_out=26, left_shank_out=24, right_thigh_out=8, right_shank_out=6,
    thigh_forward=8, shank_forward=-8, arm_out=150, forearm_out=162, arm_forward=3,
    forearm_forward=3,
)  # fmt: skip
ON_LEFT = posture(
    STAND, left_thigh_forward=46, left_thigh_out=-2, left_shank_forward=-30, left_shank_out=-3,
    right_thigh_forward=6, right_thigh_out=-4, right_shank_forward=-74, right_shank_out=-26,
    right_foot_down=40, trunk_lean=34, trunk_side=4, neck=-18, right_arm_forward=52,
    right_forearm_forward=70, left_arm_forward=-36, left_forearm_forward=-4, **FISTS,
)  # fmt: skip
OFF_RIGHT = posture(
    STAND, right_thigh_forward=10, right_thigh_out=26, right_shank_forward=-8, right_shank_out=24,
    right_foot_down=30, left_thigh_forward=34, left_thigh_out=24, left_shank_forward=-20,
    left_shank_out=20, trunk_lean=18, arm_out=34, forearm_forward=45, **FISTS,
)  # fmt: skip

JUMPING_JACK = Movement(
    "jumping-jack",
    (
        Key(0, CLOSED_SOFT, AIR), Key(0.12, CLOSED_FLIGHT, AIR), Key(0.27, OPEN_SOFT),
        Key(0.5, OPEN_SOFT, AIR), Key(0.62, OPEN_FLIGHT, AIR), Key(0.77, CLOSED_SOFT),
        Key(1, CLOSED_SOFT),
    ),
    "feet apart",
    rep_s=1.0,
)  # fmt: skip
LOW_JACK = Movement(
    "low-jack",
    (
        Key(0, FEET_TOGETHER, RIGHT), Key(0.45, LOW_OPEN), Key(0.55, LOW_OPEN, RIGHT),
        Key(1, FEET_TOGETHER),
    ),
    "feet apart",
    alternating=True,
    rep_s=1.0,
)  # fmt: skip
# A leap lands on one leg with the other behind it; a skater's crosses over behind.
LANDED_LEFT = posture(ON_LEFT, right_thigh_out=5, right_shank_out=3)
LATERAL_LEAP = Movement(
    "lateral-leap",
    (
        Key(0, mirrored(LANDED_LEFT), RIGHT), Key(0.28, OFF_RIGHT, AIR, travel_m=0.34),
        Key(0.54, posture(LANDED_LEFT, left_thigh_forward=26, left_shank_forward=-18), LEFT),
        Key(0.78, LANDED_LEFT, LEFT), Key(1, LANDED_LEFT, LEFT),
    ),
    "sideways",
    alternating=True,
    rep_s=1.2,
)  # fmt: skip

STAR = posture(
    OPEN_SOFT, thigh_out=30, shank_out=30, thigh_forward=2, shank_forward=-2, foot_down=26,
    trunk_lean=0, arm_out=128, forearm_out=132,
)  # fmt: skip
COILED = posture(
    CLOSED_SOFT, thigh_forward=58, shank_forward=-34, trunk_lean=34, neck=-18, arm_forward=10,
    forearm_forward=40,
)  # fmt: skip
STAR_JUMP = Movement(
    "star-jump",
    (
        Key(0, CLOSED_SOFT), Key(0.32, COILED), Key(0.42, CLOSED_SOFT, AIR), Key(0.56, STAR, AIR),
        Key(0.7, CLOSED_SOFT), Key(0.84, CLOSED_SOFT), Key(1, CLOSED_SOFT),
    ),
    "feet apart",
    rep_s=1.7,
)  # fmt: skip
SKATER_HOP = Movement(
    "skater-hop",
    (
        Key(0, mirrored(ON_LEFT), RIGHT), Key(0.26, OFF_RIGHT, AIR, travel_m=0.55),
        Key(0.54, posture(ON_LEFT, left_thigh_forward=28, left_shank_forward=-20), LEFT),
        Key(0.78, posture(ON_LEFT, left_thigh_forward=56, trunk_lean=42), LEFT),
        Key(1, ON_LEFT, LEFT),
    ),
    "sideways",
    alternating=True,
    rep_s=1.25,
)  # fmt: skip
BESIDE_LEFT = posture(
    ON_LEFT, right_thigh_out=8, right_shank_out=2, right_shank_forward=-30, right_thigh_forward=34,
)  # fmt: skip
TAPPED_LEFT = posture(
    BESIDE_LEFT, trunk_lean=60, neck=-26, left_thigh_forward=88, left_shank_forward=-36,
    right_thigh_forward=62, right_shank_forward=-66, right_foot_down=44, right_toe_bend=30,
    right_arm_forward=20, right_arm_out=6, right_forearm_forward=12, left_arm_forward=-30,
)  # fmt: skip
LATERAL_LEAP_TAP = Movement(
    "lateral-leap-tap",
    (
        Key(0, mirrored(BESIDE_LEFT), RIGHT), Key(0.22, OFF_RIGHT, AIR, travel_m=0.3),
        Key(0.42, posture(ON_LEFT, left_thigh_forward=26, left_shank_forward=-18), LEFT),
        Key(0.68, TAPPED_LEFT, depth=1), Key(0.76, TAPPED_LEFT, depth=1),
        Key(1, BESIDE_LEFT, LEFT),
    ),
    "sideways",
    alternating=True,
    rep_s=1.6,
)  # fmt: skip

MOVEMENTS = (JUMPING_JACK, LOW_JACK, LATERAL_LEAP, STAR_JUMP, SKATER_HOP, LATERAL_LEAP_TAP)
