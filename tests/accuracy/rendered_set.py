"""A set of short rendered clips to count and to recognise on: every movement from four views.

The clips are rendered when they are first asked for and kept in the user's cache; a clip is
rendered again only when what it shows changes. Truth is worked out anew each time. A seed decides
everything, and which clips belong to the half that is looked at while developing and which to the
half that is only ever reported.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from clips.body import load_body
from clips.camera import Camera
from clips.film import Shot, film
from clips.grounding import stand_on_floor
from clips.looks import LOOKS
from clips.motions import MOVEMENTS
from clips.outfit import with_shoes
from clips.session import Period, perform
from clips.truth import clip_truth, measure
from pose.cache import cache_dir

Half = Literal["develop", "report"]

SEED = 20261125
VIEWS_DEG = (0.0, 30.0, 45.0, 90.0)
VIEW_JITTER_DEG = 8.0
BODIES = ("woman-a", "woman-b", "man-a", "man-b")
FRAME_RATES = (15.0, 20.0)
# Held or free: nothing to count in them.
WITHOUT_REPETITION = ("stand", "talk", "walk", "plank")
NOT_MEASURED = ("stretch",)  # a stretch is held as long as one likes


@dataclass(frozen=True)
class SetClip:
    """One clip of the set and the view it stands for."""

    shot: Shot
    view_deg: float
    half: Half

    @property
    def movement(self) -> str:
        return self.shot.periods[0].movement


def rendered_set() -> tuple[SetClip, ...]:
    """All clips of the set, those to develop on first."""
    rng = np.random.default_rng(SEED)
    clips = []
    for movement in sorted(set(MOVEMENTS) - set(NOT_MEASURED)):
        develop = set(rng.permutation(len(VIEWS_DEG))[:2].tolist())
        for i, view in enumerate(VIEWS_DEG):
            shot = _shot(movement, view, rng)
            clips.append(SetClip(shot, view, "develop" if i in develop else "report"))
    return tuple(sorted([*clips, *_hard_views(clips)], key=lambda c: c.half))


def _hard_views(clips: list[SetClip]) -> list[SetClip]:
    """Clips of their own seed to develop on, where the first half lacks a front or side view.

    Added after the halves had been reported once, to develop on the views that failed there
    without touching the half that is only reported.
    """
    rng = np.random.default_rng(SEED + 1)
    return [
        SetClip(_shot(c.movement, c.view_deg, rng), c.view_deg, "develop")
        for c in clips
        if c.half == "report" and c.view_deg in (0.0, 90.0)
    ]


def _shot(movement: str, view_deg: float, rng: np.random.Generator) -> Shot:
    made = MOVEMENTS[movement]
    duration_s = float(np.round(rng.uniform(6.0, 8.0), 1))
    slower = rng.uniform(0.8, 1.3)
    reps = max(2, round((duration_s - 0.6) / (made.rep_s * slower)))
    idle = movement in ("stand", "talk", "walk")
    period = Period(
        "still" if idle else "work",
        movement,
        duration_s,
        reps=reps,
        start_side=str(rng.choice(["left", "right"])),
        amplitude=float(rng.uniform(0.85, 1.1)),
        amplitude_jitter=float(rng.uniform(0.03, 0.08)),
        tempo_jitter=float(rng.uniform(0.03, 0.08)),
    )
    side = float(rng.choice([-1.0, 1.0]))
    camera = Camera(
        yaw_deg=side * (view_deg + float(rng.uniform(-VIEW_JITTER_DEG, VIEW_JITTER_DEG))),
        height_m=float(rng.uniform(0.9, 1.5)),
        distance_m=float(rng.uniform(4.2, 5.0)),
        aim_m=(0.0, 0.0, 0.98),
    )
    return Shot(
        f"{movement}-{view_deg:.0f}",
        (period,),
        str(rng.choice(BODIES)),
        str(rng.choice(sorted(LOOKS))),
        camera,
        frame_rate=float(rng.choice(FRAME_RATES)),
        seed=int(rng.integers(1, 10**6)),
    )


def clip_file(clip: SetClip) -> Path:
    """The clip's film, rendered if it is not in the cache."""
    return film_of(clip.shot)


def film_of(shot: Shot) -> Path:
    """The film of a shot, its truth beside it, rendered if it is not in the cache."""
    folder = cache_dir() / "rendered" / f"{shot.name}-{_digest(shot)}"
    path = folder / f"{shot.name}.mp4"
    # The truth files are written last: without them the rendering was broken off.
    if not path.with_suffix(".truth.npz").exists():
        film(shot, folder)
    return path


def truth(clip: SetClip) -> dict[str, Any]:
    """What is true of a clip, by the motions as they are described now."""
    shot = clip.shot
    session = perform(shot.periods, shot.seed, shot.frame_rate)
    body = with_shoes(load_body(shot.body))
    bones = stand_on_floor(body, session.postures, session.footing, session.frame_rate)
    measures = {k: m.measure for k, m in MOVEMENTS.items()}
    return clip_truth(session, measure(body, bones, session.postures), measures, {})


def _digest(shot: Shot) -> str:
    """Changes with shot and motions; after a change of how figures stand or are drawn, delete
    the folder ``rendered`` in the cache."""
    text = hashlib.sha256(repr(shot).encode())
    for period in shot.periods:
        for key in MOVEMENTS[period.movement].keys:
            text.update(key.posture.tobytes())
            text.update(repr((key.phase, sorted(key.planted), key.depth, key.travel_m)).encode())
    return text.hexdigest()[:12]


def of_half(half: Half) -> Iterator[SetClip]:
    """The clips of one half."""
    return (c for c in rendered_set() if c.half == half)
