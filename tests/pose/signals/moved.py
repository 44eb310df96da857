"""A figure that stands still, and for half a second has some joints moved by known ways."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from pose.track import PoseTrack
from tests import stick

Move = tuple[float, float, float]  # metres to the person's left, up, to the front
LEFT, UP, FRONT = (0.3, 0.0, 0.0), (0.0, 0.3, 0.0), (0.0, 0.0, 0.3)
RIGHT, DOWN, BACK = (-0.3, 0.0, 0.0), (0.0, -0.3, 0.0), (0.0, 0.0, -0.3)
BEFORE_S, MOVED_S, CLIP_S = 2.0, (4.0, 4.6), 9.0
JOINTS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "toe")


def both(*joints: str) -> tuple[str, ...]:
    """Joints of both sides by name."""
    return tuple(f"{side}_{joint}" for joint in joints for side in ("left", "right"))


UPPER_BODY = both("shoulder", "elbow", "wrist")


def filmed(moved: dict[str, Move], yaw_deg: float, closer: float = 1.0) -> Signals:
    """The signals of the figure; `closer` enlarges its picture while the joints are moved."""
    times_s = np.arange(round(CLIP_S * stick.RATE_HZ)) / stick.RATE_HZ
    joints = np.repeat(stick.joints(stick.Stance())[None], len(times_s), axis=0)
    during = (times_s >= MOVED_S[0]) & (times_s < MOVED_S[1])
    for joint, by in moved.items():
        joints[during, stick.NAMES.index(joint)] += by
    track = PoseTrack.from_joints(times_s, joints, stick.NAMES, yaw_deg=yaw_deg)
    size = np.where(during, closer, 1.0)[:, None, None]
    return movement_signals(replace(track, xy_px=track.xy_px * size))


def change(name: str, moved: dict[str, Move], yaw_deg: float = 30.0, closer: float = 1.0) -> float:
    """How far a signal goes up while the joints are moved."""
    signals = filmed(moved, yaw_deg, closer)
    before, during = (signals.index(t) for t in (BEFORE_S, sum(MOVED_S) / 2))
    return float(signals[name][during] - signals[name][before])


def every(joints: tuple[str, ...], by: Move) -> dict[str, Move]:
    return dict.fromkeys(joints, by)
