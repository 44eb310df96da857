"""Totals over the class and its blocks."""

from __future__ import annotations

import pytest

from annotate import review_track
from annotate.compare.totals import totals
from annotate.plan.model import Block, ClassPlan
from annotate.plan.unroll import unroll
from clips.session import Period
from tests.film import film

PLAN = ClassPlan(
    blocks=(
        Block(name="Squats", movement="squat", rounds=2, work=16, recovery=8, reps=8,
              recovery_movement="march"),
        Block(name="Lifts", movement="knee-lift", rounds=1, work=16, recovery=16,
              reps={"left": 7, "right": 7}, recovery_movement="step-touch"),
    )
)  # fmt: skip


@pytest.fixture(scope="module")
def review():
    performed = (
        Period("work", "squat", 16, reps=8),
        Period("recovery", "march", 8),
        Period("work", "squat", 11, reps=5),
        Period("recovery", "march", 8),
        Period("work", "knee-lift", 16, reps=14),
        Period("recovery", "step-touch", 16),
    )
    return review_track(film(performed, yaw_deg=50)[0], PLAN)


def test_class_totals_add_up_and_tell_the_time_to_spare(review):
    t = review.totals
    assert (t.planned_s, t.planned_work_s, t.planned_recovery_s) == (80, 48, 32)
    assert t.delivered_s == pytest.approx(75, abs=0.5)
    assert t.delivered_work_s == pytest.approx(43, abs=1.0)
    assert t.spare_s == pytest.approx(5, abs=0.5)


def test_each_block_has_its_own_row(review):
    squats, lifts = review.totals.blocks
    assert (squats.block, squats.rounds_planned, squats.rounds_delivered) == ("Squats", 2, 2)
    assert (squats.planned_reps, squats.delivered_reps) == (16, 13)
    assert squats.planned_work_to_recovery == 2.0
    assert squats.delivered_work_to_recovery == pytest.approx(27 / 16, abs=0.15)
    assert (lifts.left, lifts.right) == (7, 7)
    assert lifts.cadence_per_min == pytest.approx(14 / 15.4 * 60, rel=0.05)


def test_what_was_skipped_counts_as_planned_only():
    timeline = unroll(PLAN)
    nothing = totals(timeline, (), ())
    assert nothing.delivered_s == 0
    assert nothing.spare_s == timeline.total_s


def test_without_a_plan_there_is_nothing_to_compare():
    review = review_track(film((Period("work", "squat", 12, reps=6),))[0])
    assert review.totals.planned_s is None
    assert review.totals.spare_s is None
    assert review.totals.blocks == ()
