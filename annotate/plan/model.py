"""The class plan: what should happen, as an instructor writes it down.

A plan is one screen of YAML written by hand (or the same columns as CSV/XLSX, see
:mod:`annotate.plan.read`); :mod:`annotate.plan.unroll` turns it into periods with clock times.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from annotate.reading import Frozen
from annotate.text import amount


def seconds(value: object) -> float:
    """Read a duration in seconds: a number, or ``m:ss`` / ``h:mm:ss`` as text.

    Raises
    ------
    ValueError
        Not a duration, not above zero, or above six hours.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("should be seconds (30) or minutes:seconds (4:00)")
    if isinstance(value, str):
        text = value.strip()
        if re.fullmatch(r"\d+(:[0-5]?\d){1,2}", text):
            total = 0.0
            for part in text.split(":"):
                total = total * 60 + int(part)
            value = total
        elif re.fullmatch(r"\d+(\.\d+)?\s*s?", text):
            value = float(text.rstrip("s").strip())
        else:
            raise ValueError("should be seconds (30) or minutes:seconds (4:00)")
    # No class lasts longer: a larger value is a typing error (common practice, no source).
    if not 0 < value <= 6 * 3600:
        raise ValueError("should be above 0 and at most 6 hours")
    return float(value)


def cadence(value: object) -> float:
    """Read a cadence in repetitions per minute: ``28/min`` or a number.

    Raises
    ------
    ValueError
        Not a cadence, not above zero, or above 400: the fastest movement of the catalogue is
        counted up to 240 a minute.
    """
    if isinstance(value, str):
        match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:/\s*min)?\s*", value)
        if not match:
            raise ValueError("should be repetitions per minute, such as 28/min")
        value = float(match.group(1))
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 400:
        raise ValueError("should be repetitions per minute, between 0 and 400")
    return float(value)


def _many(value: object) -> object:
    """A list of values; one value alone stands for every round."""
    return value if isinstance(value, list | tuple) else [value]


Seconds = Annotated[float, BeforeValidator(seconds)]
Cadence = Annotated[float, BeforeValidator(cadence)]


class SideReps(Frozen):
    """Planned repetitions of each side."""

    left: int = Field(ge=0)
    right: int = Field(ge=0)


Reps = Annotated[int, Field(ge=0)] | SideReps
PerRoundSeconds = Annotated[tuple[Seconds, ...], BeforeValidator(_many), Field(min_length=1)]
PerRoundReps = Annotated[tuple[Reps, ...], BeforeValidator(_many), Field(min_length=1)]
PerRoundCadence = Annotated[tuple[Cadence, ...], BeforeValidator(_many), Field(min_length=1)]


class Exercise(Frozen):
    """What is planned for one work period; a block and a station share these keys."""

    movement: str | None = None
    work: PerRoundSeconds | None = None
    recovery: PerRoundSeconds | None = None
    recovery_movement: str | None = None
    reps: PerRoundReps | None = None
    cadence: PerRoundCadence | None = None
    sides: Literal["each"] | None = None
    watch: tuple[str, ...] = ()


class Station(Exercise):
    """One stop of a circuit."""

    name: str | None = None

    @model_validator(mode="after")
    def _complete(self) -> Station:
        if self.movement is None or self.work is None:
            raise ValueError("a station needs movement and work")
        return self


class Block(Exercise):
    """A named part of the class: a warm-up, an exercise with its rounds, a circuit, a break."""

    name: str
    kind: Literal["work", "warm-up", "cool-down", "break"] = "work"
    duration: Seconds | None = None
    rounds: int = Field(default=1, ge=1, le=100)
    last_recovery: bool = True
    stations: tuple[Station, ...] = ()
    round_recovery: Seconds | None = None

    @model_validator(mode="after")
    def _adds_up(self) -> Block:
        if self.kind != "work":
            if self.duration is None:
                raise ValueError(f"a {self.kind} needs duration")
            if self.work or self.stations:
                raise ValueError(f"a {self.kind} takes duration, not work or stations")
            return self
        if self.duration is not None:
            raise ValueError(
                "an exercise takes work and recovery; duration is for warm-up, cool-down and break"
            )
        if bool(self.stations) == (self.work is not None):
            raise ValueError("an exercise needs either work (seconds) or stations")
        for exercise in (self, *self.stations):
            for key in ("work", "recovery", "reps", "cadence"):
                values = getattr(exercise, key)
                if values is not None and len(values) not in (1, self.rounds):
                    raise ValueError(
                        f"{key} lists {amount(len(values), 'value')} for "
                        f"{amount(self.rounds, 'round')}; "
                        "give one value, or one per round"
                    )
        return self


class Tolerance(Frozen):
    """How far delivery may differ from the plan before it is reported.

    The defaults are common practice, no source.
    """

    seconds: float = Field(default=2.0, gt=0)
    reps: int = Field(default=1, ge=0)


class ClassPlan(Frozen):
    """A class as planned; the default countdown is common practice, no source."""

    title: str = "Untitled class"
    countdown_s: float = Field(default=4.0, ge=0, le=60)
    tolerance: Tolerance = Tolerance()
    mirrored: bool = Field(default=False, description="the footage is a mirror image")
    spoken_sides: Literal["own", "viewer"] | None = Field(
        default=None,
        description="whose left and right is said; null: estimated from the captions",
    )
    blocks: tuple[Block, ...] = Field(min_length=1)
