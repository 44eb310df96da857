"""Counting where it is hard: uneven sets, pauses, changes of tempo and view, no repetitions."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from annotate.catalogue.model import catalogue
from annotate.counting.count import Counted, count_reps
from annotate.counting.recognise import recognise
from annotate.counting.unknown import count_unknown
from clips.session import Period
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick
from tests.film import film

SQUAT = catalogue()["squat"]


def counted(period: Period, **camera: Any) -> tuple[Counted, list[dict[str, Any]]]:
    track, truth = film((period,), **camera)
    signals = movement_signals(track)
    entry = catalogue()[period.movement]
    return count_reps(signals, entry, 0.0, period.duration_s), truth["reps"]


def work(movement: str, duration_s: float, reps: int, **more: object) -> Period:
    return Period("work", movement, duration_s, reps=reps, **more)  # type: ignore[arg-type]


def sides(found: Counted) -> tuple[int, int]:
    return found.of("left"), found.of("right")


@pytest.mark.slow
@pytest.mark.parametrize("yaw_deg", [0, 45, 90])
def test_half_squats_between_full_ones_are_repetitions_too(yaw_deg: int) -> None:
    period = work("squat", 18, 8, sizes=(1, 1, 0.6, 1, 0.6, 0.6, 1, 1))
    found, true = counted(period, yaw_deg=yaw_deg)
    assert [r.peak_s for r in found.reps] == pytest.approx([r["peak_s"] for r in true], abs=0.15)


@pytest.mark.slow
@pytest.mark.parametrize("movement", ["squat", "knee-lift", "jumping-jack"])
def test_a_pause_inside_a_set_is_no_repetition(movement: str) -> None:
    period = work(movement, 22, 8, pauses_s={2: 3.0, 5: 4.0})
    found, true = counted(period)
    assert [r.peak_s for r in found.reps] == pytest.approx([r["peak_s"] for r in true], abs=0.15)


def test_a_double_pulse_at_the_bottom_is_one_repetition() -> None:
    starts = [1.0, 4.5, 8.0, 11.5]

    def stance(t: float) -> stick.Stance:
        down = float(stick.wave(np.array([t]), starts, 3.0)[0])
        pulse = sum(float(stick.wave(np.array([t]), [s + 1.5], 0.7)[0]) for s in starts)
        return stick.squatting(min(1.0, 1.6 * down) - 0.25 * pulse)

    signals = movement_signals(stick.track(16, stance, yaw_deg=45, noise_m=0.008))
    assert count_reps(signals, SQUAT, 0, 16).count == 4


@pytest.mark.slow
@pytest.mark.parametrize("movement", ["squat", "march", "side-lunge"])
def test_a_change_of_tempo_inside_a_set(movement: str) -> None:
    reps = 24 if movement == "march" else 9
    lengths = (1.0,) * (reps // 3) + (0.55,) * (reps // 3) + (1.3,)
    found, true = counted(work(movement, 21, reps, lengths=lengths))
    assert found.count == len(true)


@pytest.mark.slow
@pytest.mark.parametrize(("reps", "share"), [(6, 0.5), (12, 1.0), (24, 2.0)])
def test_half_and_double_tempo_show_in_the_cadence_not_in_the_confidence(
    reps: int, share: float
) -> None:
    found, _ = counted(work("knee-lift", 24, reps))
    assert found.count == reps
    assert found.cadence_per_min == pytest.approx(30.8 * share, rel=0.08)
    assert found.confidence > 0.9


@pytest.mark.slow
@pytest.mark.parametrize("rate_hz", [12, 15, 25, 30, 60])
@pytest.mark.parametrize("movement", ["squat", "jumping-jack", "march"])
def test_from_12_to_60_frames_a_second(movement: str, rate_hz: int) -> None:
    reps = {"squat": 5, "jumping-jack": 12, "march": 20}[movement]
    found, _ = counted(work(movement, 12, reps), rate_hz=rate_hz)
    assert found.count == reps


@pytest.mark.slow
@pytest.mark.parametrize("yaw_deg", [0, 30, 90])
@pytest.mark.parametrize("movement", ["knee-lift", "hamstring-curl", "reverse-lunge"])
def test_unequal_sides_are_told(movement: str, yaw_deg: int) -> None:
    order = ("left",) * 5 + ("right",) * 3
    found, _ = counted(work(movement, 17, 8, sides=order), yaw_deg=yaw_deg)
    assert sides(found) == (5, 3)


@pytest.mark.slow
@pytest.mark.parametrize("yaw_deg", [90, -90])
def test_runs_to_the_side_are_seen_from_the_side_as_coming_nearer(yaw_deg: int) -> None:
    found, true = counted(work("side-jog", 16, 8), yaw_deg=yaw_deg, distance_m=4.2)
    assert found.count == len(true)
    assert [r.side for r in found.reps] == [r["side"] for r in true]


@pytest.mark.slow
def test_who_leaves_and_comes_back_is_counted_while_there() -> None:
    track, truth = film((work("squat", 24, 10),))
    away = (track.times_s > 8.0) & (track.times_s < 15.0)
    xy, world = track.xy_px.copy(), track.world_m.copy()
    xy[away], world[away] = np.nan, np.nan
    found = count_reps(movement_signals(replace(track, xy_px=xy, world_m=world)), SQUAT, 0, 24)
    there = [r["peak_s"] for r in truth["reps"] if not 7.6 < r["peak_s"] < 15.4]
    assert found.count == len(there)
    assert not any(8.0 < r.peak_s < 15.0 for r in found.reps)


@pytest.mark.slow
@pytest.mark.parametrize("movement", ["squat", "knee-lift", "jumping-jack"])
def test_a_camera_that_turns_in_the_middle(movement: str) -> None:
    period = work(movement, 24, 10)
    first, truth = film((period,), yaw_deg=10)
    second, _ = film((period,), yaw_deg=75)
    later = first.times_s > 12.0
    turned = replace(
        first,
        xy_px=np.where(later[:, None, None], second.xy_px, first.xy_px),
        world_m=np.where(later[:, None, None], second.world_m, first.world_m),
    )
    found = count_reps(movement_signals(turned), catalogue()[movement], 0, 24)
    assert found.count == len(truth["reps"])


def _quiet(movement: str, yaw_deg: float, seed: int) -> Signals:
    period = Period("still", movement, 16.0)
    return movement_signals(film((period,), yaw_deg=yaw_deg, seed=seed, distance_m=4.3)[0])


@pytest.mark.slow
@pytest.mark.parametrize("yaw_deg", [0, 30, 90])
@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("movement", ["talk", "stand", "walk", "plank"])
def test_nothing_is_counted_where_nothing_is_repeated(
    movement: str, seed: int, yaw_deg: int
) -> None:
    assert count_unknown(_quiet(movement, yaw_deg, seed), 0, 16).count == 0


@pytest.mark.slow
@pytest.mark.parametrize("yaw_deg", [0, 30, 90])
@pytest.mark.parametrize("movement", ["talk", "stand", "walk"])
def test_no_name_is_given_where_nothing_is_done(movement: str, yaw_deg: int) -> None:
    assert recognise(_quiet(movement, yaw_deg, 4), 0, 16).movement is None


def test_a_weak_knee_on_the_beat_counts_but_a_wobble_in_a_pause_does_not() -> None:
    def lifts(starts: list[float], heights: list[float]) -> Counted:
        def stance(t: float) -> stick.Stance:
            now = np.array([t])
            waves = [
                h * float(stick.wave(now, [s], 0.8)[0])
                for s, h in zip(starts, heights, strict=True)
            ]
            return stick.knee_up(sum(waves[::2]), sum(waves[1::2]))

        signals = movement_signals(stick.track(14, stance, yaw_deg=30))
        return count_reps(signals, catalogue()["march"], 0, 14)

    beat = [1.0 + k for k in range(11)]
    assert lifts(beat, [0.8] * 5 + [0.35] + [0.8] * 5).count == 11
    assert lifts([*beat[:5], 6.3, *beat[7:]], [0.8] * 5 + [0.2] + [0.8] * 4).count == 9
