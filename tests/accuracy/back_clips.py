"""The clips on which the back line is measured: a seeded part of a grid that is too big to render.

The whole grid (movement x flexion x angle off side view x body x clothes) would be over a thousand
clips. Each movement gets every pair of flexion and angle, once in each half; the rest (side, body,
clothes, camera, size and tempo of the repetitions) is drawn by seed. Limits are set on the develop
half; the report half is measured only. Clips are rendered into the user's cache when first asked
for.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from clips.camera import Camera
from clips.film import Shot, film
from clips.session import Period
from pose.cache import cache_dir

Half = Literal["develop", "report"]

# The renderer's own changes make other clips: raised when the figures move or look differently.
VERSION = 1
FRAME_RATE = 15.0
# The first is settling in, the next three are the person's own measure, then what is to be seen.
FLAT_FIRST = 4
REPS = 7
FLEXION_DEG = (0.0, 0.0, 20.0, 30.0, 45.0)
OFF_SIDE_DEG = (0.0, 0.0, 15.0, 15.0, 30.0)
FRONT_CLIPS = 2
TIGHT = ("teal", "plum", "ochre", "night", "mint")
LOOSE = ("grey", "coral")
BODIES = ("woman-a", "woman-b", "man-a", "man-b")
MOVEMENTS = {  # seconds of one repetition
    "hip-hinge": 2.4,
    "squat": 2.1,
    "squat-thrust": 3.0,
    "squat-tap-jump": 2.2,
    "lateral-leap-tap": 1.8,
}


@dataclass(frozen=True)
class BackClip:
    """One clip and what is true of it."""

    shot: Shot
    half: Half
    movement: str
    flexion_deg: float
    off_side_deg: float
    loose: bool

    @property
    def path(self) -> Path:
        return folder() / f"{self.shot.name}.mp4"

    @property
    def rendered(self) -> bool:
        """The truth is written last."""
        return self.path.with_suffix(".truth.json").exists()

    def render(self) -> Path:
        """Its file, made when it is not there yet."""
        if not self.rendered:
            film(self.shot, folder())
        return self.path


def folder() -> Path:
    return cache_dir() / "accuracy" / f"back-v{VERSION}"


def design(movement: str, half: Half) -> list[BackClip]:
    """The clips of one movement in one half, in an order whose beginning is already mixed."""
    seed = 1000 * sorted(MOVEMENTS).index(movement) + (500 if half == "report" else 0)
    rng = np.random.default_rng(seed)
    pairs = list(itertools.product(FLEXION_DEG, OFF_SIDE_DEG))
    pairs += [(45.0, 90.0), (0.0, 90.0)][:FRONT_CLIPS]
    order = rng.permutation(len(pairs))
    # Each body and both kinds of clothes equally often, in chance order.
    bodies = rng.permutation(np.resize(BODIES, len(pairs)))
    loose = rng.permutation(np.resize([False, True], len(pairs)))
    return [
        _clip(movement, half, seed + i, pairs[k], str(bodies[i]), bool(loose[i]), rng)
        for i, k in enumerate(order)
    ]


def _clip(
    movement: str,
    half: Half,
    seed: int,
    flexion_and_off_deg: tuple[float, float],
    body: str,
    loose: bool,
    rng: np.random.Generator,
) -> BackClip:
    flexion_deg, off_deg = flexion_and_off_deg
    left_side = rng.random() < 0.5
    off = off_deg * (1 if rng.random() < 0.5 else -1)
    yaw = (90.0 if left_side else -90.0) + off
    look = str(rng.choice(LOOSE if loose else TIGHT))
    camera = Camera(
        yaw_deg=yaw,
        height_m=float(rng.uniform(0.85, 1.25)),
        distance_m=float(rng.uniform(3.6, 4.3)),
        aim_m=(0.0, 0.0, 0.95),
    )
    period = Period(
        "work",
        movement,
        0.6 + REPS * MOVEMENTS[movement] * float(rng.uniform(0.85, 1.25)),
        reps=REPS,
        amplitude_jitter=0.05,
        tempo_jitter=0.05,
        lumbar_deg=(0.0,) * FLAT_FIRST + (flexion_deg,),
    )
    name = f"{movement}-{half[0]}{seed % 500:02d}-{flexion_deg:.0f}deg-{yaw:+.0f}-{body}-{look}"
    shot = Shot(name, (period,), body, look, camera, frame_rate=FRAME_RATE, seed=seed)
    return BackClip(shot, half, movement, flexion_deg, abs(off_deg), loose)
