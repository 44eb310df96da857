"""The registry of signals: what is registered is computed, and means what it says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from pose.signals.names import SIGNALS, UNSEEN_FROM_THE_SIDE
from pose.track import PoseTrack
from tests import stick

Move = tuple[float, float, float]  # metres to the person's left, up, to the front
LEFT, UP, FRONT = (0.3, 0.0, 0.0), (0.0, 0.3, 0.0), (0.0, 0.0, 0.3)
RIGHT, DOWN, BACK = (-0.3, 0.0, 0.0), (0.0, -0.3, 0.0), (0.0, 0.0, -0.3)
BEFORE_S, MOVED_S, CLIP_S = 2.0, (4.0, 4.6), 9.0
JOINTS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "toe")


def both(*joints: str) -> tuple[str, ...]:
    return tuple(f"{side}_{joint}" for joint in joints for side in ("left", "right"))


def filmed(moved: dict[str, Move], yaw_deg: float, closer: float = 1.0) -> Signals:
    """A figure that stands still but for half a second in which some joints are moved."""
    times_s = np.arange(round(CLIP_S * stick.RATE_HZ)) / stick.RATE_HZ
    joints = np.repeat(stick.joints(stick.Stance())[None], len(times_s), axis=0)
    during = (times_s >= MOVED_S[0]) & (times_s < MOVED_S[1])
    for joint, by in moved.items():
        joints[during, stick.NAMES.index(joint)] += by
    track = PoseTrack.from_joints(times_s, joints, stick.NAMES, yaw_deg=yaw_deg)
    size = np.where(during, closer, 1.0)[:, None, None]
    return movement_signals(replace(track, xy_px=track.xy_px * size))


def change(name: str, moved: dict[str, Move], yaw_deg: float = 30.0, closer: float = 1.0) -> float:
    """How far a signal goes up while the joints are moved."""
    signals = filmed(moved, yaw_deg, closer)
    before, during = (signals.index(t) for t in (BEFORE_S, sum(MOVED_S) / 2))
    return float(signals[name][during] - signals[name][before])


def every(joints: tuple[str, ...], by: Move) -> dict[str, Move]:
    return dict.fromkeys(joints, by)


# What is moved, and by `positive` of the registry the signal goes up.
UPPER_BODY = both("shoulder", "elbow", "wrist")
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
