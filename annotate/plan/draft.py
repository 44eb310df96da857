"""A clean plan of what was delivered, for a class that had no written plan."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from ruamel.yaml import YAML

from annotate.catalogue.model import name_of

# Planned durations are multiples of five seconds; below ten seconds rounding to five would change
# the duration by a quarter and more (common practice, no source).
ROUND_TO_S = 5
EXACT_BELOW_S = 10
# Standing still or being away for less than this is not taken for a planned break (common practice,
# no source).
MIN_BREAK_S = 20.0


class CountedReps(Protocol):
    """What drafting needs to know of a period's repetitions."""

    @property
    def count(self) -> int | None:
        """How many were done; None where it could not be judged."""

    @property
    def left(self) -> int | None:
        """Of the left side, where sides were told apart."""

    @property
    def right(self) -> int | None:
        """Of the right side, where sides were told apart."""


class DeliveredPeriod(Protocol):
    """What drafting needs to know of a delivered period."""

    @property
    def kind(self) -> str:
        """Work, recovery, warm-up ..."""

    @property
    def movement(self) -> str | None:
        """What was done; None where it is unknown."""

    @property
    def duration_s(self) -> float:
        """Length in seconds."""

    @property
    def reps(self) -> CountedReps:
        """The repetitions."""


@dataclass(frozen=True)
class _Round:
    work: DeliveredPeriod
    recovery: DeliveredPeriod | None


def rounded_s(duration_s: float) -> int:
    """A duration in seconds, rounded the way durations are planned."""
    if duration_s < EXACT_BELOW_S:
        return max(1, round(duration_s))
    return max(ROUND_TO_S, ROUND_TO_S * round(duration_s / ROUND_TO_S))


def draft_plan(title: str, periods: Sequence[DeliveredPeriod]) -> str:
    """Plan of a delivered class as YAML text, in the plan's own format.

    Consecutive rounds of one movement form one block. Durations are rounded to five seconds;
    repetitions are those counted. An unrecognised movement is called ``other``.

    Parameters
    ----------
    title : str
        Title of the plan.
    periods : sequence of DeliveredPeriod
        What was delivered, in time order.
    """
    blocks: list[dict[str, Any]] = []
    rounds: list[_Round] = []

    def close() -> None:
        if rounds:
            blocks.append(_drafted_block(rounds, {b["name"] for b in blocks}))
            rounds.clear()

    for period in periods:
        if period.kind in ("warm-up", "cool-down"):
            close()
            blocks.append(
                {
                    "name": period.kind.capitalize(),
                    "kind": period.kind,
                    "movement": period.movement or "other",
                    "duration": rounded_s(period.duration_s),
                }
            )
        elif period.kind == "work":
            if rounds and rounds[-1].work.movement != period.movement:
                close()
            rounds.append(_Round(period, None))
        elif period.kind == "recovery" and rounds and rounds[-1].recovery is None:
            rounds[-1] = _Round(rounds[-1].work, period)
        elif period.kind == "recovery" or period.duration_s >= MIN_BREAK_S:
            close()
            blocks.append(
                {"name": "Break", "kind": "break", "duration": rounded_s(period.duration_s)}
            )
    close()
    plan: dict[str, Any] = {"title": title, "blocks": blocks}
    text = io.StringIO()
    yaml = YAML()
    yaml.default_flow_style = False
    yaml.indent(mapping=2, sequence=4, offset=2)
    text.write("# Drafted from a filmed take: check names, durations and repetitions.\n")
    yaml.dump(plan, text)
    return text.getvalue()


def _drafted_block(rounds: Sequence[_Round], taken: set[str]) -> dict[str, Any]:
    movement = rounds[0].work.movement or "other"
    name = name_of(rounds[0].work.movement) if rounds[0].work.movement else "Exercise"
    unique, n = name, 2
    while unique in taken:
        unique, n = f"{name} {n}", n + 1
    block: dict[str, Any] = {"name": unique, "movement": movement, "rounds": len(rounds)}
    block["work"] = _one_or_each([rounded_s(r.work.duration_s) for r in rounds])
    rests = [r.recovery for r in rounds if r.recovery is not None]
    if rests:
        lengths = [rounded_s(r.duration_s) for r in rests]
        # The plan takes one length for all rounds, or one for each round.
        block["recovery"] = (
            _one_or_each(lengths) if len(lengths) == len(rounds) else _most_frequent(lengths)
        )
        block["recovery_movement"] = _most_frequent([r.movement or "other" for r in rests])
        if rounds[-1].recovery is None:
            block["last_recovery"] = False
    counts = [r.work.reps for r in rounds]
    if all(c.count for c in counts):
        sides = [(c.left, c.right) for c in counts]
        if all(left is not None and right is not None for left, right in sides):
            block["reps"] = _one_or_each([{"left": a, "right": b} for a, b in sides])
        else:
            block["reps"] = _one_or_each([c.count for c in counts])
    return block


def _one_or_each(values: list[Any]) -> Any:
    return values[0] if all(v == values[0] for v in values) else values


def _most_frequent(values: Sequence[Any]) -> Any:
    """The most frequent value; the first of several equally frequent ones."""
    return max(values, key=list(values).count)
