"""A review as pandas tables."""

from __future__ import annotations

import math

from annotate.compare.sheet import sheet_rows
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Watched
from annotate.review.tables import repetition_table, round_table
from tests.annotate.reviews import as_planned, block, period, reps, review

SQUATS = block(name="Squat", movement="squat", rounds=2, work=30, recovery=20, reps=10)
PLAN = unroll(ClassPlan(blocks=(SQUATS,)))


def test_one_row_a_repetition_numbered_within_its_period() -> None:
    periods = [
        period(0, "work", 0, 9, "squat", reps(0, 3, 3, rounded=(2,))),
        period(1, "recovery", 9, 19, "march"),
        period(2, "work", 19, 25, "squat", reps(19, 2, 3)),
    ]
    table = repetition_table(review(periods))
    assert list(table["period"]) == [0, 0, 0, 2, 2]
    assert list(table["repetition"]) == [1, 2, 3, 1, 2]
    assert list(table["peak_s"]) == [1.5, 4.5, 7.5, 20.5, 23.5]
    assert table["back_change_deg"][1] == 30 and table["back_rounder"][1]
    assert math.isnan(table["back_change_deg"][0])
    assert table["back_reason"][0] == "not a bent-over movement"


def test_watched_points_are_columns() -> None:
    counted = reps(0, 2, 3)
    seen = Watched(point="heels", unit="trunk lengths", value=0.2)
    each = (counted.each[0].model_copy(update={"watched": (seen,)}), counted.each[1])
    squats = period(0, "work", 0, 6, "squat", counted.model_copy(update={"each": each}))
    table = repetition_table(review([squats]))
    assert table["heels"][0] == 0.2 and math.isnan(table["heels"][1])


def test_nothing_counted_is_an_empty_table_with_its_columns() -> None:
    table = repetition_table(review([period(0, "still", 0, 9, None)]))
    assert len(table) == 0 and {"period", "peak_s", "back_reason"} <= set(table)


def test_rounds_are_those_of_the_sheet() -> None:
    made = as_planned(PLAN)
    made = made.model_copy(update={"sheet": sheet_rows(made.periods, made.comparison)})
    table = round_table(made)
    assert list(table["row"]) == ["round", "round", "block", "class"]
    assert list(table["delivered_reps"]) == [10, 10, 20, 20]
    assert round_table(review([period(0, "still", 0, 9, None)])).empty
