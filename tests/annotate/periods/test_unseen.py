"""Activities that could not be judged: what they are labelled, and what the plan makes of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from annotate.periods.costs import DEFAULT
from annotate.periods.evidence import Activity, dissimilarity
from annotate.periods.label import label_without_plan
from tests.annotate.periods.doings import activity
from tests.annotate.periods.stretches import plan

REASON = "legs hidden"


def unseen(start_s: float, end_s: float, *, arms: bool = False) -> Activity:
    return replace(activity(start_s, end_s, None), absent=not arms, unseen=REASON)


def labelled(*activities: Activity) -> list[tuple[str, float, float, str | None]]:
    return [(p.kind, p.start_s, p.end_s, p.not_assessable) for p in label_without_plan(activities)]


@pytest.mark.parametrize("arms", [False, True])
def test_without_a_plan_it_is_absent_with_the_reason(arms: bool) -> None:
    found = label_without_plan([activity(0, 20, "squat"), unseen(20, 40, arms=arms)])
    assert [(p.kind, p.movement, p.not_assessable) for p in found] == [
        ("work", "squat", None), ("absent", None, REASON),
    ]  # fmt: skip
    assert found[1].confidence == 0.0


def test_a_short_unnamed_piece_beside_it_belongs_to_it() -> None:
    assert labelled(unseen(0, 5), activity(5, 8, None)) == [("absent", 0, 8, REASON)]
    assert labelled(activity(0, 3, None), unseen(3, 5)) == [("absent", 0, 5, REASON)]


def test_a_named_or_long_piece_beside_it_stands_by_itself() -> None:
    assert len(labelled(unseen(0, 5), activity(5, 8, "squat"))) == 2
    assert len(labelled(unseen(0, 5), activity(5, 20, None))) == 2


def test_an_empty_picture_beside_it_is_another_thing() -> None:
    assert labelled(unseen(0, 5), activity(5, 20, "gone")) == [
        ("absent", 0, 5, REASON), ("absent", 5, 20, None),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("movement", "arms", "expected"),
    [
        ("squat", True, 1.0),
        ("arm-curl", True, DEFAULT.unjudged_dissimilarity),
        ("arm-curl", False, 1.0),
    ],
)
def test_only_a_movement_of_arms_that_are_seen_may_answer_the_plan(
    movement: str, arms: bool, expected: float
) -> None:
    (planned,) = plan((movement, 20))
    assert dissimilarity(planned, unseen(0, 20, arms=arms)) == expected
