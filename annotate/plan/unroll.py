"""The unrolled plan: a timeline of planned periods.

Unrolling turns blocks, rounds and stations into planned periods with clock times. Every round is
followed by its recovery unless ``last_recovery: false``.
"""

from __future__ import annotations

from typing import Any, Literal, TypeVar

from pydantic import Field, computed_field, model_validator

from annotate.plan.model import ClassPlan, Exercise, SideReps, Tolerance
from annotate.reading import Frozen

T = TypeVar("T")
PlannedKind = Literal["work", "recovery", "warm-up", "cool-down", "break"]


class PlannedPeriod(Frozen):
    """One stretch of the unrolled plan.

    The labels follow from the other fields; they are written to the JSON for its readers and
    ignored when it is read again.
    """

    index: int
    kind: PlannedKind
    block: str = Field(description="name of the block, also where this is one of its stations")
    block_index: int
    station: str | None = Field(
        default=None, description="name of the station in a circuit, else its movement"
    )
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

    @model_validator(mode="before")
    @classmethod
    def _without_labels(cls, given: Any) -> Any:
        if isinstance(given, dict):
            return {k: v for k, v in given.items() if k not in cls.model_computed_fields}
        return given

    @property
    def in_rounds(self) -> bool:
        """Whether this is one of several rounds."""
        return self.round is not None and self.rounds is not None and self.rounds > 1

    @computed_field(description="block, station, round, side; and the kind where it is not work")  # type: ignore[prop-decorator]
    @property
    def label(self) -> str:
        """The whole name: ``Circuit: push-up, round 1``."""
        return ", ".join([self._name, *self._turn])

    @computed_field(description="the label below a heading with the block's name")  # type: ignore[prop-decorator]
    @property
    def label_in_block(self) -> str:
        """The name below a heading with the block's name: ``push-up, round 1``."""
        station = () if self.station is None else (self.station,)
        return ", ".join([*station, *self._turn]) or self.block

    @computed_field(description="the label where there is room for one or two words only")  # type: ignore[prop-decorator]
    @property
    def short_label(self) -> str:
        """The name in one or two words: ``push-up 1 L``."""
        if self.kind == "recovery":
            return "rest"
        parts = [self.block if self.station is None else self.station]
        if self.in_rounds:
            parts.append(str(self.round))
        if self.side:
            parts.append(self.side[0].upper())
        return " ".join(parts)

    @property
    def _name(self) -> str:
        return self.block if self.station is None else f"{self.block}: {self.station}"

    @property
    def _turn(self) -> list[str]:
        """What distinguishes the period from others with the same name."""
        parts = []
        if self.in_rounds:
            parts.append(f"round {self.round}")
        if self.side:
            parts.append(self.side)
        if self.kind in ("recovery", "break") and self._name.lower() != self.kind:
            parts.append(self.kind)
        return parts


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
    """Turn blocks and rounds into planned periods with times from 0 s, without gaps."""
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
                    named = {**head_r, "station": station.name or station.movement}
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
    """Join recoveries of the same movement that follow each other.

    The change from one to the next cannot be seen, and the class does not need to know it.
    """
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
    """Work (once, or once per side) and the recovery after it."""
    assert exercise.work is not None  # checked by the model
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
    """Planned repetitions and cadence of round `r`, counted from 0."""
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
