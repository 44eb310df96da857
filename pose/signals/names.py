"""The registry of movement signals: what each one measures, and how far it has to change.

A signal is one number over time, in degrees or in trunk lengths (hips to shoulders), so that the
size of the person and of the picture drops out. A name that ends in ``_deg`` is an angle; one with
``_diff`` in it is left minus right, so it is positive when the left side is the higher, further or
more bent one. Left and right are the person's own.

Three sizes say what counts as a clear difference. They were set by hand, as what a person who
looks at the film would call another movement, and kept because the accuracy tables hold with them
(docs/measurements.md). None of them comes from a published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pose.body.parts import Part

Unit = Literal["deg", "trunk"]
# "side" is the camera at the person's left or right, "front" every other direction.
View = Literal["front", "side"]

EVERY_VIEW: frozenset[View] = frozenset({"front", "side"})
# The person's left and right lie in the depth of a side view, where the model only guesses.
NOT_FROM_THE_SIDE: frozenset[View] = frozenset({"front"})
# Parts of the body that have to be seen. Everything is measured from the hips, in trunk lengths.
TRUNK: frozenset[Part] = frozenset({"trunk"})
ARMS: frozenset[Part] = TRUNK | {"arms"}
LEGS: frozenset[Part] = TRUNK | {"legs"}
FEET: frozenset[Part] = LEGS | {"feet"}


@dataclass(frozen=True)
class Signal:
    """One registered signal.

    Attributes
    ----------
    name : str
    unit : "deg" or "trunk"
        Degrees, or trunk lengths.
    measures : str
        What is measured.
    positive : str
        What a larger value means, and a positive one where the signal has a sign.
    clear : float
        Clear difference when a movement is recognised: this far outside the range of a movement's
        entry in the catalogue counts as one step away from it. In the signal's unit.
    clear_level : float or None
        Clear difference of the mean over some seconds, when a clip is cut into periods.
        None: its level does not part periods.
    clear_swing : float or None
        The same of the standard deviation over some seconds. None: its swing does not part periods.
    views : frozenset of View
        From where the camera shows it.
    needs : frozenset of Part
        Parts of the body that it is measured on.
    """

    name: str
    unit: Unit
    measures: str
    positive: str
    clear: float
    clear_level: float | None = None
    clear_swing: float | None = None
    views: frozenset[View] = EVERY_VIEW
    needs: frozenset[Part] = TRUNK


# The order matters to the last digit only: periods are cut on levels, then swings, in this order.
SIGNALS: dict[str, Signal] = {
    signal.name: signal
    for signal in (
        # Trunk and hips
        Signal("trunk_deg", "deg", "the trunk against vertical", "0 upright, 90 level",
               clear=8.0, clear_level=12.0, clear_swing=8.0),
        Signal("trunk_forward", "trunk", "the shoulders ahead of the hips", "forward", clear=0.2),
        Signal("hip_deg", "deg", "bend of the hips, mean of both sides",
               "0 straight", clear=12.0, needs=LEGS),
        Signal("hip_diff_deg", "deg", "bend of the left hip minus the right", "left more bent",
               clear=12.0, needs=LEGS),
        Signal("hip_height", "trunk", "the hips above the lower ankle", "higher",
               clear=0.08, clear_level=0.15, clear_swing=0.08, needs=LEGS),
        Signal("hip_shift", "trunk", "the hips to the side of the middle of the feet",
               "towards the left foot", clear=0.1, views=NOT_FROM_THE_SIDE, needs=LEGS),
        Signal("shoulder_height", "trunk", "the shoulders above the lower ankle", "higher",
               clear=0.2, needs=LEGS),
        # Knees and feet
        Signal("knee_deg", "deg", "bend of the knees, mean of both", "0 straight",
               clear=18.0, clear_level=18.0, needs=LEGS),
        Signal("knee_left_deg", "deg", "bend of the left knee",
               "0 straight", clear=12.0, needs=LEGS),
        Signal("knee_right_deg", "deg", "bend of the right knee",
               "0 straight", clear=12.0, needs=LEGS),
        Signal("knee_diff_deg", "deg", "bend of the left knee minus the right", "left more bent",
               clear=15.0, clear_swing=15.0, needs=LEGS),
        Signal("knee_lift", "trunk", "the higher knee against the hips", "higher; 0 at the hips",
               clear=0.08, needs=LEGS),
        Signal("knee_lift_diff", "trunk", "height of the left knee minus the right", "left higher",
               clear=0.12, clear_swing=0.12, needs=LEGS),
        Signal("foot_lift", "trunk", "one foot above its floor more than the other, whichever",
               "higher", clear=0.1, needs=LEGS),
        Signal("foot_lift_diff", "trunk", "the left foot above its floor minus the right",
               "left higher", clear=0.12, clear_swing=0.12, needs=LEGS),
        # Arms
        Signal("wrist_height", "trunk", "the wrists against the shoulders, mean of both",
               "above the shoulders", clear=0.25, clear_level=0.3, clear_swing=0.25, needs=ARMS),
        Signal("wrist_height_diff", "trunk", "height of the left wrist minus the right",
               "left higher", clear=0.2, needs=ARMS),
        Signal("wrist_forward", "trunk", "the wrists ahead of the shoulders, mean of both",
               "forward", clear=0.2, needs=ARMS),
        Signal("wrist_forward_diff", "trunk", "the left wrist ahead of the right",
               "left further forward", clear=0.2, needs=ARMS),
        Signal("wrist_floor", "trunk", "the lower wrist above the lower ankle", "higher",
               clear=0.12, needs=ARMS | LEGS),
        Signal("elbow_deg", "deg", "bend of the elbows, mean of both", "0 straight",
               clear=30.0, clear_level=30.0, needs=ARMS),
        Signal("elbow_diff_deg", "deg", "bend of the left elbow minus the right",
               "left more bent", clear=12.0, needs=ARMS),
        # Stance
        Signal("stance_width", "trunk", "the left foot to the left of the right one",
               "apart; negative when the feet cross", clear=0.12, clear_level=0.2,
               clear_swing=0.12, views=NOT_FROM_THE_SIDE, needs=LEGS),
        Signal("stance_length", "trunk", "the left foot ahead of the right one", "left in front",
               clear=0.2, clear_level=0.25, clear_swing=0.2, needs=LEGS),
        Signal("front_step", "trunk", "which foot has left its usual place",
               "the one in front; negative the one behind", clear=0.06, needs=LEGS),
        # The whole body against where it was around that time
        Signal("travel", "trunk", "way to the side, from the middle of the way to and fro",
               "to the person's left", clear=0.1, clear_swing=0.1),
        Signal("place", "trunk", "way to the side, from the usual place of the whole clip",
               "to the person's left", clear=0.2),
        Signal("advance", "trunk", "way over the floor in the direction the person faces",
               "forward", clear=0.2),
        Signal("near", "trunk", "way towards the camera", "nearer", clear=0.2),
        Signal("rise", "trunk", "the hips above their usual height", "higher",
               clear=0.06, clear_swing=0.06),
        Signal("air", "trunk", "both feet above their floor, the lower one counts",
               "in the air", clear=0.06, needs=FEET),
        # Last, for the order above
        Signal("side_lean_deg", "deg", "lean of the trunk to the side", "to the person's left",
               clear=5.0, clear_swing=5.0),
    )
}  # fmt: skip

CLEAR_LEVELS = {s.name: s.clear_level for s in SIGNALS.values() if s.clear_level is not None}
CLEAR_SWINGS = {s.name: s.clear_swing for s in SIGNALS.values() if s.clear_swing is not None}
UNSEEN_FROM_THE_SIDE = frozenset(s.name for s in SIGNALS.values() if "side" not in s.views)
