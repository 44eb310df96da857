"""Two takes of one plan side by side: for each block which is closer to the plan, and why.

They are compared by periods left out or swapped, then time, then repetitions, then repetitions
worth a look. The first of these in which the takes differ by more than the plan's tolerance
decides. The order is a judgement: what a viewer notices most comes first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.plan.model import Tolerance
from annotate.reading import Frozen
from annotate.review.model import Comparison, Review
from annotate.review.queries import delivered_as, flagged_reps, rows_by_planned
from annotate.text import amount, plural

Better = Literal["first", "second", "equal"]


class TakenPeriod(Frozen):
    """One planned period in both takes."""

    planned: int
    label: str
    first: str
    second: str
    first_start_s: float | None
    second_start_s: float | None


class TakenBlock(Frozen):
    """One block of the plan in both takes."""

    block: str
    better: Better
    why: str
    periods: tuple[TakenPeriod, ...]


class TwoTakes(Frozen):
    """Both takes, block by block; the lengths of the class in seconds."""

    title: str
    first_name: str
    second_name: str
    planned_s: float
    first_s: float
    second_s: float
    blocks: tuple[TakenBlock, ...]


@dataclass(frozen=True)
class _Distance:
    """How far one block of a take is from the plan."""

    missed: int
    off_s: float
    off_reps: int
    looks: int


def two_takes(first: Review, second: Review) -> TwoTakes | None:
    """Compare two reviews; None unless both have the same plan."""
    if first.plan is None or first.plan != second.plan:
        return None
    plan = first.plan
    rows = [rows_by_planned(review.comparison) for review in (first, second)]
    blocks = []
    for block_index in dict.fromkeys(p.block_index for p in plan.periods):
        planned = [p for p in plan.periods if p.block_index == block_index]
        of_block = [[take[p.index] for p in planned if p.index in take] for take in rows]
        better, why = _better(
            _distance(of_block[0], first), _distance(of_block[1], second), plan.tolerance
        )
        blocks.append(
            TakenBlock(
                block=planned[0].block,
                better=better,
                why=why,
                periods=tuple(
                    TakenPeriod(
                        planned=p.index,
                        label=p.label,
                        first=_words(rows[0].get(p.index)),
                        second=_words(rows[1].get(p.index)),
                        first_start_s=_start_s(rows[0].get(p.index), first),
                        second_start_s=_start_s(rows[1].get(p.index), second),
                    )
                    for p in planned
                ),
            )
        )
    return TwoTakes(
        title=plan.title,
        first_name=first.clip.name,
        second_name=second.clip.name,
        planned_s=plan.total_s,
        first_s=first.totals.delivered_s,
        second_s=second.totals.delivered_s,
        blocks=tuple(blocks),
    )


def _distance(rows: Sequence[Comparison], review: Review) -> _Distance:
    done = [p for row in rows if (p := delivered_as(row, review.periods)) is not None]
    return _Distance(
        missed=sum(row.status in ("skipped", "swapped") for row in rows),
        off_s=sum(abs(row.duration_diff_s or 0.0) for row in rows),
        off_reps=sum(abs(row.reps_diff or 0) for row in rows),
        looks=sum(len(flagged_reps(period)) for period in done),
    )


def _better(a: _Distance, b: _Distance, tolerance: Tolerance) -> tuple[Better, str]:
    asked = (
        (a.missed, b.missed, 0.0, "left out or swapped", "period"),
        (a.off_s, b.off_s, tolerance.seconds, "off the planned time", "s"),
        (a.off_reps, b.off_reps, float(tolerance.reps), "off the plan", "repetition"),
        (a.looks, b.looks, 0.0, "worth a look", "repetition"),
    )
    for one, two, least, what, unit in asked:
        if abs(one - two) > least:
            # The smaller distance first.
            low, high = sorted((one, two))
            return (
                "first" if one < two else "second",
                f"{_amount(low, unit)} {what}, against {_amount(high, unit)}",
            )
    return "equal", "no difference beyond the plan's tolerance"


def _amount(value: float, unit: str) -> str:
    count = round(value)
    if unit == "s":
        return f"{count} s"
    return amount(count, unit) if count else f"no {plural(unit, count)}"


def _words(row: Comparison | None) -> str:
    return "left out" if row is None else row.text or "as planned"


def _start_s(row: Comparison | None, review: Review) -> float | None:
    period = delivered_as(row, review.periods)
    return None if period is None else period.start_s
