"""Film a session: posture to bones to pictures, with the truth measured on the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from clips.body import load_body
from clips.camera import Camera
from clips.grounding import stand_on_floor
from clips.kinematics import Bones
from clips.looks import LOOKS
from clips.motions import MOVEMENTS
from clips.outfit import with_shoes
from clips.session import Period, perform
from clips.sound import beat
from clips.truth import clip_truth, measure, write_truth
from clips.video import mark_turned, write_video

NOISE_LEVELS = 1.3  # standard deviation of the sensor noise, of 255
NOISE_PATTERNS = 6


@dataclass(frozen=True)
class Shot:
    """Everything that decides a clip.

    Attributes
    ----------
    upright : bool
        Filmed as a phone held upright does: stored lying, marked to be turned when shown.
    """

    name: str
    periods: tuple[Period, ...]
    body: str = "woman-a"
    look: str = "teal"
    camera: Camera = field(default_factory=Camera)
    width_px: int = 640
    height_px: int = 360
    frame_rate: float = 25.0
    seed: int = 1
    sound: bool = False
    upright: bool = False


def with_noise(pictures: Iterator[NDArray[np.uint8]], shot: Shot) -> Iterator[NDArray[np.uint8]]:
    """The pictures with the grain of a sensor."""
    rng = np.random.default_rng(shot.seed)
    size = (NOISE_PATTERNS, shot.height_px, shot.width_px, 1)
    grain = rng.normal(0, NOISE_LEVELS, size).round().astype(np.int16)
    for i, picture in enumerate(pictures):
        shifted = np.roll(grain[i % NOISE_PATTERNS], (i * 37, i * 11), axis=(1, 0))
        yield np.clip(picture + shifted, 0, 255).astype(np.uint8)


def draw(shot: Shot, bones: Bones) -> Iterator[NDArray[np.uint8]]:
    """Pictures of a shot whose bones are already placed in the room."""
    # Imported here: everything but drawing works without OpenGL.
    from clips.renderer import Renderer

    body = with_shoes(load_body(shot.body))
    figures = [(body, LOOKS[shot.look])]
    renderer = Renderer(figures, shot.camera, shot.width_px, shot.height_px)
    try:
        for rotations, heads_m in zip(bones.rotations, bones.heads_m, strict=True):
            yield renderer.draw([(rotations, heads_m)])
    finally:
        renderer.close()


def film(shot: Shot, folder: Path) -> Path:
    """Write ``<name>.mp4`` and its two truth files into a folder; returns the clip's path."""
    folder.mkdir(parents=True, exist_ok=True)
    session = perform(shot.periods, shot.seed, shot.frame_rate)
    body = with_shoes(load_body(shot.body))
    bones = stand_on_floor(body, session.postures, session.footing, session.frame_rate)
    measured = measure(body, bones, session.postures)
    path = folder / f"{shot.name}.mp4"
    pictures = with_noise(draw(shot, bones), shot)
    stored = (shot.width_px, shot.height_px)
    if shot.upright:
        pictures = (np.rot90(picture, 1) for picture in pictures)
        stored = (shot.height_px, shot.width_px)
    sound = beat(session.duration_s) if shot.sound else None
    write_video(path, pictures, *stored, shot.frame_rate, sound)
    if shot.upright:
        mark_turned(path, *stored)
    camera = shot.camera
    described = {
        "clip": path.name,
        "width": shot.width_px,
        "height": shot.height_px,
        "camera": {
            "yaw_deg": camera.yaw_deg,
            "height_m": camera.height_m,
            "distance_m": camera.distance_m,
            "fov_deg": camera.fov_deg,
        },
        "body": shot.body,
        "look": shot.look,
    }
    peak_measures = {name: movement.measure for name, movement in MOVEMENTS.items()}
    truth = clip_truth(session, measured, peak_measures, described)
    joints_px = camera.project(measured.joints_m, shot.width_px, shot.height_px)
    write_truth(folder / shot.name, truth, session.times_s, measured, joints_px)
    return path
