"""Rows of the comparison, of plans and periods made by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from annotate.compare.compare import compare
from annotate.periods.label import Delivery
from annotate.plan.model import Block
from annotate.plan.unroll import Timeline
from annotate.review.model import Comparison, Period
from tests.annotate.reviews import done, planned

Answer = tuple[int | None, Period | None]

# A class of 200 s: a warm-up, a block of two rounds, one without rounds or recovery.
CLASS = planned(
    Block(name="Warm-up", kind="warm-up", movement="march", duration=60),
    {"rounds": 2, "recovery": 20, "reps": 14},
    {"name": "Knee lift", "movement": "knee-lift", "work": 40, "reps": {"left": 8, "right": 8}},
)
WARM_UP, SQUAT_1, REST_1, SQUAT_2, REST_2, LIFTS = range(6)


def row(plan: Timeline, *, of: int = 0, **changes: Any) -> Comparison:
    """One planned period, the first unless told, delivered exactly but for the changes."""
    delivered = done(plan.periods[of], index=0, **changes)
    (only,) = compare(plan, [Delivery(of, delivered)], [delivered])
    return only


def answers(
    plan: Timeline, changes: Mapping[int, dict[str, Any] | None] | None = None
) -> list[Answer]:
    """Each planned period delivered exactly, but for the changes; None is left out."""
    changes = changes or {}
    return [
        (p.index, None if (change := changes.get(p.index, {})) is None else done(p, **change))
        for p in plan.periods
    ]


def compared(plan: Timeline, answers: Sequence[Answer]) -> list[Comparison]:
    """Planned periods by index, each with what it was delivered as, in the order of delivery."""
    numbered: list[Period] = []
    deliveries = []
    for asked, found in answers:
        if found is not None:
            found = found.model_copy(update={"index": len(numbered)})
            numbered.append(found)
        deliveries.append(Delivery(asked, found))
    return list(compare(plan, deliveries, numbered))


def told(rows: Sequence[Comparison]) -> list[tuple[str, str, str]]:
    """Name of the planned period, status and words of each row."""
    return [(r.planned.label if r.planned else "-", r.status, r.text) for r in rows]
