"""Sums over the class and over each block, planned and delivered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import BlockTotals, Comparison, Period, Totals
from annotate.review.queries import counted_reps, delivered_as, rows_by_block


def totals(
    timeline: Timeline | None, comparison: Sequence[Comparison], periods: Sequence[Period]
) -> Totals:
    """Sum time and repetitions over the class and over each block.

    The class lasts from its first to its last activity. Before and after, an empty picture and
    standing about do not count; in between they do.

    Parameters
    ----------
    timeline : Timeline or None
        The unrolled plan; without it the planned sums are None and there are no blocks.
    comparison : sequence of Comparison
    periods : sequence of Period
        As delivered, in time order.
    """
    active = [p for p in periods if p.kind not in ("still", "absent")]
    delivered_s = active[-1].end_s - active[0].start_s if active else 0.0
    return Totals(
        planned_s=timeline.total_s if timeline else None,
        delivered_s=round(delivered_s, 2),
        spare_s=round(timeline.total_s - delivered_s, 2) if timeline else None,
        planned_work_s=timeline.work_s if timeline else None,
        delivered_work_s=_total_s(p for p in periods if p.kind == "work"),
        planned_recovery_s=timeline.recovery_s if timeline else None,
        delivered_recovery_s=_total_s(p for p in periods if p.kind == "recovery"),
        blocks=_all_block_totals(comparison, periods),
    )


def _all_block_totals(
    comparison: Sequence[Comparison], periods: Sequence[Period]
) -> tuple[BlockTotals, ...]:
    """Totals of each block of exercises, in the plan's order."""
    blocks = (
        [
            (row.planned, delivered_as(row, periods))
            for row in rows
            if row.planned is not None and row.planned.kind in ("work", "recovery")
        ]
        for rows in rows_by_block(comparison).values()
    )
    return tuple(_block_totals(pairs) for pairs in blocks if pairs)


def _block_totals(pairs: Sequence[tuple[PlannedPeriod, Period | None]]) -> BlockTotals:
    work = [p for p, _ in pairs if p.kind == "work"]
    # By what was done, as in the sums of the class: standing still in a work period is no work.
    done = [d for _, d in pairs if d is not None and d.kind == "work"]
    planned_work = _total_s(work)
    planned_rest = _total_s(p for p, _ in pairs if p.kind == "recovery")
    delivered_work = _total_s(done)
    delivered_rest = _total_s(d for _, d in pairs if d is not None and d.kind == "recovery")
    asked = [p.reps for p in work]
    sided = [d for d in done if d.reps.left is not None and d.reps.right is not None]
    cadences = [d.reps.cadence_per_min for d in done if d.reps.cadence_per_min is not None]
    return BlockTotals(
        block=pairs[0][0].block,
        rounds_planned=len({p.round for p in work}),
        rounds_delivered=len({p.round for p, d in pairs if d is not None and d.kind == "work"}),
        planned_work_s=planned_work,
        delivered_work_s=delivered_work,
        planned_recovery_s=planned_rest,
        delivered_recovery_s=delivered_rest,
        planned_work_to_recovery=_work_to_recovery(planned_work, planned_rest),
        delivered_work_to_recovery=_work_to_recovery(delivered_work, delivered_rest),
        planned_reps=None if None in asked else sum(a for a in asked if a is not None),
        delivered_reps=counted_reps(d for _, d in pairs if d is not None),
        left=sum(d.reps.left or 0 for d in sided) if sided else None,
        right=sum(d.reps.right or 0 for d in sided) if sided else None,
        cadence_per_min=round(sum(cadences) / len(cadences), 1) if cadences else None,
    )


def _total_s(periods: Iterable[PlannedPeriod | Period]) -> float:
    return round(sum(p.duration_s for p in periods), 2)


def _work_to_recovery(work_s: float, recovery_s: float) -> float | None:
    return round(work_s / recovery_s, 2) if recovery_s > 0 else None
