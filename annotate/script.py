"""The timed script for the next take: what to do and say when, corrected by the rehearsal."""

from __future__ import annotations

from typing import Literal

from annotate.review import Status, _Frozen

LineKind = Literal[
    "announce", "change", "countdown", "halfway", "left", "reps", "form", "ease", "safety"
]


class ScriptLine(_Frozen):
    """One thing to say."""

    at_s: float
    kind: LineKind
    text: str


class ScriptPeriod(_Frozen):
    """One planned period with its clocks and lines."""

    label: str
    kind: str
    movement: str | None
    planned_start_s: float
    planned_duration_s: float
    planned_reps: int | None
    planned_cadence_per_min: float | None
    delivered_start_s: float | None
    delivered_duration_s: float | None
    delivered_reps: int | None
    delivered_cadence_per_min: float | None
    status: Status
    difference: str
    lines: tuple[ScriptLine, ...]


class Script(_Frozen):
    """The whole script; times are the planned clock of the next take."""

    title: str
    duration_s: float
    periods: tuple[ScriptPeriod, ...]
    cautions: tuple[str, ...]
