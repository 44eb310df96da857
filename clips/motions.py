"""The movements: each is one repetition as a few key postures, written for the left side.

To add one, write its ``Movement`` and list it in ``MOVEMENTS``.
"""

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


@dataclass(frozen=True)
class Key:
    """A posture at a share of the repetition, and what carries the body from there on.

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
        Each side is one repetition; else a repetition is two-sided.
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


STAND = NEUTRAL
WIDE = posture(NEUTRAL, thigh_out=9, shank_out=8, arm_forward=14, forearm_forward=30)
FISTS = {"finger_curl": 55.0}


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


# ---- up and down ---------------------------------------------------------------------------
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
    "knee flexion",
    alternating=True,
    rep_s=1.3,
)  # fmt: skip

# ---- stepping ------------------------------------------------------------------------------
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

# ---- lunges --------------------------------------------------------------------------------
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

# ---- jumping -------------------------------------------------------------------------------
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
        Key(0, MARCH_DOWN, RIGHT), Key(0.45, LOW_OPEN), Key(0.55, LOW_OPEN, RIGHT),
        Key(1, MARCH_DOWN),
    ),
    "feet apart",
    alternating=True,
    rep_s=1.0,
)  # fmt: skip
LATERAL_LEAP = Movement(
    "lateral-leap",
    (
        Key(0, mirrored(ON_LEFT), RIGHT), Key(0.16, OFF_RIGHT, AIR, travel_m=0.34),
        Key(0.46, posture(ON_LEFT, left_thigh_forward=26, left_shank_forward=-18), LEFT),
        Key(0.7, ON_LEFT, LEFT), Key(1, ON_LEFT, LEFT),
    ),
    "sideways",
    alternating=True,
    rep_s=1.0,
)  # fmt: skip

# ---- arms, sides, stretching ---------------------------------------------------------------
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

# ---- on the floor --------------------------------------------------------------------------
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
        Key(0, STAND), Key(0.22, CROUCH, ALL), Key(0.28, CROUCH, HANDS), Key(0.33, TUCK, HANDS),
        Key(0.4, PLANK, ALL), Key(0.56, PLANK, HANDS), Key(0.63, TUCK, HANDS),
        Key(0.69, CROUCH, ALL), Key(0.75, CROUCH), Key(0.97, STAND), Key(1, STAND),
    ),
    "feet away",
    rep_s=3.6,
)  # fmt: skip

MOVEMENTS = {
    movement.id: movement
    for movement in (
        MARCH, KNEE_LIFT, HAMSTRING_CURL, STEP_TOUCH, LATERAL_LEAP, JUMPING_JACK, LOW_JACK,
        SQUAT_REP, QUARTER_SQUAT_TAP, SIDE_LUNGE_REP, REVERSE_LUNGE_REP, HINGE_REP,
        SQUAT_THRUST, PUSH_UP, REACH, SIDE_BEND, STRETCH,
        _still("stand", _stand), _still("talk", _talk),
    )
}  # fmt: skip
