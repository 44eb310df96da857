"""Feet in the air, and feet that only go somewhere else."""

from __future__ import annotations

import numpy as np
import pytest

from pose.signals.compute import movement_signals
from pose.signals.names import SIGNALS
from pose.track import PoseTrack
from tests import stick
from tests.pose.signals.moved import JOINTS, UP, UPPER_BODY, both, change, every

CLEAR = SIGNALS["air"].clear


def test_a_jump_lifts_both_feet() -> None:
    # 30 cm of a trunk of 50 cm.
    assert change("air", every(both(*JOINTS), UP)) == pytest.approx(0.6, abs=0.05)


def test_one_foot_on_the_floor_is_no_jump() -> None:
    upper = every((*UPPER_BODY, *both("hip", "knee")), UP)
    assert change("air", upper | {"left_ankle": UP, "left_toe": UP}) < CLEAR


def test_feet_that_leave_their_floor_with_the_hands_down_are_no_jump() -> None:
    # The hips sink from 86 cm to 26 above the feet, and the feet are drawn up by 10.
    down = every((*UPPER_BODY, *both("hip", "knee")), (0.0, -0.5, 0.0))
    feet = every(both("ankle", "toe"), (0.0, 0.1, 0.0))
    assert change("air", down | feet) == pytest.approx(0.0, abs=0.01)


def test_without_toes_the_ankles_tell_a_jump() -> None:
    names = [name for name in stick.NAMES if not name.endswith("toe")]
    kept = [stick.NAMES.index(name) for name in names]
    times_s = np.arange(120) / stick.RATE_HZ
    joints = np.repeat(stick.joints(stick.Stance())[None, kept], len(times_s), axis=0)
    joints[(times_s > 4) & (times_s < 4.6), :, 1] += 0.3
    signals = movement_signals(PoseTrack.from_joints(times_s, joints, names))
    assert signals["air"][signals.index(4.3)] == pytest.approx(0.6, abs=0.05)
