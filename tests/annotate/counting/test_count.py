"""Counting on figures whose repetitions are known exactly."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from annotate.catalogue.model import Movement, catalogue
from annotate.counting.count import Counted, count_reps
from annotate.counting.unknown import count_unknown, periodicity
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick

SQUAT, HINGE = catalogue()["squat"], catalogue()["hip-hinge"]
KNEE_LIFT, JACK = catalogue()["knee-lift"], catalogue()["jumping-jack"]


def squats(
    starts: list[float], rep_s: float, clip_s: float, depths: list[float] | None = None, **film: Any
) -> Signals:
    depths = depths or [1.0] * len(starts)

    def stance(t: float) -> stick.Stance:
        depth = sum(
            d * float(stick.wave(np.array([t]), [s], rep_s)[0])
            for s, d in zip(starts, depths, strict=True)
        )
        return stick.squatting(depth)

    return movement_signals(stick.track(clip_s, stance, **film))


def peaks(counted: Counted) -> list[float]:
    return [r.peak_s for r in counted.reps]


@pytest.mark.parametrize("yaw_deg", [0, 45, 90, -90, 150])
def test_squats_are_counted_at_their_deepest_point_from_every_view(yaw_deg: int) -> None:
    starts = [1.0, 4.0, 6.5, 10.0]
    signals = squats(starts, 2.4, 14.0, yaw_deg=yaw_deg, noise_m=0.008)
    counted = count_reps(signals, SQUAT, 0, 14)
    assert peaks(counted) == pytest.approx([s + 1.2 for s in starts], abs=0.1)
    assert all(r.complete for r in counted.reps)


@pytest.mark.parametrize("rate_hz", [12, 25, 60])
def test_the_count_does_not_depend_on_the_frame_rate(rate_hz: int) -> None:
    signals = squats([1, 3, 5, 7, 9], 1.8, 12.0, rate_hz=rate_hz)
    assert count_reps(signals, SQUAT, 0, 12).count == 5


def test_touching_repetitions_are_all_counted() -> None:
    starts = [0.5 + 1.5 * k for k in range(8)]
    signals = squats(starts, 1.5, 13.5)
    assert count_reps(signals, SQUAT, 0, 13.5).count == 8


def test_a_pause_inside_the_set_adds_nothing() -> None:
    signals = squats([0.5, 2.5, 9.0, 11.0], 2.0, 14.0, noise_m=0.01)
    assert count_reps(signals, SQUAT, 0, 14).count == 4


def test_a_wobble_far_smaller_than_the_set_is_no_repetition() -> None:
    signals = squats([0.5, 3.0, 5.5, 8.0], 2.0, 11.0, depths=[1, 1, 0.3, 1])
    assert count_reps(signals, SQUAT, 0, 11).count == 3


def test_a_repetition_cut_by_the_end_of_the_clip_is_counted_but_not_complete() -> None:
    signals = squats([1.0, 4.0], 2.4, 5.7)
    counted = count_reps(signals, SQUAT, 0, 5.7)
    assert [r.complete for r in counted.reps] == [True, False]


def test_a_repetition_cut_before_its_deepest_point_is_not_counted() -> None:
    signals = squats([1.0, 4.0], 2.4, 4.9)
    assert count_reps(signals, SQUAT, 0, 4.9).count == 1


def test_a_peak_belongs_to_the_period_it_lies_in() -> None:
    signals = squats([1, 4, 7, 10], 2.0, 13.0)
    assert count_reps(signals, SQUAT, 0, 6.5).count == 2
    assert count_reps(signals, SQUAT, 6.5, 13).count == 2


def test_alternating_repetitions_are_told_apart_by_side() -> None:
    lefts, rights = [1.0, 4.0, 7.0], [2.5, 5.5]

    def stance(t: float) -> stick.Stance:
        now = np.array([t])
        return stick.knee_up(
            float(stick.wave(now, lefts, 1.2)[0]), float(stick.wave(now, rights, 1.2)[0])
        )

    counted = count_reps(movement_signals(stick.track(9, stance, yaw_deg=30)), KNEE_LIFT, 0, 9)
    assert (counted.of("left"), counted.of("right")) == (3, 2)
    assert [r.side for r in counted.reps] == ["left", "right", "left", "right", "left"]


def test_a_one_sided_set_has_no_repetition_on_the_other_side() -> None:
    def stance(t: float) -> stick.Stance:
        return stick.knee_up(0.0, float(stick.wave(np.array([t]), [1, 2.5, 4, 5.5], 1.3)[0]))

    counted = count_reps(movement_signals(stick.track(8, stance)), KNEE_LIFT, 0, 8)
    assert (counted.of("left"), counted.of("right")) == (0, 4)


def test_mirrored_footage_gives_the_sides_back() -> None:
    def stance(t: float) -> stick.Stance:
        return stick.knee_up(float(stick.wave(np.array([t]), [1, 3, 5], 1.3)[0]), 0.0)

    film = stick.track(8, stance)
    counted = count_reps(movement_signals(film, mirrored=True), KNEE_LIFT, 0, 8)
    assert (counted.of("left"), counted.of("right")) == (0, 3)


@pytest.mark.parametrize("movement", [SQUAT, HINGE, KNEE_LIFT, JACK])
def test_standing_still_has_no_repetitions(movement: Movement) -> None:
    signals = movement_signals(stick.track(10, lambda t: stick.Stance(), noise_m=0.012))
    assert count_reps(signals, movement, 0, 10).count == 0


def test_an_unknown_movement_is_counted_on_its_strongest_rhythm() -> None:
    def stance(t: float) -> stick.Stance:
        return stick.Stance(arms_out=60 + 50 * np.sin(2 * np.pi * t / 2.0), elbow=5)

    signals = movement_signals(stick.track(16, stance, noise_m=0.005))
    assert count_unknown(signals, 0, 16).count in (8, 7)


def test_irregular_gestures_are_no_repetitions() -> None:
    rng = np.random.default_rng(5)
    at = np.cumsum(rng.uniform(0.4, 3.0, 12))
    sizes = rng.uniform(20, 120, 12)

    def stance(t: float) -> stick.Stance:
        return stick.Stance(elbow=5 + float(sizes @ np.exp(-(((t - at) / 0.35) ** 2))))

    signals = movement_signals(stick.track(16, stance, noise_m=0.005))
    assert count_unknown(signals, 0, 16).count == 0


@pytest.mark.parametrize("period_s", [0.7, 1.0, 2.0, 3.5])
def test_periodicity_finds_the_period_of_a_sine(period_s: float) -> None:
    t = np.arange(0, 20, 1 / 30)
    strength, found = periodicity(np.sin(2 * np.pi * t / period_s) + 3 + 0.1 * t, 30.0)
    assert strength > 0.95
    assert found == pytest.approx(period_s, abs=0.04)


def test_cadence_is_that_of_the_peaks() -> None:
    signals = squats([0.5 + 2 * k for k in range(6)], 1.8, 13.0)
    assert count_reps(signals, SQUAT, 0, 13).cadence_per_min == pytest.approx(30, abs=0.5)
