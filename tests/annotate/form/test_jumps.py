"""Flights against physics and against the figure's own."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.constants import g

from annotate.form.jumps import Jump, fade_m, height_m, jump_heights, jumps
from clips.session import Period, perform
from pose.signals.compute import movement_signals
from tests import stick
from tests.film import RATE_HZ, film


@pytest.mark.parametrize("flight_s", [0.3, 0.4, 0.5, 0.6])
def test_height_is_that_of_free_fall(flight_s: float) -> None:
    """Integrated step by step instead of by the formula."""
    step_s = 1e-4
    speed, height, top = g * flight_s / 2, 0.0, 0.0
    while height >= 0:
        height += speed * step_s
        speed -= g * step_s
        top = max(top, height)
    assert height_m(flight_s) == pytest.approx(top, abs=0.002)


@pytest.mark.parametrize("yaw_deg", [0, 60, 90])
@pytest.mark.parametrize("flight_s", [0.3, 0.45, 0.6])
def test_flights_of_a_stick_figure(flight_s: float, yaw_deg: int) -> None:
    takeoffs = [2.0, 5.0, 8.0]

    def stance(t: float) -> stick.Stance:
        lift = max((g / 2 * (t - s) * (flight_s - (t - s)) for s in takeoffs), default=0.0)
        return stick.Stance(lift_m=max(lift, 0.0))

    found = jumps(movement_signals(stick.track(11, stance, yaw_deg=yaw_deg, noise_m=0.004)), 0, 11)
    assert [j.flight_s for j in found] == pytest.approx([flight_s] * 3, abs=0.07)
    assert [j.takeoff_s for j in found] == pytest.approx(takeoffs, abs=0.06)


@pytest.mark.parametrize("movement", ["star-jump", "squat-tap-jump", "lateral-leap"])
def test_flights_of_the_figure(movement: str) -> None:
    period = Period("work", movement, 14.0)
    track, _ = film((period,), yaw_deg=30)
    session = perform((period,), 0, RATE_HZ)
    flying = np.concatenate([[0], ~session.footing.planted.any(axis=1), [0]]).astype(int)
    edges = np.flatnonzero(np.diff(flying))
    true_s = (edges[1::2] - edges[::2]) / RATE_HZ
    found = jumps(movement_signals(track), 0, 14)
    assert len(found) == len(true_s)
    assert np.mean([j.flight_s for j in found]) == pytest.approx(true_s.mean(), abs=0.07)


@pytest.mark.parametrize("movement", ["squat", "march", "knee-lift", "squat-thrust", "low-jack"])
def test_feet_that_stay_on_the_floor_make_no_jump(movement: str) -> None:
    track, _ = film((Period("work", movement, 12.0),), yaw_deg=30)
    assert jumps(movement_signals(track), 0, 12) == ()


def test_fading_jumps_are_told() -> None:
    heights = [0.30, 0.29, 0.27, 0.26, 0.24, 0.22, 0.21, 0.20]
    flights = [float(np.sqrt(8 * h / g)) for h in heights]
    row = [Jump(float(i), float(i) + t) for i, t in enumerate(flights)]
    assert fade_m(row) == pytest.approx(-0.105, abs=0.01)
    assert fade_m(row[:4]) is None
    assert fade_m([Jump(float(i), i + 0.4 + 0.01 * (-1) ** i) for i in range(8)]) is None


def test_a_flight_of_which_the_start_or_the_end_was_not_filmed_is_not_counted() -> None:
    takeoffs = [-0.2, 3.0, 5.8]

    def stance(t: float) -> stick.Stance:
        return stick.Stance(lift_m=max(0.0, *(g / 2 * (t - s) * (0.5 - (t - s)) for s in takeoffs)))

    (found,) = jumps(movement_signals(stick.track(6.0, stance, yaw_deg=60)), 0, 6)
    assert found.takeoff_s == pytest.approx(3.0, abs=0.06)


def in_a_row(*heights: float) -> list[Jump]:
    return [Jump(float(i), i + float(np.sqrt(8 * h / g))) for i, h in enumerate(heights)]


def test_a_set_tells_its_middle_height_and_a_sure_change_of_it() -> None:
    steady = jump_heights(in_a_row(0.3, 0.2, 0.25))
    assert [(w.point, w.value) for w in steady] == [("jump-height", 0.25)]
    fading = jump_heights(in_a_row(0.30, 0.28, 0.26, 0.24, 0.22, 0.20, 0.18))
    # 0.02 m less each time, six times.
    assert [(w.point, w.value, w.unit) for w in fading] == [
        ("jump-height", 0.24, "m"), ("jump-height-change", -0.12, "m"),
    ]  # fmt: skip


def test_a_set_without_a_jump_says_so() -> None:
    (only,) = jump_heights([])
    assert only.value is None and only.reason == "no jump was seen"
