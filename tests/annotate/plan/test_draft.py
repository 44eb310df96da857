"""A plan drafted from a take is the plan that was performed."""

from __future__ import annotations

from annotate import review_track
from annotate.plan.draft import draft_plan, rounded_s
from annotate.plan.model import ClassPlan
from annotate.plan.read import parse_plan
from annotate.plan.unroll import unroll
from clips.session import Period
from tests.annotate.reviews import block
from tests.film import film
from tests.known import known

PLAN = ClassPlan(
    title="Quay intervals",
    blocks=(
        block(name="Warm-up", kind="warm-up", movement="march", duration=25),
        block(name="Squats", movement="squat", rounds=3, work=20, recovery=15, reps=10,
              recovery_movement="step-touch"),
        block(name="Curls", movement="hamstring-curl", rounds=2, work=30, recovery=15,
              reps={"left": 14, "right": 14}, recovery_movement="march"),
        block(name="Cool-down", kind="cool-down", movement="reach", duration=20),
    ),
)  # fmt: skip
TIMELINE = unroll(PLAN)


def performed() -> tuple[Period, ...]:
    return tuple(
        Period(p.kind, known(p.movement), p.duration_s, reps=p.reps) for p in TIMELINE.periods
    )


def test_a_class_with_its_plan_gives_the_same_plan_back() -> None:
    review = review_track(film(performed(), seed=6, yaw_deg=40)[0], PLAN)
    drafted = unroll(parse_plan(draft_plan("Quay intervals", review.periods), "draft.yaml"))
    assert [(p.kind, p.duration_s, p.movement) for p in drafted.periods] == [
        (p.kind, p.duration_s, p.movement) for p in TIMELINE.periods
    ]
    assert [(p.reps, p.left) for p in drafted.periods] == [
        (p.reps, p.left) for p in TIMELINE.periods
    ]


def test_without_a_plan_the_draft_unrolls_to_the_delivered_length() -> None:
    review = review_track(film(performed(), seed=6, yaw_deg=40)[0])
    drafted = unroll(parse_plan(draft_plan("Quay intervals", review.periods), "draft.yaml"))
    assert abs(drafted.total_s - TIMELINE.total_s) <= 10
    assert drafted.work_s == TIMELINE.work_s


def test_durations_are_rounded_as_people_plan() -> None:
    assert [rounded_s(s) for s in (4.4, 9.6, 28.9, 31.2, 61.0, 0.2)] == [4, 10, 30, 30, 60, 1]


def test_an_empty_take_gives_no_blocks() -> None:
    review = review_track(film((Period("work", "squat", 6.0),))[0].between(50, 60))
    assert "blocks: []" in draft_plan("Pier", review.periods)
