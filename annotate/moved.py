"""Exercises done in another place of the class than planned.

Aligning runs in order, so an exercise that changed places comes out as left out here and added
there. Where every round of an exercise is missing and as many of the same movement were added, it
is told as done out of order.
"""

from __future__ import annotations

from collections.abc import Sequence

from annotate.clock import clock
from annotate.movements import name_of
from annotate.plan import PlannedPeriod
from annotate.review import Comparison, Period


def moved(
    rows: Sequence[Comparison], periods: Sequence[Period]
) -> tuple[dict[int, int], frozenset[int]]:
    """Pair missing exercises with added ones.

    Returns
    -------
    dict of int to int
        Position of a skipped row to the index of the period that delivered it.
    frozenset of int
        Indices of the periods so explained.
    """
    pairs: dict[int, int] = {}
    added = [c.delivered for c in rows if c.planned is None and c.delivered is not None]
    for block, movement in _exercises(rows):
        of_block = [
            i
            for i, c in enumerate(rows)
            if c.planned is not None and c.planned.block_index == block
        ]
        work = [i for i in of_block if _planned(rows[i]).kind == "work"]
        done = [
            d
            for d in added
            if periods[d].kind == "work"
            and periods[d].movement == movement
            and d not in pairs.values()
        ]
        if any(rows[i].status != "skipped" for i in work) or len(done) < len(work):
            continue
        for i, d in zip(work, done, strict=False):
            pairs[i] = d
            rest = i + 1
            follows = rest in of_block and _planned(rows[rest]).kind == "recovery"
            if follows and rows[rest].status == "skipped" and d + 1 in added:
                pairs[rest] = d + 1
    return pairs, frozenset(pairs.values())


def _exercises(rows: Sequence[Comparison]) -> list[tuple[int, str]]:
    """Blocks whose work is one known movement."""
    of_block: dict[int, set[str | None]] = {}
    for c in rows:
        if c.planned is not None and c.planned.kind == "work":
            of_block.setdefault(c.planned.block_index, set()).add(c.planned.movement)
    return [
        (block, movement)
        for block, movements in of_block.items()
        if len(movements) == 1 and (movement := next(iter(movements))) is not None
    ]


def _planned(row: Comparison) -> PlannedPeriod:
    assert row.planned is not None
    return row.planned


def out_of_order(period: Period) -> str:
    """The finding in words."""
    return f"{name_of(period.movement)} done out of order, at {clock(period.start_s)}"
