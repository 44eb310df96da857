"""Sessions of the rendered figures as tracks, without rendering: the joints are exact.

Noise like the pose model's is added (correlated over a few samples, larger in depth), so that
analysis can be tried on many sessions in seconds.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from clips.body import Body, load_body
from clips.camera import Camera
from clips.grounding import stand_on_floor
from clips.motions import MOVEMENTS
from clips.session import Period, Session, perform
from clips.truth import JOINT_NAMES, clip_truth, measure
from pose import landmarks as lm
from pose.track import PoseTrack

RATE_HZ = 15.0
WIDTH_PX, HEIGHT_PX = 640, 360


@cache
def body(name: str = "woman-a") -> Body:
    """A body by name, loaded once."""
    return load_body(name)


def film(
    periods: tuple[Period, ...],
    *,
    seed: int = 0,
    yaw_deg: float = 45.0,
    noise_m: float = 0.012,
    body_name: str = "woman-a",
    distance_m: float = 4.5,
    rate_hz: float = RATE_HZ,
) -> tuple[PoseTrack, dict[str, Any]]:
    """A track of the session, seen from `distance_m`, and its truth as in the truth files."""
    session: Session = perform(periods, seed, rate_hz)
    figure = body(body_name)
    bones = stand_on_floor(figure, session.postures, session.footing, rate_hz)
    measured = measure(figure, bones, session.postures)
    truth = clip_truth(
        session, measured, {k: m.measure for k, m in MOVEMENTS.items()}, {"clip": "film"}
    )
    x, y, z = np.moveaxis(measured.joints_m, 2, 0)
    joints = np.stack([x, z, -y], axis=2) + _noise(x.shape, noise_m, seed)
    names = list(JOINT_NAMES)
    track = PoseTrack.from_joints(session.times_s, joints, names, yaw_deg=yaw_deg)
    camera = Camera(yaw_deg=yaw_deg, distance_m=distance_m)
    room = np.stack([joints[..., 0], -joints[..., 2], joints[..., 1]], axis=2)
    xy = track.xy_px.copy()
    xy[:, [lm.INDEX[name] for name in names]] = camera.project(room, WIDTH_PX, HEIGHT_PX)
    return replace(track, xy_px=xy), truth


def _noise(shape: tuple[int, int], size_m: float, seed: int) -> NDArray[np.float64]:
    rng = np.random.default_rng(seed)
    white = rng.normal(0, 1, (*shape, 3))
    slow = gaussian_filter1d(white, 1.5, axis=0)
    scaled: NDArray[np.float64] = size_m * slow / slow.std()
    return scaled
