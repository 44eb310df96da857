"""Angles and directions on figures whose angles are known."""

from __future__ import annotations

import numpy as np
import pytest

from pose.landmarks import INDEX
from pose.signals.geometry import (
    facing,
    flexion_deg,
    joint_angle_deg,
    left_axis,
    off_side_view_deg,
    trunk_band,
    trunk_inclination_deg,
    yaw_deg,
)
from tests import stick


@pytest.mark.parametrize("angle_deg", [0, 1e-3, 30, 90, 179.999, 180])
def test_joint_angle_is_exact_even_near_straight(angle_deg: float) -> None:
    a = np.array([1.0, 0.0])
    c = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    assert joint_angle_deg(a, np.zeros(2), c) == pytest.approx(angle_deg, abs=1e-6)


@pytest.mark.parametrize("yaw", [0, 45, 90, -90, 160])
@pytest.mark.parametrize("trunk", [0, 20, 60, 85])
def test_trunk_inclination_in_space_does_not_depend_on_the_view(yaw: int, trunk: int) -> None:
    film = stick.track(0.5, lambda t: stick.Stance(trunk=trunk), yaw_deg=yaw)
    assert trunk_inclination_deg(film.world_m)[0] == pytest.approx(trunk, abs=1e-6)


def test_in_the_picture_an_oblique_view_flattens_the_inclination() -> None:
    # 45 degrees seen 30 degrees off side view: atan(tan 45 * cos 30) = 40.9 (plane geometry).
    film = stick.track(0.5, lambda t: stick.Stance(trunk=45), yaw_deg=60)
    assert trunk_inclination_deg(film.xy_px)[0] == pytest.approx(40.89, abs=0.01)


def test_knee_flexion_is_the_angle_between_thigh_and_shank() -> None:
    film = stick.track(
        0.5, lambda t: stick.Stance(thigh=(80, 0), shank=(-30, 0), legs_out=0), yaw_deg=90
    )
    knee = flexion_deg(film.world_m, INDEX["left_hip"], INDEX["left_knee"], INDEX["left_ankle"])
    assert knee[0] == pytest.approx(110, abs=1e-6)


@pytest.mark.parametrize(
    ("yaw", "faces"), [(0, "camera"), (90, "left"), (-90, "right"), (180, "away"), (30, "camera")]
)
def test_yaw_and_facing_follow_the_camera_round_the_body(yaw: int, faces: str) -> None:
    film = stick.track(0.5, lambda t: stick.Stance(), yaw_deg=yaw)
    found = yaw_deg(left_axis(film.world_m))[0]
    assert (found - yaw + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
    assert facing(found) == faces


@pytest.mark.parametrize(
    ("yaw", "off"), [(90, 0), (-90, 0), (75, 15), (0, 90), (180, 90), (-120, 30)]
)
def test_distance_from_side_view(yaw: int, off: int) -> None:
    assert off_side_view_deg(yaw) == pytest.approx(off)


@pytest.mark.parametrize(
    ("trunk", "band"),
    [
        (0, "upright"),
        (20, "upright"),
        (21, "inclined"),
        (60, "inclined"),
        (61, "strongly inclined"),
    ],
)
def test_trunk_bands_are_the_published_ones(trunk: int, band: str) -> None:
    # RULA, McAtamney & Corlett 1993, Applied Ergonomics 24: 0-20, 20-60, above 60 degrees.
    assert trunk_band(trunk) == band
