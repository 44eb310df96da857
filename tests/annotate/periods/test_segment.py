"""Cuts between activities, from the movement alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from annotate.periods.segment import LEAST_PERIOD_S, Segment, cut
from clips.session import Period
from pose.signals.compute import movement_signals
from tests import stick
from tests.film import film


def cuts(*performed: Period, **camera: Any) -> list[Segment]:
    track, _ = film(tuple(performed), **camera)
    return list(cut(movement_signals(track)))


@pytest.mark.parametrize("yaw_deg", [0, 45, 90])
def test_a_recovery_that_keeps_moving_is_parted_from_the_work(yaw_deg: int) -> None:
    segments = cuts(
        Period("work", "squat", 20),
        Period("recovery", "step-touch", 15),
        Period("work", "jumping-jack", 20),
        Period("recovery", "march", 15),
        yaw_deg=yaw_deg,
    )
    assert [s.start_s for s in segments] == pytest.approx([0, 20, 35, 55], abs=0.5)
    assert min(s.start_clear for s in segments) > 0.7


def test_one_long_exercise_is_not_cut() -> None:
    assert len(cuts(Period("work", "squat", 60, tempo_jitter=0.08, amplitude_jitter=0.08))) == 1


def test_segments_follow_one_another_without_gaps_and_none_is_a_scrap() -> None:
    segments = cuts(*(Period("work", m, 12) for m in ("squat", "march", "hip-hinge", "reach")))
    assert all(a.end_s == b.start_s for a, b in zip(segments, segments[1:], strict=False))
    assert min(s.end_s - s.start_s for s in segments) > 0.5 * LEAST_PERIOD_S


def test_a_person_who_leaves_and_comes_back_is_absent_between() -> None:
    track = stick.track(30, lambda t: stick.squatting(0.5 - 0.5 * np.cos(2 * np.pi * t / 2.5)))
    gone = (track.times_s > 12) & (track.times_s < 18)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    segments = list(cut(movement_signals(track)))
    assert [s.absent for s in segments] == [False, True, False]
    assert segments[1].start_s == pytest.approx(12, abs=0.15)
    assert segments[1].end_s == pytest.approx(18, abs=0.15)


def test_a_hole_shorter_than_an_absence_cuts_nothing() -> None:
    track = stick.track(20, lambda t: stick.squatting(0.5 - 0.5 * np.cos(2 * np.pi * t / 2.5)))
    gone = (track.times_s > 9) & (track.times_s < 10)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    assert len(cut(movement_signals(track))) == 1


def test_no_samples_no_segments() -> None:
    track = stick.track(5, lambda t: stick.Stance())
    assert cut(movement_signals(track.between(50, 60))) == ()
