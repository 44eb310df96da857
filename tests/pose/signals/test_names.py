"""The registry of signals: what is registered is computed, and means what it says."""

from __future__ import annotations

import pytest

from pose.signals.compute import movement_signals
from pose.signals.names import SIGNALS, UNSEEN_FROM_THE_SIDE
from tests import stick
from tests.pose.signals.moved import (
    BACK,
    DOWN,
    FRONT,
    JOINTS,
    LEFT,
    RIGHT,
    UP,
    UPPER_BODY,
    Move,
    both,
    change,
    every,
)

# What is moved, and by `positive` of the registry the signal goes up.
GOES_UP: dict[str, dict[str, Move]] = {
    "trunk_deg": every(UPPER_BODY, FRONT),
    "trunk_forward": every(UPPER_BODY, FRONT),
    "side_lean_deg": every(UPPER_BODY, LEFT),
    "hip_deg": every(both("knee", "ankle", "toe"), FRONT),
    "hip_diff_deg": every(("left_knee", "left_ankle", "left_toe"), FRONT),
    "hip_height": every((*UPPER_BODY, *both("hip")), UP),
    "hip_shift": every((*UPPER_BODY, *both("hip")), LEFT),
    "shoulder_height": every(UPPER_BODY, UP),
    "knee_deg": every(both("knee"), FRONT),
    "knee_left_deg": {"left_knee": FRONT},
    "knee_right_deg": {"right_knee": FRONT},
    "knee_diff_deg": {"left_knee": FRONT},
    "knee_lift": {"right_knee": UP},
    "knee_lift_diff": {"left_knee": UP},
    "foot_lift": {"right_ankle": UP},
    "foot_lift_diff": {"left_ankle": UP},
    "wrist_height": every(both("wrist"), UP),
    "wrist_height_diff": {"left_wrist": UP},
    "wrist_forward": every(both("wrist"), FRONT),
    "wrist_forward_diff": {"left_wrist": FRONT},
    "wrist_floor": {"left_wrist": UP, "right_wrist": UP},
    "elbow_deg": every(both("elbow"), BACK),
    "elbow_diff_deg": {"left_elbow": BACK},
    "stance_width": {"left_ankle": LEFT},
    "stance_length": {"left_ankle": FRONT},
    "front_step": {"right_ankle": FRONT},
    "travel": every(both(*JOINTS), LEFT),
    "place": every(both(*JOINTS), LEFT),
    "rise": every(both(*JOINTS), UP),
    "air": every(both(*JOINTS), UP),
}
GOES_DOWN: dict[str, dict[str, Move]] = {
    "side_lean_deg": every(UPPER_BODY, RIGHT),
    "trunk_forward": every(UPPER_BODY, BACK),
    "hip_shift": every((*UPPER_BODY, *both("hip")), RIGHT),
    "hip_height": every((*UPPER_BODY, *both("hip")), DOWN),
    "knee_diff_deg": {"right_knee": FRONT},
    "knee_lift_diff": {"right_knee": UP},
    "foot_lift_diff": {"right_ankle": UP},
    "wrist_height_diff": {"right_wrist": UP},
    "wrist_forward_diff": {"right_wrist": FRONT},
    "hip_diff_deg": every(("right_knee", "right_ankle", "right_toe"), FRONT),
    "elbow_diff_deg": {"right_elbow": BACK},
    "stance_width": {"left_ankle": RIGHT},
    "stance_length": {"left_ankle": BACK},
    "front_step": {"right_ankle": BACK},
    "travel": every(both(*JOINTS), RIGHT),
    "place": every(both(*JOINTS), RIGHT),
}


def test_exactly_the_registered_signals_are_computed() -> None:
    signals = movement_signals(stick.track(2.0, lambda t: stick.Stance()))
    assert {*signals.values} == {*SIGNALS}


def test_names_tell_the_unit() -> None:
    for name, signal in SIGNALS.items():
        assert signal.name == name
        assert name.endswith("_deg") == (signal.unit == "deg")


def test_every_difference_is_a_size() -> None:
    for signal in SIGNALS.values():
        sizes = (signal.clear, signal.clear_level, signal.clear_swing)
        assert all(size is None or size > 0 for size in sizes)


def test_depth_of_a_side_view_hides_what_lies_between_left_and_right() -> None:
    assert frozenset({"hip_shift", "stance_width"}) == UNSEEN_FROM_THE_SIDE


@pytest.mark.parametrize("name", GOES_UP)
def test_a_signal_goes_up_with_what_it_says(name: str) -> None:
    assert change(name, GOES_UP[name]) > SIGNALS[name].clear


@pytest.mark.parametrize("name", GOES_DOWN)
def test_a_signal_goes_down_with_the_opposite(name: str) -> None:
    assert change(name, GOES_DOWN[name]) < -SIGNALS[name].clear


@pytest.mark.parametrize("yaw_deg", [90.0, -90.0])
@pytest.mark.parametrize(("by", "sign"), [(FRONT, 1), (BACK, -1)])
def test_advance_is_the_way_the_person_faces(yaw_deg: float, by: Move, sign: int) -> None:
    everything = every(both(*JOINTS), by)
    assert sign * change("advance", everything, yaw_deg) > SIGNALS["advance"].clear


@pytest.mark.parametrize(("closer", "sign"), [(1.1, 1), (0.9, -1)])
def test_a_larger_picture_of_the_same_body_is_nearer(closer: float, sign: int) -> None:
    # Seen from eight trunk lengths, a tenth larger is eight tenths of a trunk length nearer.
    assert sign * change("near", {}, 0.0, closer) == pytest.approx(0.8, abs=0.15)


def test_every_signal_is_tried() -> None:
    assert {*GOES_UP, "advance", "near"} == {*SIGNALS}
