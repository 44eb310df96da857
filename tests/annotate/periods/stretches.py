"""Plans and activities made by hand, and how they were paired, in one line of text.

An activity is written as movement and seconds, ``("squat", 30)``. Where it is like several
movements in part, each follows with how unlike it is: ``("squat 0.2 jumping-jack 0.9", 30)``;
what is not named is wholly unlike.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from annotate.periods.align import Pairing, align
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.reorder import align_in_any_order
from annotate.periods.run_costs import Judge
from annotate.plan.unroll import PlannedKind, PlannedPeriod

Doing = tuple[str, float]
KINDS: dict[str, PlannedKind] = {"march": "recovery", "break": "break"}
Missed = Callable[[PlannedPeriod, float, float], float]


@dataclass(frozen=True)
class Done:
    """What was done, from when to when."""

    what: str
    start_s: float
    end_s: float

    @property
    def duration_s(self) -> float:
        return self.end_s - self.start_s

    @property
    def absent(self) -> bool:
        return self.what == "nobody"

    @property
    def idle(self) -> bool:
        return self.what.partition(" ")[0] in ("nobody", "drink")


def deliver(doings: Sequence[Doing]) -> list[Done]:
    """One after the other, from 0 s on."""
    clock, done = 0.0, []
    for what, lasts in doings:
        done.append(Done(what, clock, clock + lasts))
        clock += lasts
    return done


def plan(
    *periods: tuple[str, float] | tuple[str, float, int], kind: PlannedKind = "work"
) -> tuple[PlannedPeriod, ...]:
    """Planned periods: movement, seconds and, if any, repetitions. A march is recovery."""
    out: list[PlannedPeriod] = []
    for movement, lasts, *reps in periods:
        start_s = out[-1].end_s if out else 0.0
        out.append(
            PlannedPeriod(
                index=len(out), kind=KINDS.get(movement, kind),
                movement=movement, start_s=start_s, end_s=start_s + lasts, duration_s=lasts,
                block=movement, block_index=len(out), reps=reps[0] if reps else None,
            )
        )  # fmt: skip
    return tuple(out)


def unlike(planned: PlannedPeriod, done: Done) -> float:
    """As written in the activity's own words."""
    first, *rest = done.what.split()
    if not rest:
        return float(first != planned.movement)
    if rest[0].replace(".", "").isdecimal():
        rest = [first, *rest]
    said = dict(zip(rest[::2], map(float, rest[1::2]), strict=True))
    return said.get(planned.movement or "", 1.0)


def no_reps(planned: PlannedPeriod, start_s: float, end_s: float) -> float:
    return 0.0


def told(pairings: Sequence[Pairing], planned: Sequence[PlannedPeriod]) -> str:
    """``squat 0, march -, +1``: squat was activity 0, march left out, activity 1 added."""
    words = []
    for p in pairings:
        taken = "+".join(map(str, p.activities))
        words.append(
            f"+{taken}" if p.planned is None else f"{planned[p.planned].movement} {taken or '-'}"
        )
    return ", ".join(words)


def aligned(
    planned: Sequence[PlannedPeriod],
    doings: Sequence[Doing],
    costs: Costs = DEFAULT,
    missed: Missed = no_reps,
) -> str:
    """How these doings are paired with this plan, in order."""
    pairings = align(deliver(doings), planned, Judge(unlike, missed), costs=costs).pairings
    return told(pairings, planned)


def aligned_in_any_order(
    planned: Sequence[PlannedPeriod], doings: Sequence[Doing], costs: Costs = DEFAULT
) -> str:
    """The same where exercises may have moved."""
    judge = Judge(unlike, no_reps)
    return told(align_in_any_order(deliver(doings), planned, judge, costs=costs), planned)
