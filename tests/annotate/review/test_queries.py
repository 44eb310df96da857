"""Questions of a review, on reviews made by hand."""

from __future__ import annotations

import pytest

from annotate.plan.read import parse_plan
from annotate.plan.unroll import PlannedPeriod, unroll
from annotate.review.model import BackAssessed, Comparison, Period, RepSet
from annotate.review.queries import (
    delivered_as,
    draft_title,
    flagged_reps,
    label_of,
    labelled,
    planned_cadence_per_min,
    round_name,
    rows_by_block,
    rows_by_delivered,
    rows_by_planned,
    rows_by_round,
    rows_through_block,
    sets_by_movement,
)
from tests.annotate.reviews import as_planned, period, reps, review
from tests.known import known

PLAN = unroll(
    parse_plan(
        """\
title: Quay
blocks:
  - {name: Warm-up, kind: warm-up, movement: march, duration: 60}
  - {name: Squat, movement: squat, rounds: 2, work: 30, recovery: 20, reps: 15}
  - name: Circuit
    rounds: 2
    stations:
      - {movement: push-up, work: 20, cadence: 28/min}
      - {movement: plank, work: 20}
  - {name: Lunge, movement: side-lunge, work: 30, sides: each, reps: 8}
""",
        "quay.yaml",
    )
)


def row(planned: int | None, delivered: int | None) -> Comparison:
    return Comparison(
        planned=None if planned is None else PLAN.periods[planned],
        delivered=delivered, status="added" if planned is None else "as planned", text="",
    )  # fmt: skip


# The second squat is left out, something is added inside the circuit.
ROWS = (row(0, 0), row(1, 1), row(2, 2), row(3, None), row(4, None), row(5, 3), row(None, 4),
        row(6, 5), row(7, 6), row(8, 7), row(9, 8), row(10, 9))  # fmt: skip
PERIODS = tuple(
    period(i, "work", 10.0 * i, 10.0 * i + 10, "squat", reps(10.0 * i, 2, 5.0)) for i in range(10)
)


def test_rows_are_found_by_either_index() -> None:
    assert {k: r.planned and r.planned.index for k, r in rows_by_delivered(ROWS).items()} == {
        0: 0, 1: 1, 2: 2, 3: 5, 4: None, 5: 6, 6: 7, 7: 8, 8: 9, 9: 10,
    }  # fmt: skip
    assert {k: r.delivered for k, r in rows_by_planned(ROWS).items()} == {
        0: 0, 1: 1, 2: 2, 3: None, 4: None, 5: 3, 6: 5, 7: 6, 8: 7, 9: 8, 10: 9,
    }  # fmt: skip


def test_blocks_have_their_planned_rows_in_order() -> None:
    found = rows_by_block(ROWS)
    assert {k: [known(r.planned).index for r in rows] for k, rows in found.items()} == {
        0: [0], 1: [1, 2, 3, 4], 2: [5, 6, 7, 8], 3: [9, 10],
    }  # fmt: skip


def test_a_block_with_what_came_in_between() -> None:
    through = rows_through_block(ROWS, 2)
    assert [r.planned and r.planned.index for r in through] == [5, None, 6, 7, 8]
    assert len(rows_through_block(ROWS, 1)) == 4
    assert rows_through_block(ROWS, 99) == []


def test_a_round_of_a_circuit_has_all_its_stations() -> None:
    found = rows_by_round(ROWS)
    assert {k: [known(r.planned).index for r in rows] for k, rows in found.items()} == {
        (1, 1): [1, 2], (1, 2): [3, 4], (2, 1): [5, 6], (2, 2): [7, 8], (3, 1): [9, 10],
    }  # fmt: skip


def test_what_a_row_was_delivered_as() -> None:
    assert delivered_as(ROWS[5], PERIODS) is PERIODS[3]
    assert delivered_as(ROWS[3], PERIODS) is None
    assert delivered_as(None, PERIODS) is None


@pytest.mark.parametrize(
    ("kind", "movement", "label"),
    [
        ("work", "hip-hinge", "Hip hinge"),
        ("work", "pier-hop", "pier-hop"),  # a word of one's own stays as written
        ("work", None, "Work"),
        ("still", None, "Still"),
    ],
)
def test_a_period_is_called_as_planned_else_by_what_was_done(
    kind: str, movement: str | None, label: str
) -> None:
    done = period(1, kind, 0, 9, movement)
    assert label_of(done, ROWS[1]) == "Squat, round 1"
    assert label_of(done, None) == label_of(done, ROWS[6]) == label


def test_a_plan_without_a_name_does_not_leave_a_period_without_one() -> None:
    nameless = row(0, 0).model_copy(
        update={"planned": PLAN.periods[0].model_copy(update={"block": ""})}
    )
    assert label_of(period(0, "warm-up", 0, 9, "march"), nameless) == "March"


def test_labels_are_filled_in_by_the_periods_own_rows() -> None:
    labels = [p.label for p in labelled(PERIODS, ROWS)]
    assert labels == [
        "Warm-up", "Squat, round 1", "Squat, round 1, recovery", "Circuit: push-up, round 1",
        "Squat", "Circuit: plank, round 1", "Circuit: push-up, round 2", "Circuit: plank, round 2",
        "Lunge, left", "Lunge, right",
    ]  # fmt: skip
    assert [p.label for p in labelled(PERIODS[:2], ())] == ["Squat", "Squat"]


def test_shorter_labels_where_there_is_less_room() -> None:
    planned = [PLAN.periods[i] for i in (0, 1, 2, 5, 9)]
    assert [p.label_in_block for p in planned] == [
        "Warm-up", "round 1", "round 1, recovery", "push-up, round 1", "left",
    ]  # fmt: skip
    assert [p.short_label for p in planned] == [
        "Warm-up",
        "Squat 1",
        "rest",
        "push-up 1",
        "Lunge L",
    ]


def test_a_round_is_named_by_its_block() -> None:
    assert round_name(PLAN.periods[6]) == "Circuit, round 1 of 2"


def test_planned_cadence_is_the_one_given_else_that_of_the_repetitions() -> None:
    asked: PlannedPeriod = PLAN.periods[1]
    assert planned_cadence_per_min(asked) == 30
    assert planned_cadence_per_min(asked.model_copy(update={"cadence_per_min": 20.0})) == 20
    assert planned_cadence_per_min(PLAN.periods[5]) == 28
    assert planned_cadence_per_min(PLAN.periods[0]) is None
    assert planned_cadence_per_min(asked.model_copy(update={"reps": 0})) is None


def test_flagged_repetitions_come_with_their_place() -> None:
    done = period(0, "work", 0, 30, "squat", reps(0, 10, 3, rounded=(9, 10)))
    assert [(i, rep.start_s) for i, rep in flagged_reps(done)] == [(8, 24), (9, 27)]
    flat = BackAssessed(arc_change_deg=3, rounded=False)
    each = tuple(rep.model_copy(update={"back": flat}) for rep in done.reps.each)
    assert (
        flagged_reps(done.model_copy(update={"reps": RepSet(count=10, confidence=1, each=each)}))
        == []
    )


def test_sets_of_a_movement_are_work_in_which_repetitions_were_found() -> None:
    counted = reps(0, 4, 2)
    done: list[Period] = [
        period(0, "warm-up", 0, 9, "squat", counted),
        period(1, "work", 9, 18, "squat", counted),
        period(2, "work", 18, 27, "march", counted),
        period(3, "work", 27, 36, "squat"),
        period(4, "work", 36, 45, None, counted),
        period(5, "work", 45, 54, "squat", counted),
    ]
    found = sets_by_movement(done)
    assert {k: [p.index for p in sets] for k, sets in found.items()} == {
        "squat": [1, 5], "march": [2],
    }  # fmt: skip


def test_a_drafted_plan_is_called_like_the_plan_else_after_the_clip() -> None:
    assert draft_title(as_planned(PLAN)) == "Quay"
    assert draft_title(review(PERIODS)) == "Draft from take: 1 & 2.mp4"
