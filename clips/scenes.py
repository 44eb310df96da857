"""Scenes with several people, small ones, cut off bodies and cameras that move.

The first figure of a scene is the one it is about. The others exercise too, look on, walk through
or come in later. Everything is placed on the floor of one room, in metres, and drawn with true
depth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from clips.body import load_body
from clips.camera import Camera
from clips.grounding import stand_on_floor
from clips.kinematics import Bones
from clips.looks import LOOKS
from clips.outfit import with_shoes
from clips.session import Period, Session, perform
from clips.truth import JOINT_NAMES, measure
from clips.video import write_video

FloatArray = NDArray[np.float64]

# Out of the picture, far behind the camera.
_AWAY_M = (0.0, -60.0)


@dataclass(frozen=True)
class Placed:
    """One figure in a scene.

    Attributes
    ----------
    at_m : (x, y)
        Where it stands: x to the right of somebody in front of the camera, y away from it.
    turn_deg : float
        0 faces the camera's side of the room, 90 its own left.
    from_s, until_s : float
        When it is in the room at all.
    walks_m_per_s : (x, y)
        How fast it glides over the floor, from `at_m` on.
    """

    periods: tuple[Period, ...]
    body: str = "woman-a"
    look: str = "teal"
    at_m: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    from_s: float = 0.0
    until_s: float = np.inf
    walks_m_per_s: tuple[float, float] = (0.0, 0.0)
    seed: int = 1


def fixed(camera: Camera, time_s: float) -> Camera:
    """A camera on a stand."""
    return camera


@dataclass(frozen=True)
class Scene:
    """Several figures, one camera.

    Attributes
    ----------
    moves : callable
        From the camera and a time to the camera at that time.
    covered : tuple of (left, top, right, bottom)
        Parts of the picture with a table or a caption over them, as fractions.
    """

    name: str
    figures: tuple[Placed, ...]
    camera: Camera = field(default_factory=Camera)
    moves: Callable[[Camera, float], Camera] = fixed
    covered: tuple[tuple[float, float, float, float], ...] = ()
    width_px: int = 640
    height_px: int = 360
    frame_rate: float = 15.0

    @property
    def duration_s(self) -> float:
        """Length of the film, that of what its first figure does."""
        return sum(p.duration_s for p in self.figures[0].periods)


@dataclass(frozen=True)
class _Performed:
    session: Session
    bones: Bones
    joints_m: FloatArray


def film_scene(scene: Scene, folder: Path) -> Path:
    """Write ``<name>.mp4`` and ``<name>.truth.npz`` into a folder; returns the clip's path.

    The truth holds `times_s` (n,), `joints_px` (figures, n, joints, 2; NaN where a figure is not
    in the room), `joint_names`, and of the first figure `peaks_s`, the middle of each repetition.
    """
    from clips.renderer import Renderer

    folder.mkdir(parents=True, exist_ok=True)
    performed = [_perform(placed, scene) for placed in scene.figures]
    times_s = performed[0].session.times_s
    cameras = [scene.moves(scene.camera, float(t)) for t in times_s]
    bodies = [(with_shoes(load_body(f.body)), LOOKS[f.look]) for f in scene.figures]
    renderer = Renderer(bodies, scene.camera, scene.width_px, scene.height_px)

    def pictures() -> Iterator[NDArray[np.uint8]]:
        for i, camera in enumerate(cameras):
            renderer.aim(camera)
            poses = [(p.bones.rotations[i], p.bones.heads_m[i]) for p in performed]
            yield _covered(renderer.draw(poses), scene)

    path = folder / f"{scene.name}.mp4"
    try:
        write_video(path, pictures(), scene.width_px, scene.height_px, scene.frame_rate, None)
    finally:
        renderer.close()
    joints_px = np.stack(
        [
            np.stack(
                [
                    camera.project(joints_m, scene.width_px, scene.height_px)
                    for camera, joints_m in zip(cameras, p.joints_m, strict=True)
                ]
            )
            for p in performed
        ]
    )
    for number, placed in enumerate(scene.figures):
        joints_px[number, ~_in_room(placed, times_s)] = np.nan
    reps = performed[0].session.reps
    np.savez_compressed(
        folder / f"{scene.name}.truth.npz",
        times_s=times_s,
        joints_px=joints_px.astype(np.float32),
        joint_names=np.array(JOINT_NAMES),
        peaks_s=np.array([(r.start_s + r.end_s) / 2 for r in reps]),
    )
    return path


def _perform(placed: Placed, scene: Scene) -> _Performed:
    """A figure's motion, placed in the room; it lasts as long as that of the first one."""
    periods = placed.periods
    missing_s = scene.duration_s - sum(p.duration_s for p in periods)
    if missing_s > 0:
        periods = (*periods, Period("still", "stand", missing_s))
    session = perform(periods, placed.seed, scene.frame_rate)
    body = with_shoes(load_body(placed.body))
    bones = stand_on_floor(body, session.postures, session.footing, session.frame_rate)
    frames = round(scene.duration_s * scene.frame_rate)
    bones = Bones(bones.rotations[:frames], bones.heads_m[:frames])
    session = replace(session, times_s=session.times_s[:frames])
    joints_m = measure(body, bones, session.postures[:frames]).joints_m
    turn = _turn(placed.turn_deg)
    shift = _way_m(placed, session.times_s)
    there = ~_in_room(placed, session.times_s)
    shift[there] = (*_AWAY_M, 0.0)
    return _Performed(
        session,
        Bones(turn @ bones.rotations, bones.heads_m @ turn.T + shift[:, None]),
        joints_m @ turn.T + shift[:, None],
    )


def _turn(degrees: float) -> FloatArray:
    """Rotation about the vertical."""
    a = np.radians(degrees)
    return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1.0]])


def _way_m(placed: Placed, times_s: FloatArray) -> FloatArray:
    """(n, 3) where the figure stands over time."""
    since_s = np.maximum(times_s - placed.from_s, 0)[:, None]
    way = np.array(placed.at_m) + since_s * np.array(placed.walks_m_per_s)
    return np.column_stack([way, np.zeros(len(times_s))])


def _in_room(placed: Placed, times_s: FloatArray) -> NDArray[np.bool_]:
    return np.asarray((times_s >= placed.from_s) & (times_s < placed.until_s))


def _covered(picture: NDArray[np.uint8], scene: Scene) -> NDArray[np.uint8]:
    """The picture with a table or caption over parts of it."""
    if not scene.covered:
        return picture
    out = picture.copy()
    height, width = out.shape[:2]
    for left, top, right, bottom in scene.covered:
        rows, columns = (
            slice(round(top * height), round(bottom * height)),
            slice(round(left * width), round(right * width)),
        )
        out[rows, columns] = (92, 74, 58)
    return out
