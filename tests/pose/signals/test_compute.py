"""Signals are body-scaled, view-independent where they can be, and honest about gaps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pose import landmarks as lm
from pose.signals.compute import movement_signals
from tests import stick


def squatting(t: float) -> stick.Stance:
    return stick.squatting(0.5 - 0.5 * np.cos(2 * np.pi * t / 3))


@pytest.mark.parametrize("yaw", [0, 45, 90, -60])
def test_hip_height_and_knee_do_not_depend_on_the_view(yaw: int) -> None:
    front = movement_signals(stick.track(9, squatting, yaw_deg=0))
    other = movement_signals(stick.track(9, squatting, yaw_deg=yaw))
    for name in ("hip_height", "knee_deg", "trunk_deg"):
        assert np.allclose(front[name], other[name], atol=0.02 if name == "hip_height" else 1.0)


def test_signals_do_not_depend_on_the_size_of_the_picture() -> None:
    film = stick.track(9, squatting, yaw_deg=30)
    small = replace(film, xy_px=film.xy_px * 0.4)
    a, b = movement_signals(film), movement_signals(small)
    # Near a straight joint the arc cosine makes rounding of 1e-15 one of 1e-7 degrees.
    assert all(np.allclose(a[n], b[n], atol=1e-6, equal_nan=True) for n in a.values)


def test_left_is_positive_in_signed_signals() -> None:
    film = stick.track(8, lambda t: stick.knee_up(float(t > 4), 0.0), yaw_deg=20)
    signals = movement_signals(film)
    up = signals.times_s > 5
    assert np.nanmedian(signals["knee_lift_diff"][up]) > 0.5
    assert np.nanmedian(signals["foot_lift_diff"][up & (signals.times_s < 6)]) > 0.5


def test_a_person_out_of_the_picture_leaves_a_hole() -> None:
    film = stick.track(9, squatting)
    xy, world = film.xy_px.copy(), film.world_m.copy()
    away = (film.times_s > 4) & (film.times_s < 6)
    xy[away], world[away] = np.nan, np.nan
    signals = movement_signals(replace(film, xy_px=xy, world_m=world))
    inside = (signals.times_s > 4.2) & (signals.times_s < 5.8)
    assert np.isnan(signals["hip_height"][inside]).all()
    assert not signals.present[inside].any()
    assert np.isfinite(
        signals["hip_height"][~((signals.times_s > 3.9) & (signals.times_s < 6.1))]
    ).all()


def test_joints_without_depth_still_give_signals() -> None:
    film = stick.track(9, squatting, yaw_deg=90)
    flat = replace(film, world_m=np.full_like(film.world_m, np.nan))
    signals = movement_signals(flat)
    assert np.nanmax(signals["knee_deg"]) == pytest.approx(123, abs=6)


def test_a_mirrored_film_gives_the_sides_back() -> None:
    lifts = stick.track(9, lambda t: stick.knee_up(float(4 < t < 5), 0.0), yaw_deg=40)
    mirror = np.array([-1.0, 1.0])
    # A mirror turns the picture over, and the model takes each limb for the other one.
    mirrored = replace(
        lifts,
        xy_px=lifts.xy_px[:, lm.MIRROR] * mirror,
        world_m=lifts.world_m[:, lm.MIRROR] * [-1.0, 1.0, 1.0],
    )
    true, back = movement_signals(lifts), movement_signals(mirrored, mirrored=True)
    for name in true.values:
        # Near a straight joint rounding of 1e-15 is one of 1e-7 degrees and more.
        np.testing.assert_allclose(true[name], back[name], atol=1e-5)
    np.testing.assert_allclose(true.yaw_deg, back.yaw_deg, atol=1e-9)
    wrong = movement_signals(mirrored)
    at = wrong.index(4.5)
    assert wrong["knee_lift_diff"][at] < -0.5 < 0.5 < back["knee_lift_diff"][at]
