"""The catalogue of movements, read from ``movements.yaml``."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import Field
from ruamel.yaml import YAML

from annotate.reading import Frozen
from annotate.text import nearest
from pose.signals.names import SIGNALS


class SideRule(Frozen):
    """How the side of a repetition is told when the counted signal does not tell it."""

    signal: str
    left: Literal["high", "low"] = Field(description="sign of the signal for the left side")
    when: Literal["at", "after", "change"] = Field(
        default="at",
        description="at: its value at the peak; after: its largest value from this peak to the "
        "next; change: from the start to the end of the repetition",
    )
    least: float = Field(
        default=0.0, description="below this size the repetition counts as both sides together"
    )


class Carrier(Frozen):
    """A signal that carries the repetition of a movement."""

    signal: str
    peak: Literal["high", "low"]
    size: float = Field(gt=0, description="smallest excursion; trunk lengths, or degrees")
    side: SideRule | None = None
    swing: bool = Field(
        default=False,
        description="a repetition is the way from one side to the other, not out and back",
    )
    sides: Literal["both", "alternating"] | None = Field(
        default=None,
        description="the sides of this signal, where a movement can be done in both ways",
    )


class Look(Frozen):
    """How one signal behaves while the movement is done: lower and upper bounds of its statistics.

    Attributes
    ----------
    swing : (float, float) or None
        Bounds of the 95th minus the 5th percentile, in the signal's unit. None: not checked.
    level, low, high : (float, float) or None
        Bounds of the median, the 5th and the 95th percentile.
    """

    swing: tuple[float, float] | None = None
    level: tuple[float, float] | None = None
    low: tuple[float, float] | None = None
    high: tuple[float, float] | None = None


class Movement(Frozen):
    """One entry of the catalogue.

    Attributes
    ----------
    repetition : str
        What one repetition is, in words.
    sides : "both", "alternating" or "none"
        Both sides together, each side a repetition of its own, or not counted.
    counts : tuple of Carrier
        Signals that repetitions can be counted on, the preferred one first.
    tempo : (float, float)
        Lowest and highest plausible repetitions per minute.
    depth : str or None
        Signal whose value at the peak is the depth of a repetition.
    bent_over : bool
        The trunk is meant to incline: the back line is judged.
    watch : tuple of str
        Watched points, see :mod:`annotate.form.points`.
    looks : dict
        Signal name -> how it behaves; empty where the movement is not recognised.
    """

    id: str
    name: str
    repetition: str
    sides: Literal["both", "alternating", "none"]
    counts: tuple[Carrier, ...] = ()
    tempo: tuple[float, float] = (4, 240)
    depth: str | None = None
    intensity: Literal["easy", "moderate", "hard"]
    bent_over: bool = False
    crouched: bool = Field(
        default=False, description="thighs against the trunk at the bottom: no back line there"
    )
    jump: bool = False
    held: bool = Field(default=False, description="the middle of the low phase is the peak")
    watch: tuple[str, ...] = ()
    looks: dict[str, Look] = Field(default_factory=dict)


@cache
def catalogue() -> dict[str, Movement]:
    """All known movements by id, in file order."""
    return read_catalogue(_text())


def read_catalogue(text: str) -> dict[str, Movement]:
    """The movements of a catalogue in YAML, by id.

    Raises
    ------
    ValueError
        An entry has a wrong or unknown key, or names a signal that does not exist.
    """
    entries = YAML(typ="safe", pure=True).load(text)
    return {key: check_signals(Movement(id=key, **entry)) for key, entry in entries.items()}


def check_signals(movement: Movement) -> Movement:
    """The same movement, if every signal it names is registered in :mod:`pose.signals.names`.

    Raises
    ------
    ValueError
        A signal is not registered; the message names the movement, the key, the word and the
        nearest signal.
    """
    for key, word in _named_signals(movement):
        if word not in SIGNALS:
            guess = nearest(word, SIGNALS)
            raise ValueError(
                f'movement "{movement.id}", {key}: there is no signal "{word}"; '
                + (f"did you mean {guess}?" if guess else "all are in pose/signals/names.py")
            )
    return movement


def _named_signals(movement: Movement) -> Iterator[tuple[str, str]]:
    """Every place where an entry names a signal: the path of keys, and the word."""
    for carrier in movement.counts:
        yield "counts, signal", carrier.signal
        if carrier.side is not None:
            yield "counts, side, signal", carrier.side.signal
    if movement.depth is not None:
        yield "depth", movement.depth
    for word in movement.looks:
        yield "looks", word


@cache
def catalogue_id() -> str:
    """First twelve hex digits of the SHA-256 of the catalogue file."""
    return hashlib.sha256(_text().encode()).hexdigest()[:12]


def _text() -> str:
    return (files("annotate.catalogue") / "movements.yaml").read_text(encoding="utf-8")


def name_of(movement: str | None) -> str:
    """A movement's name for people; an unknown id is shown as written."""
    if movement is None:
        return "unknown movement"
    known = catalogue().get(movement)
    return known.name if known else movement
