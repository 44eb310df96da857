"""Planned against delivered: status, signs, tolerances, movement, and the words for them."""

from __future__ import annotations

import pytest

from annotate.compare.compare import compare
from annotate.periods.label import Delivery
from annotate.plan.model import Block
from tests.annotate.compare.rows import compared, row
from tests.annotate.reviews import counted, done, period, planned

SQUATS = planned({"reps": 14})
LIFTS = planned({"movement": "knee-lift", "reps": {"left": 8, "right": 8}})


# --- as planned -----------------------------------------------------------------------------------


def test_what_was_done_exactly_as_planned_needs_no_words() -> None:
    found = row(SQUATS)
    assert (found.status, found.text, found.delivered, found.tempo) == ("as planned", "", 0, None)
    assert (found.start_diff_s, found.duration_diff_s, found.reps_diff) == (0.0, 0.0, 0)


def test_repetitions_are_those_of_the_counted_periods_not_of_the_uncounted_delivery() -> None:
    uncounted = period(0, "work", 0, 30, "squat")
    (found,) = compare(SQUATS, [Delivery(0, uncounted)], [done(SQUATS.periods[0])])
    assert (found.status, found.reps_diff) == ("as planned", 0)


def test_the_row_names_the_delivered_period_by_its_place_in_the_take() -> None:
    rows = compared(SQUATS, [(None, period(0, "still", 0, 9, None)), (0, done(SQUATS.periods[0]))])
    assert [r.delivered for r in rows] == [0, 1]


# --- signs and differences ------------------------------------------------------------------------


@pytest.mark.parametrize(("late_s", "told_s"), [(3.0, 3.0), (-3.0, -3.0), (0.126, 0.13)])
def test_a_late_start_is_positive_and_an_early_one_negative(late_s: float, told_s: float) -> None:
    second_round = planned({"rounds": 2})
    found = row(second_round, of=1, late_s=late_s)
    assert (found.start_diff_s, found.duration_diff_s) == (told_s, 0.0)
    assert found.status == "as planned"  # an earlier period told what it lost


@pytest.mark.parametrize(("lasts_s", "told_s"), [(31.5, 1.5), (28.5, -1.5), (30.126, 0.13)])
def test_too_long_is_positive_and_too_short_negative(lasts_s: float, told_s: float) -> None:
    assert row(SQUATS, lasts_s=lasts_s).duration_diff_s == told_s


def test_more_repetitions_are_positive_and_fewer_negative_on_each_side_too() -> None:
    found = row(LIFTS, reps=counted(18, 7, 11))
    assert (found.reps_diff, found.left_diff, found.right_diff) == (2, -1, 3)


def test_what_the_plan_does_not_ask_has_no_difference() -> None:
    found = row(planned({}), reps=counted(12, 6, 6))
    assert (found.status, found.text) == ("as planned", "")
    assert (found.reps_diff, found.left_diff, found.right_diff) == (None, None, None)


def test_sides_that_could_not_be_told_have_no_difference() -> None:
    found = row(LIFTS, reps=counted(16))
    assert (found.status, found.reps_diff) == ("as planned", 0)
    assert (found.left_diff, found.right_diff) == (None, None)


# --- tolerance in seconds -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lasts_s", "status", "words"),
    [
        (28.0, "as planned", ""),
        (27.9, "short", "2 s too short (28 instead of 30 s)"),
        (32.0, "as planned", ""),
        (32.1, "long", "2 s too long (32 instead of 30 s)"),
        (13.0, "short", "17 s too short (13 instead of 30 s)"),
    ],
)
def test_time_is_told_only_beyond_two_seconds(lasts_s: float, status: str, words: str) -> None:
    found = row(planned({}), lasts_s=lasts_s)
    assert (found.status, found.text) == (status, words)


@pytest.mark.parametrize(("lasts_s", "status"), [(25.0, "as planned"), (24.9, "short")])
def test_the_plans_own_tolerance_in_seconds_decides(lasts_s: float, status: str) -> None:
    assert row(planned({}, tolerance={"seconds": 5}), lasts_s=lasts_s).status == status


def test_whole_seconds_in_the_words_add_up() -> None:
    # 3.8 s are missing, but 30 less 27 is 3.
    found = row(planned({"work": 30.4}), lasts_s=26.6)
    assert found.text == "3 s too short (27 instead of 30 s)"
    assert found.duration_diff_s == -3.8


@pytest.mark.parametrize(
    ("lasts_s", "words"),
    [
        (29.6, "0.4 s too short (29.6 instead of 30.0 s)"),
        (30.4, "0.4 s too long (30.4 instead of 30.0 s)"),
        (30.24, "0.2 s too long (30.2 instead of 30.0 s)"),
        (30.04, "0.04 s too long (30.04 instead of 30.00 s)"),
    ],
)
def test_a_tolerance_below_a_second_is_told_in_the_digits_it_needs(
    lasts_s: float, words: str
) -> None:
    assert row(planned({}, tolerance={"seconds": 0.03}), lasts_s=lasts_s).text == words


# --- tolerance in repetitions ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "status", "words"),
    [
        (13, "as planned", ""),
        (12, "partial", "2 repetitions fewer (12 instead of 14)"),
        (15, "as planned", ""),
        (16, "long", "2 repetitions more (16 instead of 14)"),
    ],
)
def test_repetitions_are_told_only_beyond_one(count: int, status: str, words: str) -> None:
    found = row(SQUATS, reps=counted(count))
    assert (found.status, found.text, found.reps_diff) == (status, words, count - 14)


def test_the_plans_own_tolerance_in_repetitions_decides() -> None:
    exact = planned({"reps": 14}, tolerance={"reps": 0})
    assert row(exact, reps=counted(14)).text == ""
    assert row(exact, reps=counted(13)).text == "1 repetition fewer (13 instead of 14)"
    loose = planned({"reps": 14}, tolerance={"reps": 3})
    assert row(loose, reps=counted(11)).text == ""
    assert row(loose, reps=counted(18)).text == "4 repetitions more (18 instead of 14)"


def test_time_gives_the_status_and_the_repetitions_are_told_behind_it() -> None:
    short = row(SQUATS, lasts_s=20, reps=counted(9))
    assert (short.status, short.text) == (
        "short", "10 s too short (20 instead of 30 s); 5 repetitions fewer (9 instead of 14)"
    )  # fmt: skip
    assert row(SQUATS, lasts_s=40, reps=counted(9)).status == "long"
    assert row(SQUATS, lasts_s=20, reps=counted(18)).status == "short"


@pytest.mark.parametrize(
    ("confidence", "status", "words"),
    [(0.49, "as planned", ""), (0.5, "partial", "5 repetitions fewer (9 instead of 14)")],
)
def test_no_difference_is_called_on_an_unsure_count(
    confidence: float, status: str, words: str
) -> None:
    found = row(SQUATS, reps=counted(9, confidence=confidence))
    assert (found.status, found.text, found.reps_diff) == (status, words, -5)


# --- movement -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("confidence", "status", "words"),
    [(0.59, "as planned", ""), (0.6, "swapped", "Jumping jack instead of Squat")],
)
def test_only_a_sure_name_contradicts_the_plan(confidence: float, status: str, words: str) -> None:
    found = row(planned({}), movement="jumping-jack", movement_confidence=confidence)
    assert (found.status, found.text) == (status, words)


def test_the_planned_movement_is_as_planned_however_unsure_its_name() -> None:
    assert row(planned({}), movement_confidence=0.1).status == "as planned"


@pytest.mark.parametrize(
    ("may_be", "words"),
    [
        ((), "Another movement instead of Squat"),
        (("jumping-jack",), "Jumping jack instead of Squat"),
        (("march", "jog", "punch", "reach"), "March or Jog in place or Punch instead of Squat"),
    ],
)
def test_what_has_no_name_is_told_by_what_it_may_be(may_be: tuple[str, ...], words: str) -> None:
    found = row(planned({}), movement=None, movement_confidence=0.0, may_be=may_be)
    assert (found.status, found.text) == ("swapped", words)


def test_where_the_plan_names_no_movement_none_is_wrong() -> None:
    free = planned(Block(name="Cool-down", kind="cool-down", duration=30))
    assert row(free, movement="jumping-jack").status == "as planned"
    assert row(free, movement=None).status == "as planned"


def test_of_another_movement_the_time_is_told_and_the_repetitions_are_not() -> None:
    found = row(SQUATS, movement="jumping-jack", lasts_s=20, reps=counted(40, cadence_per_min=56))
    assert found.status == "swapped"
    assert found.text == "Jumping jack instead of Squat; 10 s too short (20 instead of 30 s)"


def test_standing_still_is_no_exercise_but_is_a_break() -> None:
    found = row(SQUATS, kind="still", movement=None, reps=counted(0))
    assert (found.status, found.text) == ("swapped", "stood still instead")
    assert row(planned(Block(name="Water", kind="break", duration=30))).status == "as planned"
