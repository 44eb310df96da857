"""Rows of the comparison, of plans and periods made by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from annotate.compare.compare import compare
from annotate.periods.label import Delivery
from annotate.plan.model import Timeline
from annotate.review.model import Comparison, Period
from tests.annotate.reviews import done

Answer = tuple[int | None, Period | None]


def row(plan: Timeline, *, of: int = 0, **changes: Any) -> Comparison:
    """One planned period, the first unless told, delivered exactly but for the changes."""
    delivered = done(plan.periods[of], index=0, **changes)
    (only,) = compare(plan, [Delivery(of, delivered)], [delivered])
    return only


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
