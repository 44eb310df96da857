"""Depth and trunk at the peak of a repetition, on a stick figure with known angles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate.catalogue.model import catalogue
from annotate.counting.count import FoundRep, count_reps
from annotate.form.measures import depth, knee_flexion_deg, trunk_deg
from pose import landmarks as lm
from pose.signals.compute import movement_signals
from pose.track import PoseTrack
from tests import stick

SQUAT = catalogue()["squat"]
REP_S, CLIP_S = 3.0, 6.0


def filmed(yaw_deg: float = 0.0) -> PoseTrack:
    """One squat to level thighs: knees bent by 88 + 35 degrees, trunk inclined by 40."""

    def stance(t: float) -> stick.Stance:
        return stick.squatting(float(stick.wave(np.array([t]), [1.5], REP_S)[0]))

    return stick.track(CLIP_S, stance, yaw_deg=yaw_deg)


def only_rep(track: PoseTrack) -> FoundRep:
    (rep,) = count_reps(movement_signals(track), SQUAT, 0, CLIP_S).reps
    return rep


def without(track: PoseTrack, *landmarks: int) -> PoseTrack:
    """The same with these landmarks unseen."""
    world_m, xy_px = track.world_m.copy(), track.xy_px.copy()
    world_m[:, list(landmarks)] = np.nan
    xy_px[:, list(landmarks)] = np.nan
    return replace(track, world_m=world_m, xy_px=xy_px)


@pytest.mark.parametrize("yaw_deg", [0, 45, 90, -90])
def test_the_bend_of_the_knee_and_of_the_trunk_at_the_peak(yaw_deg: int) -> None:
    track = filmed(yaw_deg)
    signals, rep = movement_signals(track), only_rep(track)
    # The legs are 4 degrees apart, which the angle at the knee does not know.
    assert depth(signals, SQUAT, rep) == pytest.approx(123, abs=3)
    assert trunk_deg(signals, rep) == pytest.approx(40, abs=2)


def test_a_leg_that_was_not_seen_gives_no_depth_and_leaves_the_trunk() -> None:
    rep = only_rep(filmed())
    signals = movement_signals(without(filmed(), lm.INDEX["left_ankle"]))
    assert knee_flexion_deg(signals, rep) is None and depth(signals, SQUAT, rep) is None
    assert trunk_deg(signals, rep) == pytest.approx(40, abs=2)


def test_a_movement_without_a_depth_of_its_own_has_none() -> None:
    track = filmed()
    flat = SQUAT.model_copy(update={"depth": None})
    assert depth(movement_signals(track), flat, only_rep(track)) is None
