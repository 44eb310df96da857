"""Totals over the class and its blocks: of a film, and of periods made by hand."""

from __future__ import annotations

import pytest

from annotate import review_track
from annotate.compare.totals import totals
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.model import Review, Totals
from clips.session import Period
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
from tests.annotate.reviews import block, counted, done, period, planned
from tests.film import film
from tests.known import known

PLAN = ClassPlan(
    blocks=(
        block(name="Squats", movement="squat", rounds=2, work=16, recovery=8, reps=8,
              recovery_movement="march"),
        block(name="Lifts", movement="knee-lift", rounds=1, work=16, recovery=16,
              reps={"left": 7, "right": 7}, recovery_movement="step-touch"),
    )
)  # fmt: skip


@pytest.fixture(scope="module")
def review() -> Review:
    performed = (
        Period("work", "squat", 16, reps=8),
        Period("recovery", "march", 8),
        Period("work", "squat", 11, reps=5),
        Period("recovery", "march", 8),
        Period("work", "knee-lift", 16, reps=14),
        Period("recovery", "step-touch", 16),
    )
    return review_track(film(performed, yaw_deg=50)[0], PLAN)


def test_class_totals_add_up_and_tell_the_time_to_spare(review: Review) -> None:
    t = review.totals
    assert (t.planned_s, t.planned_work_s, t.planned_recovery_s) == (80, 48, 32)
    assert t.delivered_s == pytest.approx(75, abs=0.5)
    assert t.delivered_work_s == pytest.approx(43, abs=1.0)
    assert t.spare_s == pytest.approx(5, abs=0.5)


def test_each_block_has_its_own_row(review: Review) -> None:
    squats, lifts = review.totals.blocks
    assert (squats.block, squats.rounds_planned, squats.rounds_delivered) == ("Squats", 2, 2)
    assert (squats.planned_reps, squats.delivered_reps) == (16, 13)
    assert squats.planned_work_to_recovery == 2.0
    assert squats.delivered_work_to_recovery == pytest.approx(27 / 16, abs=0.15)
    assert (lifts.left, lifts.right) == (7, 7)
    assert lifts.cadence_per_min == pytest.approx(14 / 15.4 * 60, rel=0.05)


def test_what_was_skipped_counts_as_planned_only() -> None:
    timeline = unroll(PLAN)
    nothing = totals(timeline, (), ())
    assert nothing.delivered_s == 0
    assert nothing.spare_s == timeline.total_s


def test_without_a_plan_there_is_nothing_to_compare() -> None:
    review = review_track(film((Period("work", "squat", 12, reps=6),))[0])
    assert review.totals.planned_s is None
    assert review.totals.spare_s is None
    assert review.totals.blocks == ()


# --- of periods made by hand ------------------------------------------------------------------


def sums(given: list[Answer], plan: Timeline = CLASS) -> Totals:
    rows = compared(plan, given)
    return totals(plan, rows, [p for _, p in given if p is not None])


def test_a_class_as_planned_has_no_time_to_spare() -> None:
    t = sums(answers(CLASS))
    assert (t.planned_s, t.delivered_s, t.spare_s) == (200.0, 200.0, 0.0)
    assert (t.planned_work_s, t.delivered_work_s) == (100.0, 100.0)
    assert (t.planned_recovery_s, t.delivered_recovery_s) == (40.0, 40.0)


@pytest.mark.parametrize(("lasts_s", "spare_s"), [(30.0, 10.0), (55.25, -15.25)])
def test_time_to_spare_is_negative_where_the_class_ran_over(lasts_s: float, spare_s: float) -> None:
    assert sums(answers(CLASS, {LIFTS: {"lasts_s": lasts_s}})).spare_s == spare_s


def test_standing_about_before_and_after_the_class_is_no_time_of_it() -> None:
    class_s = sums(answers(CLASS)).delivered_s
    around = [
        (None, period(0, "absent", 0, 20, None)),
        (None, period(0, "still", 20, 33, None)),
        *((k, p and done(CLASS.periods[known(k)], late_s=33)) for k, p in answers(CLASS)),
        (None, period(0, "still", 233, 250, None)),
        (None, period(0, "absent", 250, 260, None)),
    ]
    assert sums(around).delivered_s == class_s
    # In the middle it is.
    given = answers(CLASS)
    given[LIFTS:] = [(None, period(0, "still", 160, 175, None)),
                     (LIFTS, done(CLASS.periods[LIFTS], late_s=15))]  # fmt: skip
    assert (sums(given).delivered_s, sums(given).spare_s) == (215.0, -15.0)


def test_without_any_exercise_nothing_was_delivered() -> None:
    stood = totals(CLASS, (), [period(0, "still", 0, 60, None)])
    assert (stood.delivered_s, stood.spare_s, stood.delivered_work_s) == (0.0, 200.0, 0.0)


def test_work_nobody_planned_is_delivered_work_of_the_class_but_of_no_block() -> None:
    given = answers(CLASS)
    given.insert(LIFTS, (None, period(0, "work", 160, 178, "squat", counted(9))))
    given.insert(LIFTS, (None, period(0, "recovery", 150, 155, "march")))
    t = sums(given)
    assert (t.delivered_work_s, t.delivered_recovery_s) == (118.0, 45.0)
    assert [b.delivered_work_s for b in t.blocks] == [60.0, 40.0]
    assert [b.delivered_reps for b in t.blocks] == [28, 16]


def test_blocks_of_exercises_come_in_the_order_of_the_plan_without_the_warm_up() -> None:
    assert [b.block for b in sums(answers(CLASS)).blocks] == ["Squat", "Knee lift"]


def test_a_block_adds_up_its_rounds() -> None:
    squats, lifts = sums(
        answers(
            CLASS,
            {
                SQUAT_1: {"reps": counted(13, cadence_per_min=28.0), "lasts_s": 29.0},
                SQUAT_2: {"reps": counted(10, cadence_per_min=23.1)},
                REST_2: {"lasts_s": 25.0},
                LIFTS: {"reps": counted(13, 6, 7)},
            },
        )
    ).blocks
    assert (squats.planned_work_s, squats.delivered_work_s) == (60.0, 59.0)
    assert (squats.planned_recovery_s, squats.delivered_recovery_s) == (40.0, 45.0)
    assert (squats.planned_work_to_recovery, squats.delivered_work_to_recovery) == (1.5, 1.31)
    assert (squats.planned_reps, squats.delivered_reps) == (28, 23)
    assert (squats.left, squats.right, squats.cadence_per_min) == (None, None, 25.6)
    assert (lifts.left, lifts.right, lifts.cadence_per_min) == (6, 7, None)


def test_a_block_without_recovery_has_no_ratio() -> None:
    lifts = sums(answers(CLASS)).blocks[1]
    assert (lifts.planned_work_to_recovery, lifts.delivered_work_to_recovery) == (None, None)
    squats = sums(answers(CLASS, {REST_1: None, REST_2: None})).blocks[0]
    assert (squats.planned_work_to_recovery, squats.delivered_work_to_recovery) == (1.5, None)


def test_a_round_left_out_is_planned_only() -> None:
    squats = sums(answers(CLASS, {SQUAT_2: None})).blocks[0]
    assert (squats.rounds_planned, squats.rounds_delivered) == (2, 1)
    assert (squats.delivered_work_s, squats.planned_reps, squats.delivered_reps) == (30.0, 28, 14)


def test_who_stood_still_or_was_not_seen_has_delivered_no_work() -> None:
    still = sums(answers(CLASS, {SQUAT_2: {"kind": "still", "movement": None}}))
    away = answers(CLASS, {SQUAT_1: None, SQUAT_2: None})
    gone = sums([*away[:SQUAT_2], (None, period(0, "absent", 60, 110, None)), *away[SQUAT_2:]])
    for t, rounds, work_s in ((still, 1, 30.0), (gone, 0, 0.0)):
        squats = t.blocks[0]
        assert (squats.rounds_delivered, squats.delivered_work_s) == (rounds, work_s)
        assert sum(b.delivered_work_s for b in t.blocks) == t.delivered_work_s
        assert sum(b.delivered_recovery_s for b in t.blocks) == t.delivered_recovery_s


def test_what_a_hand_has_called_recovery_is_no_work() -> None:
    t = sums(answers(CLASS, {SQUAT_2: {"kind": "recovery"}}))
    squats = t.blocks[0]
    assert (squats.delivered_work_s, squats.delivered_recovery_s) == (30.0, 70.0)
    assert (squats.rounds_delivered, squats.delivered_reps) == (1, 14)


def test_sides_are_added_up_only_where_both_were_told() -> None:
    two = planned({"movement": "knee-lift", "rounds": 2, "reps": {"left": 5, "right": 5}})
    (block,) = sums(answers(two, {1: {"reps": counted(9, 4, None)}}), two).blocks
    assert (block.left, block.right, block.delivered_reps) == (5, 5, 19)


def test_repetitions_are_not_planned_where_none_are_asked() -> None:
    free = planned({})
    (block,) = sums(answers(free, {0: {"reps": counted(9)}}), free).blocks
    assert (block.planned_reps, block.delivered_reps) == (None, 9)


def test_one_round_a_side_counts_as_one_round() -> None:
    sided = planned({"movement": "side-lunge", "sides": "each", "rounds": 2, "reps": 6})
    (block,) = sums(answers(sided), sided).blocks
    assert (block.rounds_planned, block.rounds_delivered) == (2, 2)
    assert (block.planned_reps, block.left, block.right) == (24, 12, 12)
