"""What was left out, added, or done in another order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from annotate.review.model import Period
from tests.annotate.compare.rows import Answer, compared, told
from tests.annotate.reviews import done, period, planned
from tests.known import known

SQUATS = planned({"reps": 14})


# --- left out and added ---------------------------------------------------------------------------

ROUNDS = planned({"rounds": 3})
GONE = period(0, "absent", 30, 55, None)


def test_what_was_not_delivered_is_skipped() -> None:
    rows = compared(ROUNDS, [(0, done(ROUNDS.periods[0])), (1, None), (2, done(ROUNDS.periods[2]))])
    assert [r.status for r in rows] == ["as planned", "skipped", "as planned"]
    missing = rows[1]
    assert (missing.text, missing.delivered) == ("left out", None)
    assert (missing.start_diff_s, missing.duration_diff_s, missing.reps_diff) == (None, None, None)


@pytest.mark.parametrize(
    ("absence", "answers"),
    [
        pytest.param(1, [(0, 0), (1, None), (None, GONE), (2, 2)], id="right after it"),
        pytest.param(1, [(0, 0), (None, GONE), (1, None), (2, 2)], id="right before it"),
        pytest.param(0, [(None, GONE), (0, None), (1, None), (2, 2)], id="another one between"),
        pytest.param(1, [(0, 0), (1, None), (2, None), (None, GONE)], id="another one between too"),
    ],
)
def test_a_missing_period_beside_an_absence_is_not_assessable(
    absence: int, answers: list[tuple[None, Period] | tuple[int, None] | tuple[int, int]]
) -> None:
    filled = [(k, done(ROUNDS.periods[p]) if isinstance(p, int) else p) for k, p in answers]
    rows = compared(ROUNDS, filled)
    assert [known(r.planned).index for r in rows] == [0, 1, 2]  # the absence itself is no row
    missing = rows[1]
    assert missing.status == "partial"
    assert missing.text == "not assessable: nobody in the picture for 25 s there"
    assert missing.delivered == absence


@pytest.mark.parametrize(
    "answers", [[(0, None), (1, 1), (None, GONE)], [(None, GONE), (0, 0), (1, None)]]
)
def test_an_absence_behind_something_seen_explains_nothing(
    answers: list[tuple[None, Period] | tuple[int, None] | tuple[int, int]],
) -> None:
    two = planned({"rounds": 2})
    filled = [(k, done(two.periods[p]) if isinstance(p, int) else p) for k, p in answers]
    assert [r.status for r in compared(two, filled)].count("skipped") == 1


def test_a_stop_beside_a_missing_period_is_no_absence() -> None:
    stop = period(0, "still", 30, 55, None)
    rows = compared(ROUNDS, [(0, done(ROUNDS.periods[0])), (None, stop), (1, None), (2, None)])
    assert [r.status for r in rows] == ["as planned", "added", "skipped", "skipped"]


@pytest.mark.parametrize(
    ("kind", "movement", "words"),
    [
        ("work", "jumping-jack", "not in the plan: 12 s, Jumping jack"),
        ("work", None, "not in the plan: 12 s, unknown movement"),
        ("still", None, "not in the plan: 12 s, nobody exercising"),
    ],
)
def test_what_nobody_planned_is_added(kind: str, movement: str | None, words: str) -> None:
    extra = period(0, kind, 30, 42.4, movement)
    rows = compared(SQUATS, [(0, done(SQUATS.periods[0])), (None, extra)])
    assert told(rows) == [("Squat", "as planned", ""), ("-", "added", words)]
    added = rows[1]
    assert (added.delivered, added.start_diff_s, added.duration_diff_s) == (1, None, None)


def test_an_absence_nobody_planned_is_no_row() -> None:
    assert len(compared(SQUATS, [(0, done(SQUATS.periods[0])), (None, GONE)])) == 1


# --- order ----------------------------------------------------------------------------------------

TWO_EXERCISES = planned(
    {"rounds": 2, "recovery": 20, "recovery_movement": "march"},
    {"name": "Knee lift", "movement": "knee-lift", "work": 25, "recovery": 20,
     "recovery_movement": "march"},
)  # fmt: skip


def in_turn(order: Sequence[int | None], **changes: Any) -> list[Answer]:
    """These periods one after the other; None is a stop of 5 s nobody planned."""
    out: list[Answer] = []
    clock_s = 0.0
    for index in order:
        if index is None:
            found = period(0, "still", clock_s, clock_s + 5, None)
        else:
            asked = TWO_EXERCISES.periods[index]
            found = done(asked, late_s=clock_s - asked.start_s)
            if index == 4:
                found = found.model_copy(update=changes)
        out.append((index, found))
        clock_s = found.end_s
    return out


def test_an_exercise_done_out_of_order_is_told_with_its_time_and_its_recovery_is_not() -> None:
    rows = compared(TWO_EXERCISES, in_turn([4, 5, 0, 1, 2, 3]))
    assert told(rows) == [
        ("Squat, round 1", "as planned", ""),
        ("Squat, round 1, recovery", "as planned", ""),
        ("Squat, round 2", "as planned", ""),
        ("Squat, round 2, recovery", "as planned", ""),
        ("Knee lift", "swapped", "Knee lift with pull-down done out of order, at 0:00"),
        ("Knee lift, recovery", "as planned", ""),
    ]
    assert [known(r.planned).index for r in rows] == list(range(6))
    assert [r.delivered for r in rows] == [2, 3, 4, 5, 0, 1]
    assert rows[4].start_diff_s == -100.0


def test_what_else_differs_is_told_behind_the_order() -> None:
    rows = compared(TWO_EXERCISES, in_turn([0, 1, 4, 5, 2, 3], duration_s=15.0))
    assert told(rows)[4] == (
        "Knee lift", "swapped",
        "Knee lift with pull-down done out of order, at 0:50; 10 s too short (15 instead of 25 s)",
    )  # fmt: skip
    assert rows[4].duration_diff_s == -10.0


def test_what_was_left_out_does_not_put_the_rest_out_of_order() -> None:
    left_out: list[Answer] = [(k, None) for k in range(4)]
    for answers in ([*left_out, *in_turn([4, 5])], [*in_turn([4, 5]), *left_out]):
        rows = compared(TWO_EXERCISES, answers)
        assert [r.status for r in rows] == ["skipped"] * 4 + ["as planned"] * 2


def test_what_was_added_stays_behind_what_it_was_done_after() -> None:
    rows = compared(TWO_EXERCISES, in_turn([None, 4, 5, None, 0, None, 1, 2, 3, None, None]))
    assert [None if r.planned is None else r.planned.index for r in rows] == [
        None, 0, None, 1, 2, 3, None, None, 4, 5, None
    ]  # fmt: skip
    # In the order of delivery among themselves.
    assert [r.delivered for r in rows if r.planned is None] == [0, 5, 9, 10, 3]
