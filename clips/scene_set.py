"""A seeded set of scenes: a half to develop on and a half that is only reported.

Both halves have every kind of scene, with other bodies, clothes, movements, places and seeds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from clips.camera import Camera
from clips.looks import LOOKS
from clips.scenes import Placed, Scene
from clips.session import Period

Half = Literal["develop", "report"]
SEEDS: dict[Half, int] = {"develop": 31, "report": 7301}
BODIES = ("woman-a", "woman-b", "man-a", "man-b")
MOVES = ("squat", "jumping-jack", "side-lunge", "knee-lift", "march")
DURATION_S = 9.0
_FRONT = Camera(yaw_deg=0, height_m=1.3, distance_m=4.6, aim_m=(0.0, 0.0, 0.98))


@dataclass(frozen=True)
class SetScene:
    """One scene and what is right for it.

    Attributes
    ----------
    movement : str or None
        Of the person the scene is about; None: nothing of it may be named or counted.
    small : bool
        The person is smaller than counting is promised for; following is.
    anybody : bool
        Nobody is more in it than the others: whoever is followed is right, but always the same.
    """

    scene: Scene
    movement: str | None
    small: bool = False
    anybody: bool = False


class _Cast:
    """Draws bodies, clothes and movements, no clothes twice in one scene."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.looks: list[str] = []

    def new_scene(self) -> None:
        self.looks = [str(look) for look in self.rng.permutation(sorted(LOOKS))]

    def move(self) -> str:
        return str(self.rng.choice(MOVES))

    def somebody(self, movement: str, at_m: tuple[float, float], **more: object) -> Placed:
        kind = "still" if movement in ("stand", "talk", "walk") else "work"
        period = Period(kind, movement, DURATION_S)
        look = self.looks.pop()
        placed = Placed((period,), str(self.rng.choice(BODIES)), look, at_m)
        return replace(placed, seed=int(self.rng.integers(1, 10**6)), **more)  # type: ignore[arg-type]


def scene_set(half: Half) -> tuple[SetScene, ...]:
    """All scenes of a half."""
    cast = _Cast(SEEDS[half])
    made = []
    for name, kind in _KINDS.items():
        cast.new_scene()
        one = kind(cast)
        made.append(replace(one, scene=replace(one.scene, name=f"{name}-{half}")))
    return tuple(made)


def _two_behind(cast: _Cast) -> SetScene:
    move = cast.move()
    behind = [cast.somebody(cast.move(), at) for at in ((-1.9, 3.2), (2.1, 3.6))]
    return SetScene(Scene("", (cast.somebody(move, (0.1, 0.0)), *behind), _FRONT), move)


def _beside(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody(move, (1.6, 1.2))
    return SetScene(Scene("", (cast.somebody(move, (-0.6, 0.0)), other), _FRONT), move)


def _onlooker(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody("stand", (1.35, -0.7))
    return SetScene(Scene("", (cast.somebody(move, (-0.5, 0.0)), other), _FRONT), move)


def _passer_by(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody("walk", (-3.2, 1.5), walks_m_per_s=(1.1, 0.0), from_s=1.5, until_s=7.5)
    return SetScene(Scene("", (cast.somebody(move, (0.0, 0.0)), other), _FRONT), move)


def _passer_in_front(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody("walk", (-2.2, -1.4), walks_m_per_s=(1.3, 0.0), from_s=3.0, until_s=6.5)
    return SetScene(Scene("", (cast.somebody(move, (0.0, 0.3)), other), _FRONT), move)


def _leader_comes_late(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody(cast.move(), (1.8, 3.4))
    leader = cast.somebody(move, (-0.3, 0.0), from_s=2.5)
    return SetScene(Scene("", (leader, other), _FRONT), move)


def _same_clothes(cast: _Cast) -> SetScene:
    move = cast.move()
    first = cast.somebody(move, (-0.7, 0.0))
    other = replace(cast.somebody(cast.move(), (1.5, 2.0)), look=first.look)
    return SetScene(Scene("", (first, other), _FRONT), move)


def _small(cast: _Cast) -> SetScene:
    move = cast.move()
    camera = replace(_FRONT, distance_m=9.5, aim_m=(0.0, 0.0, 1.6))
    others = [cast.somebody("stand", (2.4, 1.5))]
    return SetScene(Scene("", (cast.somebody(move, (0.0, 0.0)), *others), camera), move, small=True)


def _legs_cut(cast: _Cast) -> SetScene:
    camera = replace(_FRONT, distance_m=2.4, aim_m=(0.0, 0.0, 1.45), height_m=1.5)
    return SetScene(Scene("", (cast.somebody("squat", (0.0, 0.0)),), camera), None)


def _behind_a_table(cast: _Cast) -> SetScene:
    table = (0.15, 0.55, 0.85, 1.0)
    person = cast.somebody("squat", (0.0, 0.0))
    return SetScene(Scene("", (person,), _FRONT, covered=(table,)), None)


def _two_talk(cast: _Cast) -> SetScene:
    people = (cast.somebody("talk", (-0.6, 0.0), turn_deg=60), cast.somebody("talk", (0.7, 0.2)))
    return SetScene(Scene("", people, _FRONT), None, anybody=True)


def _slow_pan(camera: Camera, time_s: float) -> Camera:
    return replace(camera, aim_m=(camera.aim_m[0] - 0.5 + 0.11 * time_s, *camera.aim_m[1:]))


def _hand_held(camera: Camera, time_s: float) -> Camera:
    shake = [0.02 * np.sin(f * time_s + p) for f, p in ((5.1, 0.3), (7.7, 1.1))]
    x, y, z = camera.aim_m
    return replace(camera, aim_m=(x + float(shake[0]), y, z + float(shake[1])))


def _panned(cast: _Cast) -> SetScene:
    move = cast.move()
    return SetScene(Scene("", (cast.somebody(move, (0.0, 0.0)),), _FRONT, _slow_pan), move)


def _shaken(cast: _Cast) -> SetScene:
    move = cast.move()
    other = cast.somebody("stand", (1.7, 2.2))
    scene = Scene("", (cast.somebody(move, (-0.2, 0.0)), other), _FRONT, _hand_held)
    return SetScene(scene, move)


def _few_pictures(cast: _Cast) -> SetScene:
    move = str(cast.rng.choice(["squat", "side-lunge"]))
    scene = Scene("", (cast.somebody(move, (0.0, 0.0)),), _FRONT, frame_rate=8.0)
    return SetScene(scene, move)


_KINDS: dict[str, Callable[[_Cast], SetScene]] = {
    "two-behind": _two_behind,
    "beside": _beside,
    "onlooker": _onlooker,
    "passer-by": _passer_by,
    "passer-in-front": _passer_in_front,
    "leader-comes-late": _leader_comes_late,
    "same-clothes": _same_clothes,
    "small": _small,
    "legs-cut": _legs_cut,
    "behind-a-table": _behind_a_table,
    "two-talk": _two_talk,
    "panned": _panned,
    "hand-held": _shaken,
    "few-pictures": _few_pictures,
}
