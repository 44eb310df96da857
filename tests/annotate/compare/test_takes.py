"""Two takes: the first difference that matters decides, and only beyond the tolerance."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.compare.takes import TakenBlock, two_takes
from annotate.plan.read import parse_plan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.model import Review
from tests.annotate.reviews import as_planned, reps

PLAN = """\
title: Harbour
blocks:
  - {name: Squat, movement: squat, rounds: 2, work: 30, reps: 14}
  - {name: Hip hinge, movement: hip-hinge, work: 30, reps: 12}
"""


@pytest.fixture
def timeline() -> Timeline:
    return unroll(parse_plan(PLAN, "p.yaml"))


def with_row(review: Review, index: int, **update: Any) -> Review:
    rows = list(review.comparison)
    rows[index] = rows[index].model_copy(update=update)
    return review.model_copy(update={"comparison": tuple(rows)})


def squat(first: Review, second: Review) -> TakenBlock:
    compared = two_takes(first, second)
    assert compared is not None
    assert [b.block for b in compared.blocks] == ["Squat", "Hip hinge"]
    return compared.blocks[0]


def test_equal_takes_are_alike(timeline: Timeline) -> None:
    assert squat(as_planned(timeline), as_planned(timeline)).better == "equal"


def test_a_round_left_out_weighs_more_than_time(timeline: Timeline) -> None:
    missed = with_row(as_planned(timeline), 1, status="skipped", delivered=None, text="left out")
    late = with_row(as_planned(timeline), 0, status="short", duration_diff_s=-9.0)
    block = squat(missed, late)
    assert block.better == "second"
    assert block.why == "no periods left out or swapped, against 1 period"
    assert (block.periods[1].first, block.periods[1].first_start_s) == ("left out", None)
    assert squat(late, missed).better == "first"


def test_within_the_tolerance_the_next_measure_decides(timeline: Timeline) -> None:
    short = with_row(as_planned(timeline), 0, duration_diff_s=-1.5)
    fewer = with_row(as_planned(timeline), 0, reps_diff=-3)
    block = squat(short, fewer)
    assert (block.better, block.why) == (
        "first", "no repetitions off the plan, against 3 repetitions"
    )  # fmt: skip


def test_flagged_repetitions_decide_last(timeline: Timeline) -> None:
    flagged = as_planned(timeline)
    periods = list(flagged.periods)
    periods[0] = periods[0].model_copy(update={"reps": reps(0, 14, 30 / 14, rounded=(3,))})
    flagged = flagged.model_copy(update={"periods": tuple(periods)})
    block = squat(flagged, as_planned(timeline))
    assert (block.better, block.why) == (
        "second", "no repetitions worth a look, against 1 repetition"
    )  # fmt: skip


def test_different_plans_are_not_compared(timeline: Timeline) -> None:
    other = timeline.model_copy(update={"title": "Another"})
    assert two_takes(as_planned(timeline), as_planned(other)) is None
