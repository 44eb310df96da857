"""The class plan: what should happen, and its unrolled timeline of periods.

A plan is one screen of YAML written by hand (or the same columns as CSV/XLSX, see
:mod:`annotate.plan.read`). Unrolling turns blocks, rounds and stations into planned periods with
clock times. Every round is followed by its recovery unless ``last_recovery: false``.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BeforeValidator, Field, model_validator

from annotate.reading import Frozen
from annotate.text import amount

T = TypeVar("T")
PlannedKind = Literal["work", "recovery", "warm-up", "cool-down", "break"]


def seconds(value: object) -> float:
    """Read a duration: seconds as a number, or ``m:ss`` / ``h:mm:ss`` as text.

    Raises
    ------
    ValueError
        Not a duration, or not above zero.
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
    if not 0 < value <= 6 * 3600:
        raise ValueError("should be above 0 and at most 6 hours")
    return float(value)


def cadence(value: object) -> float:
    """Read a cadence: ``28/min`` or a number per minute."""
    if isinstance(value, str):
        match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:/\s*min)?\s*", value)
        if not match:
            raise ValueError("should be repetitions per minute, such as 28/min")
        value = float(match.group(1))
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 400:
        raise ValueError("should be repetitions per minute, between 0 and 400")
    return float(value)


def _many(value: object) -> object:
    """One value stands for every round."""
    return value if isinstance(value, list | tuple) else [value]


Seconds = Annotated[float, BeforeValidator(seconds)]
Cadence = Annotated[float, BeforeValidator(cadence)]


class SideReps(Frozen):
    """Repetitions asked of each side."""

    left: int = Field(ge=0)
    right: int = Field(ge=0)


Reps = Annotated[int, Field(ge=0)] | SideReps
PerRoundSeconds = Annotated[tuple[Seconds, ...], BeforeValidator(_many), Field(min_length=1)]
PerRoundReps = Annotated[tuple[Reps, ...], BeforeValidator(_many), Field(min_length=1)]
PerRoundCadence = Annotated[tuple[Cadence, ...], BeforeValidator(_many), Field(min_length=1)]


class Exercise(Frozen):
    """What is asked of one work period; a block and a station share these keys."""

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
    """How far delivery may stray before it earns a line."""

    seconds: float = Field(default=2.0, gt=0)
    reps: int = Field(default=1, ge=0)


class ClassPlan(Frozen):
    """A class as planned."""

    title: str = "Untitled class"
    countdown_s: float = Field(default=4.0, ge=0, le=60)
    tolerance: Tolerance = Tolerance()
    mirrored: bool = Field(default=False, description="the footage is a mirror image")
    spoken_sides: Literal["own", "viewer"] | None = Field(
        default=None, description="whose left and right is said; null: guessed from the captions"
    )
    blocks: tuple[Block, ...] = Field(min_length=1)


class PlannedPeriod(Frozen):
    """One stretch of the unrolled plan."""

    index: int
    kind: PlannedKind
    block: str
    block_index: int
    round: int | None = Field(default=None, description="1-based; null outside rounds")
    rounds: int | None = None
    movement: str | None = None
    side: Literal["left", "right"] | None = None
    start_s: float
    end_s: float
    duration_s: float
    reps: int | None = None
    left: int | None = None
    right: int | None = None
    cadence_per_min: float | None = None
    watch: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Short name: block, round, what."""
        parts = [self.block]
        if self.round is not None and self.rounds and self.rounds > 1:
            parts.append(f"round {self.round}")
        if self.side:
            parts.append(self.side)
        if self.kind in ("recovery", "break") and self.block.lower() != self.kind:
            parts.append(self.kind)
        return ", ".join(parts)


class Timeline(Frozen):
    """The unrolled plan."""

    title: str
    countdown_s: float
    tolerance: Tolerance
    mirrored: bool
    spoken_sides: Literal["own", "viewer"] | None = None
    periods: tuple[PlannedPeriod, ...]
    total_s: float
    work_s: float
    recovery_s: float
    ends_with_recovery: bool = Field(description="whether the last recovery counts into the total")


def unroll(plan: ClassPlan) -> Timeline:
    """Turn blocks and rounds into planned periods with clock times from 0."""
    rows: list[dict[str, Any]] = []
    for block_index, block in enumerate(plan.blocks):
        head = {"block": block.name, "block_index": block_index}
        if block.kind != "work":
            rows.append(
                {**head, "kind": block.kind, "movement": block.movement,
                 "duration_s": block.duration, **_asked(block, 0)}
            )  # fmt: skip
            continue
        for r in range(block.rounds):
            head_r = {**head, "round": r + 1, "rounds": block.rounds}
            last_round = r == block.rounds - 1
            if block.stations:
                for s, station in enumerate(block.stations):
                    named = {**head_r, "block": f"{block.name}: {station.name or station.movement}"}
                    last = last_round and s == len(block.stations) - 1
                    keep = block.last_recovery or not last or block.round_recovery is not None
                    rest = station.recovery_movement or block.recovery_movement
                    station = station.model_copy(update={"recovery_movement": rest})
                    rows += _exercise_rows(station, named, r, with_recovery=keep)
                if block.round_recovery and (block.last_recovery or not last_round):
                    rows.append(
                        {**head_r, "kind": "recovery", "movement": block.recovery_movement,
                         "duration_s": block.round_recovery}
                    )  # fmt: skip
            else:
                keep = block.last_recovery or not last_round
                rows += _exercise_rows(block, head_r, r, with_recovery=keep)

    periods: list[PlannedPeriod] = []
    clock = 0.0
    for index, row in enumerate(_recoveries_joined(rows)):
        end = clock + row["duration_s"]
        periods.append(PlannedPeriod(index=index, start_s=clock, end_s=end, **row))
        clock = end
    exercise = [p for p in periods if p.kind in ("work", "recovery")]
    return Timeline(
        title=plan.title,
        countdown_s=plan.countdown_s,
        tolerance=plan.tolerance,
        mirrored=plan.mirrored,
        spoken_sides=plan.spoken_sides,
        periods=tuple(periods),
        total_s=clock,
        work_s=sum(p.duration_s for p in periods if p.kind == "work"),
        recovery_s=sum(p.duration_s for p in periods if p.kind == "recovery"),
        ends_with_recovery=bool(exercise) and exercise[-1].kind == "recovery",
    )


def _recoveries_joined(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A recovery that follows a recovery of the same movement is one longer recovery: nobody can
    see where the one ends, and the class does not need to know."""
    out: list[dict[str, Any]] = []
    for row in rows:
        before = out[-1] if out else None
        if (
            before is not None
            and row["kind"] == before["kind"] == "recovery"
            and row["movement"] == before["movement"]
        ):
            out[-1] = {**row, "duration_s": before["duration_s"] + row["duration_s"]}
        else:
            out.append(row)
    return out


def _exercise_rows(
    exercise: Exercise, head: dict[str, Any], r: int, *, with_recovery: bool
) -> list[dict[str, Any]]:
    """Work (once, or once a side) and the recovery after it."""
    assert exercise.work is not None  # the model's own check
    work_s = _of_round(exercise.work, r)
    rows: list[dict[str, Any]] = []
    for side in ("left", "right") if exercise.sides == "each" else (None,):
        rows.append(
            {**head, "kind": "work", "movement": exercise.movement, "duration_s": work_s,
             "side": side, "watch": exercise.watch, **_asked(exercise, r, side)}
        )  # fmt: skip
    if exercise.recovery is not None and with_recovery:
        rows.append(
            {**head, "kind": "recovery", "movement": exercise.recovery_movement,
             "duration_s": _of_round(exercise.recovery, r)}
        )  # fmt: skip
    return rows


def _asked(exercise: Exercise, r: int, side: str | None = None) -> dict[str, Any]:
    """Repetitions and cadence asked in round `r` (0-based)."""
    asked: dict[str, Any] = {}
    if exercise.reps is not None:
        reps = _of_round(exercise.reps, r)
        if isinstance(reps, SideReps):
            if side:
                asked["reps"] = getattr(reps, side)
            else:
                asked.update(reps=reps.left + reps.right, left=reps.left, right=reps.right)
        else:
            asked["reps"] = reps
    if exercise.cadence is not None:
        asked["cadence_per_min"] = _of_round(exercise.cadence, r)
    return asked


def _of_round(values: tuple[T, ...], r: int) -> T:
    return values[0] if len(values) == 1 else values[r]
