"""Questions asked of a review, each answered in one place.

Which row of the comparison a period belongs to, what it is called, which repetitions are flagged,
what the plan asks for. They take the periods and the comparison, not the review, so that they can
be used while a review is being made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.catalogue.model import name_of
from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Period, Rep, Review

# What a period is called that could not be judged.
NOT_ASSESSABLE = "Not assessable"


def rows_by_delivered(comparison: Iterable[Comparison]) -> dict[int, Comparison]:
    """Rows by the index of the delivered period; a skipped period has no entry."""
    return {row.delivered: row for row in comparison if row.delivered is not None}


def rows_by_planned(comparison: Iterable[Comparison]) -> dict[int, Comparison]:
    """Rows by the index of the planned period; an added period has no entry."""
    return {row.planned.index: row for row in comparison if row.planned is not None}


def rows_by_block(comparison: Iterable[Comparison]) -> dict[int, list[Comparison]]:
    """Planned rows by ``block_index``, in the plan's order."""
    blocks: dict[int, list[Comparison]] = {}
    for row in comparison:
        if row.planned is not None:
            blocks.setdefault(row.planned.block_index, []).append(row)
    return blocks


def rows_through_block(comparison: Sequence[Comparison], block_index: int) -> list[Comparison]:
    """Rows from the first to the last of a block, including periods added in between."""
    at = [
        i
        for i, row in enumerate(comparison)
        if row.planned is not None and row.planned.block_index == block_index
    ]
    return list(comparison[at[0] : at[-1] + 1]) if at else []


def rows_by_round(comparison: Iterable[Comparison]) -> dict[tuple[int, int], list[Comparison]]:
    """Planned rows by ``(block_index, round)``, in the plan's order; rows outside rounds left out.

    A round of a circuit includes all its stations.
    """
    rounds: dict[tuple[int, int], list[Comparison]] = {}
    for row in comparison:
        if row.planned is not None and row.planned.round is not None:
            rounds.setdefault((row.planned.block_index, row.planned.round), []).append(row)
    return rounds


def delivered_as(row: Comparison | None, periods: Sequence[Period]) -> Period | None:
    """The delivered period of a row; None where it was skipped, or there is no row."""
    return None if row is None or row.delivered is None else periods[row.delivered]


def label_of(period: Period, row: Comparison | None) -> str:
    """What a delivered period is called: its planned name, else the movement or the kind.

    Parameters
    ----------
    period : Period
    row : Comparison or None
        The row of this period, from :func:`rows_by_delivered`.
    """
    if row is not None and row.planned is not None and row.planned.label:
        return row.planned.label
    if period.not_assessable is not None:
        return NOT_ASSESSABLE
    return name_of(period.movement) if period.movement else period.kind.capitalize()


def labelled(periods: Sequence[Period], comparison: Iterable[Comparison]) -> tuple[Period, ...]:
    """The periods with their labels filled in."""
    rows = rows_by_delivered(comparison)
    return tuple(p.model_copy(update={"label": label_of(p, rows.get(p.index))}) for p in periods)


def round_label(period: PlannedPeriod) -> str:
    """The round a planned period belongs to: ``Squat, round 1 of 3``."""
    return f"{period.block}, round {period.round} of {period.rounds}"


def planned_cadence_per_min(period: PlannedPeriod) -> float | None:
    """Planned cadence, else planned repetitions over planned time; None without either."""
    if period.cadence_per_min is not None:
        return period.cadence_per_min
    return 60.0 * period.reps / period.duration_s if period.reps else None


def is_flagged(rep: Rep) -> bool:
    """Whether a repetition is flagged: its back line is rounder than in the baseline."""
    return rep.back.assessable and rep.back.rounded


def flagged_reps(period: Period) -> list[tuple[int, Rep]]:
    """Flagged repetitions of a period with their indices, from 0."""
    return [(i, rep) for i, rep in enumerate(period.reps.each) if is_flagged(rep)]


def sets_by_movement(periods: Iterable[Period]) -> dict[str, list[Period]]:
    """Work periods in which repetitions were found, by movement; unknown movements left out."""
    sets: dict[str, list[Period]] = {}
    for period in periods:
        if period.kind == "work" and period.movement is not None and period.reps.each:
            sets.setdefault(period.movement, []).append(period)
    return sets


def counted_reps(done: Iterable[Period]) -> int | None:
    """Repetitions counted in delivered work; None where there was nothing to count them on."""
    done = list(done)
    counts = [p.reps.count for p in done if p.kind == "work" and p.reps.count is not None]
    if not counts and any(p.reps.count is None for p in done):
        return None
    return sum(counts)


def draft_title(review: Review) -> str:
    """Title of a plan that is drafted from a review."""
    return review.plan.title if review.plan else f"Draft from {review.clip.name}"
