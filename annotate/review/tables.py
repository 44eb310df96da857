"""A review as pandas tables: one row per repetition, or one row per round."""

from __future__ import annotations

import pandas as pd

from annotate.review.model import Review, SheetRow

_REPETITION_COLUMNS = (
    "period", "kind", "movement", "repetition", "start_s", "peak_s", "end_s", "side", "complete",
    "depth", "trunk_deg", "knee_flexion_deg", "back_change_deg", "back_uncertainty_deg",
    "back_rounder", "back_reason",
)  # fmt: skip


def repetition_table(review: Review) -> pd.DataFrame:
    """Every repetition of a review.

    Returns
    -------
    DataFrame
        One row per repetition, in time order. Times in seconds, angles in degrees; `depth` in
        degrees or trunk lengths, depending on the movement. A value is missing where it could not
        be judged; for the back, `back_reason` says why. `repetition` counts from 1 within its
        period; `period` is the period's index. Each watched point is a further column, named after
        the point.
    """
    rows = []
    for period in review.periods:
        for number, rep in enumerate(period.reps.each, 1):
            back = rep.back
            row: dict[str, object] = {
                "period": period.index,
                "kind": period.kind,
                "movement": period.movement,
                "repetition": number,
                "start_s": rep.start_s,
                "peak_s": rep.peak_s,
                "end_s": rep.end_s,
                "side": rep.side,
                "complete": rep.complete,
                "depth": rep.depth,
                "trunk_deg": rep.trunk_deg,
                "knee_flexion_deg": rep.knee_flexion_deg,
                "back_change_deg": back.arc_change_deg if back.assessable else None,
                "back_uncertainty_deg": back.uncertainty_deg if back.assessable else None,
                "back_rounder": back.rounded if back.assessable else None,
                "back_reason": None if back.assessable else back.reason,
            }
            rows.append(row | {point.point: point.value for point in rep.watched})
    points = dict.fromkeys(key for row in rows for key in row)
    columns = dict.fromkeys((*_REPETITION_COLUMNS, *points))
    return pd.DataFrame(rows, columns=list(columns))


def round_table(review: Review) -> pd.DataFrame:
    """Planned against delivered, round by round, as in the coach's sheet.

    Returns
    -------
    DataFrame
        One row for each round, block and unplanned period, and one for the class; see
        :class:`annotate.review.model.SheetRow` for the columns. Empty without a plan.
    """
    rows = [row.model_dump() for row in review.sheet]
    return pd.DataFrame(rows, columns=list(SheetRow.model_fields))
