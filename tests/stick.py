"""A stick figure with known angles: the synthetic oracle of the analysis tests.

Axes of the joints: person's left, up, front; metres. The figure stands on the floor at 0.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pose.track import PoseTrack

THIGH_M, SHANK_M, TRUNK_M, UPPER_ARM_M, FOREARM_M = 0.43, 0.43, 0.50, 0.28, 0.26
RATE_HZ = 15.0

NAMES = tuple(
    f"{side}_{joint}"
    for joint in ("shoulder", "hip", "knee", "ankle", "toe", "elbow", "wrist")
    for side in ("left", "right")
)

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Stance:
    """Angles of one moment, degrees; lengths in metres."""

    trunk: float = 0.0
    lean_left: float = 0.0
    thigh: tuple[float, float] = (0.0, 0.0)  # forward from straight down
    shank: tuple[float, float] = (0.0, 0.0)  # forward from straight down
    legs_out: float = 4.0
    arms_out: float = 10.0  # 0 down, 90 to the side, 180 up
    elbow: float = 5.0
    lift_m: float = 0.0
    shift_left_m: float = 0.0


def joints(stance: Stance) -> Floats:
    """(14, 3) joints in the order of NAMES."""
    radians = np.radians
    out: dict[str, Floats] = {}
    for i, side in enumerate(("left", "right")):
        sign = 1.0 if i == 0 else -1.0
        hip = np.array([0.12 * sign, 0.0, 0.0])
        thigh, shank, wide = (
            radians(stance.thigh[i]),
            radians(stance.shank[i]),
            radians(stance.legs_out),
        )
        down = np.array([sign * np.sin(wide), -np.cos(wide), 0.0])
        knee = hip + THIGH_M * (np.cos(thigh) * down + np.array([0, 0, np.sin(thigh)]))
        ankle = knee + SHANK_M * (np.cos(shank) * down + np.array([0, 0, np.sin(shank)]))
        lean, side_lean = radians(stance.trunk), radians(stance.lean_left)
        up = np.array(
            [np.sin(side_lean), np.cos(side_lean) * np.cos(lean), np.cos(side_lean) * np.sin(lean)]
        )
        shoulder = TRUNK_M * up + np.array([0.19 * sign, 0.0, 0.0])
        arm = radians(stance.arms_out)
        along = np.array([sign * np.sin(arm), -np.cos(arm), 0.0])
        elbow = shoulder + UPPER_ARM_M * along
        bend = radians(stance.elbow)
        front = np.array([0.0, 0.0, 1.0])
        wrist = elbow + FOREARM_M * (np.cos(bend) * along + np.sin(bend) * front)
        out |= {
            f"{side}_shoulder": shoulder,
            f"{side}_hip": hip,
            f"{side}_knee": knee,
            f"{side}_ankle": ankle,
            f"{side}_toe": ankle + np.array([0.0, -0.05, 0.15]),
            f"{side}_elbow": elbow,
            f"{side}_wrist": wrist,
        }
    points = np.stack([out[name] for name in NAMES])
    points[:, 1] += stance.lift_m - points[:, 1].min()
    points[:, 0] += stance.shift_left_m
    return points


def squatting(depth: float) -> Stance:
    """0 standing, 1 thighs level."""
    thigh, shank = 88.0 * depth, -35.0 * depth
    return Stance(trunk=40.0 * depth, thigh=(thigh, thigh), shank=(shank, shank))


def hinging(depth: float) -> Stance:
    """0 standing, 1 bent to 65 degrees."""
    return Stance(trunk=65.0 * depth, thigh=(12.0 * depth,) * 2, shank=(-6.0 * depth,) * 2)


def knee_up(left: float, right: float) -> Stance:
    """Each knee 0 down to 1 level with the hip."""
    return Stance(thigh=(88.0 * left, 88.0 * right), shank=(-4.0 * left, -4.0 * right))


def jacking(open_: float) -> Stance:
    """0 closed, 1 wide."""
    return Stance(legs_out=4 + 20 * open_, arms_out=10 + 155 * open_)


def wave(t: Floats, starts: Sequence[float], rep_s: float) -> Floats:
    """One smooth bump of height 1 from each start, `rep_s` long."""
    phase = np.stack([(t - s) / rep_s for s in starts]) if len(starts) else np.empty((0, len(t)))
    inside = (phase >= 0) & (phase <= 1)
    bumps = np.where(inside, 0.5 - 0.5 * np.cos(2 * np.pi * phase), 0.0)
    return np.asarray(bumps.sum(axis=0))


def track(
    duration_s: float,
    stance_at: Callable[[float], Stance],
    *,
    yaw_deg: float = 0.0,
    rate_hz: float = RATE_HZ,
    noise_m: float = 0.0,
    seed: int = 0,
) -> PoseTrack:
    """Film the stick figure."""
    times = np.arange(int(round(duration_s * rate_hz))) / rate_hz
    points = np.stack([joints(stance_at(float(t))) for t in times])
    points = points + np.random.default_rng(seed).normal(0, noise_m, points.shape)
    return PoseTrack.from_joints(times, points, NAMES, yaw_deg=yaw_deg, name="stick")
