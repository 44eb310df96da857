"""The size of the body does not change when it bends, is hidden for a while, or has no depth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pose.signals.compute import movement_signals
from tests import stick

# 300 pixels to the metre (PoseTrack.from_joints), a trunk of half a metre.
TRUNK_PX = 150.0


def bending(t: float) -> stick.Stance:
    """Upright for a third of every three seconds only."""
    return stick.hinging(min(1.0, float(1.5 - 1.5 * np.cos(2 * np.pi * t / 3))))


@pytest.mark.parametrize("yaw_deg", [0.0, 45.0, 90.0])
def test_a_bent_trunk_is_no_smaller_person(yaw_deg: float) -> None:
    signals = movement_signals(stick.track(12, bending, yaw_deg=yaw_deg))
    assert signals.trunk_px == pytest.approx(TRUNK_PX, rel=0.02)


def test_without_depth_the_trunk_is_as_long_as_when_upright() -> None:
    film = stick.track(12, bending, yaw_deg=0)
    signals = movement_signals(replace(film, world_m=np.full_like(film.world_m, np.nan)))
    assert signals.trunk_px == pytest.approx(TRUNK_PX, rel=0.05)
    assert (signals["near"] == 0).all()


def test_who_was_away_is_as_large_as_before() -> None:
    film = stick.track(14, lambda t: stick.Stance())
    xy, world = film.xy_px.copy(), film.world_m.copy()
    away = (film.times_s > 4) & (film.times_s < 9.5)
    xy[away], world[away] = np.nan, np.nan
    signals = movement_signals(replace(film, xy_px=xy, world_m=world))
    assert signals.trunk_px[signals.present] == pytest.approx(TRUNK_PX, rel=0.01)
