"""The coach's sheet: rounds, blocks and the class, each with what was planned and delivered."""

from __future__ import annotations

import csv
import io

import pytest

from annotate.compare.sheet import COLUMNS, sheet_csv, sheet_markdown, sheet_rows
from annotate.plan.model import Block
from annotate.review.model import SheetRow
from tests.annotate.compare.rows import (
    CLASS,
    LIFTS,
    REST_1,
    REST_2,
    SQUAT_1,
    SQUAT_2,
    Answer,
    answers,
    compared,
)
from tests.annotate.reviews import counted, period, planned, review


def sheet(given: list[Answer]) -> list[SheetRow]:
    delivered = [p for _, p in given if p is not None]
    return list(sheet_rows(delivered, compared(CLASS, given)))


def named(rows: list[SheetRow], name: str) -> SheetRow:
    (row,) = [r for r in rows if r.name == name]
    return row


def test_a_block_of_several_rounds_has_a_row_for_each_and_their_sum() -> None:
    assert [(r.row, r.name) for r in sheet(answers(CLASS))] == [
        ("block", "Warm-up"),
        ("round", "Squat, round 1 of 2"), ("round", "Squat, round 2 of 2"), ("block", "Squat"),
        ("block", "Knee lift"),
        ("class", "Whole class"),
    ]  # fmt: skip


def test_a_round_tells_planned_and_delivered() -> None:
    row = named(
        sheet(
            answers(
                CLASS, {
                    SQUAT_2: {"late_s": 4.0, "lasts_s": 24.0,
                              "reps": counted(9, cadence_per_min=21.4)},
                    REST_2: {"lasts_s": 26.5},
                }
            )
        ),
        "Squat, round 2 of 2",
    )  # fmt: skip
    assert (row.planned_start_s, row.delivered_start_s) == (110.0, 114.0)
    assert (row.planned_work_s, row.delivered_work_s) == (30.0, 24.0)
    assert (row.planned_recovery_s, row.delivered_recovery_s) == (20.0, 26.5)
    assert (row.planned_reps, row.delivered_reps, row.cadence_per_min) == (14, 9, 21.4)
    assert row.difference == (
        "6 s too short (24 instead of 30 s); 5 repetitions fewer (9 instead of 14); "
        "recovery: 6 s too long (26 instead of 20 s)"
    )


def test_a_block_adds_up_its_rounds() -> None:
    rows = sheet(
        answers(
            CLASS,
            {
                SQUAT_1: {"reps": counted(13, cadence_per_min=28.0), "lasts_s": 29.0},
                SQUAT_2: {"reps": counted(10, cadence_per_min=23.0)},
            },
        )
    )
    block = named(rows, "Squat")
    assert (block.planned_work_s, block.delivered_work_s) == (60.0, 59.0)
    assert (block.planned_recovery_s, block.delivered_recovery_s) == (40.0, 40.0)
    assert (block.planned_reps, block.delivered_reps) == (28, 23)
    assert block.cadence_per_min == 25.5  # the mean of the two


def test_the_class_adds_up_everything_but_no_cadence() -> None:
    rows = sheet(answers(CLASS, {SQUAT_1: {"reps": counted(14, cadence_per_min=28.0)}}))
    whole = rows[-1]
    assert (whole.planned_work_s, whole.delivered_work_s) == (100.0, 100.0)
    assert (whole.planned_recovery_s, whole.delivered_recovery_s) == (40.0, 40.0)
    assert (whole.planned_reps, whole.delivered_reps) == (44, 44)
    assert (whole.planned_start_s, whole.delivered_start_s) == (0.0, 0.0)
    assert whole.cadence_per_min is None


def test_sides_are_added_up_where_they_were_told() -> None:
    rows = sheet(answers(CLASS, {LIFTS: {"reps": counted(13, 6, 7)}}))
    assert [
        (r.delivered_left, r.delivered_right) for r in rows if r.name in ("Squat", "Knee lift")
    ] == [(None, None), (6, 7)]
    assert (rows[-1].delivered_left, rows[-1].delivered_right) == (6, 7)
    one_only = sheet(answers(CLASS, {LIFTS: {"reps": counted(13, 6, None)}}))
    assert named(one_only, "Knee lift").delivered_left is None


def test_repetitions_are_not_planned_where_one_round_has_none() -> None:
    free = planned({"reps": 10}, {"name": "Press", "movement": "press"})
    given = answers(free, {0: {"reps": counted(10)}, 1: {"reps": counted(10)}})
    rows = sheet_rows([p for _, p in given if p], compared(free, given))
    assert [r.planned_reps for r in rows] == [10, None, None]
    assert [r.delivered_reps for r in rows] == [10, 10, 20]


def test_what_was_left_out_is_planned_only() -> None:
    rows = sheet(answers(CLASS, {SQUAT_2: None, REST_2: None}))
    missing = named(rows, "Squat, round 2 of 2")
    assert (missing.planned_work_s, missing.delivered_work_s) == (30.0, 0.0)
    assert (missing.delivered_start_s, missing.delivered_reps) == (None, 0)
    assert missing.difference == "left out; recovery: left out"
    assert named(rows, "Squat").delivered_work_s == 30.0


def test_what_nobody_planned_has_a_row_where_it_was_done() -> None:
    stop = period(0, "still", 90, 102, None)
    jacks = period(0, "work", 102, 120, "jumping-jack", counted(20))
    given = answers(CLASS)
    given[SQUAT_2:SQUAT_2] = [(None, stop), (None, jacks)]
    rows = sheet(given)
    (added,) = [r for r in rows if r.row == "added"]
    assert (added.name, added.planned_start_s, added.delivered_start_s) == (
        "Not in the plan", None, 90.0
    )  # fmt: skip
    assert (added.planned_work_s, added.delivered_work_s, added.planned_reps) == (0, 18.0, None)
    assert added.difference == (
        "not in the plan: 12 s, nobody exercising; not in the plan: 18 s, Jumping jack"
    )


@pytest.mark.parametrize("place", [SQUAT_1, REST_1, SQUAT_2, REST_2, LIFTS])
def test_what_nobody_planned_does_not_cut_a_block_in_two(place: int) -> None:
    given = answers(CLASS)
    given.insert(place, (None, period(0, "still", 90, 102, None)))
    rows = sheet(given)
    planned_rows = [r for r in rows if r.row != "added"]
    assert [r.name for r in planned_rows] == [r.name for r in sheet(answers(CLASS))]
    assert [r.planned_work_s for r in planned_rows] == [0, 30, 30, 60, 40, 100]
    # Behind the round in which it was done.
    before = {SQUAT_1: "Warm-up", REST_1: "Squat, round 1 of 2", SQUAT_2: "Squat, round 1 of 2",
              REST_2: "Squat, round 2 of 2", LIFTS: "Squat, round 2 of 2"}  # fmt: skip
    at = [r.row for r in rows].index("added")
    assert [r.name for r in rows[:at] if r.name != "Squat"][-1] == before[place]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, ""),
        ({SQUAT_1: {"lasts_s": 20.0}}, "10 s too short (20 instead of 30 s)"),
        ({SQUAT_1: {"lasts_s": 20.0}, REST_2: {"lasts_s": 30.0}}, "2 differences"),
    ],
)
def test_a_block_tells_one_difference_in_full_and_of_more_how_many(
    changes: dict[int, dict[str, float]], words: str
) -> None:
    given = [
        (k, p and p.model_copy(update={"reps": counted(14, confidence=0.0)}))
        for k, p in answers(CLASS, changes)
    ]
    assert named(sheet(given), "Squat").difference == words
    assert sheet(given)[-1].difference == words


def test_stations_of_a_circuit_are_one_block() -> None:
    circuit = planned(
        Block.model_validate(
            {"name": "Circuit", "rounds": 2, "stations": [
                {"movement": "squat", "work": 20}, {"movement": "press", "work": 20}]}
        )
    )  # fmt: skip
    given = answers(circuit)
    rows = sheet_rows([p for _, p in given if p], compared(circuit, given))
    assert [r.name for r in rows] == [
        "Circuit, round 1 of 2", "Circuit, round 2 of 2", "Circuit", "Whole class"
    ]  # fmt: skip


def test_nothing_to_compare_has_no_rows() -> None:
    assert sheet_rows([period(0, "work", 0, 30, "squat")], []) == ()


# --- as text ----------------------------------------------------------------------------------


def test_the_table_of_values_leaves_empty_what_is_not_known() -> None:
    rows = sheet(answers(CLASS, {SQUAT_2: None, REST_2: None}))
    read = list(csv.reader(io.StringIO(sheet_csv(rows))))
    assert tuple(read[0]) == COLUMNS
    missing = dict(zip(COLUMNS, read[3], strict=True))
    assert missing["name"] == "Squat, round 2 of 2"
    assert (missing["delivered_start_s"], missing["cadence_per_min"]) == ("", "")
    assert (missing["planned_work_s"], missing["delivered_reps"]) == ("30.0", "0")


def test_the_printed_table_tells_planned_and_delivered_in_each_cell() -> None:
    given = answers(CLASS, {SQUAT_1: {"reps": counted(13, cadence_per_min=27.6)}, LIFTS: None})
    rows = tuple(sheet(given))
    delivered = [p for _, p in given if p is not None]
    lines = sheet_markdown(review(delivered, plan=CLASS, sheet=rows)).splitlines()
    assert lines[0] == "# Pier: planned / delivered"
    assert [x.removeprefix("| ").removesuffix(" |") for x in lines[4:]] == [
        "**Warm-up** | 0:00 / 0:00 | 0:00 / 0:00 | 0:00 / 0:00 | - / 0 |  |  | ",
        "Squat, round 1 of 2 | 1:00 / 1:00 | 0:30 / 0:30 | 0:20 / 0:20 | 14 / 13 |  | 28/min | ",
        "Squat, round 2 of 2 | 1:50 / 1:50 | 0:30 / 0:30 | 0:20 / 0:20 | 14 / 14 |  |  | ",
        "**Squat** | 1:00 / 1:00 | 1:00 / 1:00 | 0:40 / 0:40 | 28 / 27 |  | 28/min | ",
        "**Knee lift** | 2:40 / - | 0:40 / 0:00 | 0:00 / 0:00 | 16 / 0 |  |  | left out",
        "**Whole class** | 0:00 / 0:00 | 1:40 / 1:00 | 0:40 / 0:40 | 44 / 27 |  |  | left out",
    ]  # fmt: skip


def test_no_repetitions_asked_and_none_wanted_are_two_things() -> None:
    for asked, cell in ((None, "| - / 0 |"), (0, "| 0 / 0 |")):
        plan = planned({"reps": asked})
        given = answers(plan)
        delivered = [p for _, p in given if p is not None]
        rows = sheet_rows(delivered, compared(plan, given))
        assert cell in sheet_markdown(review(delivered, plan=plan, sheet=rows))
