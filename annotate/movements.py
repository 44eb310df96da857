"""The catalogue of movements, read from ``movements.yaml``."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import Field
from ruamel.yaml import YAML

from annotate.frozen import Frozen


class Carrier(Frozen):
    """A signal that carries the repetition of a movement."""

    signal: str
    peak: Literal["high", "low"]
    size: float = Field(gt=0, description="least excursion; trunk lengths, or degrees")


class Look(Frozen):
    """How one signal behaves while the movement is done."""

    swing: tuple[float, float] | None = None
    level: tuple[float, float] | None = None


class Movement(Frozen):
    """One entry of the catalogue."""

    id: str
    name: str
    repetition: str
    sides: Literal["both", "alternating", "none"]
    counts: tuple[Carrier, ...] = ()
    tempo: tuple[float, float] = (4, 240)
    depth: str | None = None
    intensity: Literal["easy", "moderate", "hard"]
    bent_over: bool = False
    jump: bool = False
    watch: tuple[str, ...] = ()
    looks: dict[str, Look] = Field(default_factory=dict)


@cache
def catalogue() -> dict[str, Movement]:
    """All known movements by id, in the order of the file."""
    text = (files("annotate") / "movements.yaml").read_text(encoding="utf-8")
    entries = YAML(typ="safe", pure=True).load(text)
    return {key: Movement(id=key, **entry) for key, entry in entries.items()}


def name_of(movement: str | None) -> str:
    """A movement's name for people; an unknown word is shown as written."""
    if movement is None:
        return "unknown movement"
    known = catalogue().get(movement)
    return known.name if known else movement
