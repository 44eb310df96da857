"""Periods without a plan: one for each activity, scraps and neighbours of one kind joined."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from annotate.periods.evidence import Activity
from annotate.periods.label import without_plan
from annotate.review.model import Period
from tests.annotate.periods.doings import activity
from tests.annotate.reviews import counted, period


def shown(activities: Sequence[Activity]) -> list[tuple[str | None, float, float]]:
    """Movement, or kind where nothing is done, with start and end of each period."""
    periods = without_plan(activities)
    assert [p.index for p in periods] == list(range(len(periods)))
    assert all(p.duration_s == round(p.end_s - p.start_s, 2) for p in periods)
    return [
        (p.kind if p.kind in ("still", "absent") else p.movement, p.start_s, p.end_s)
        for p in periods
    ]


def by_hand(start_s: float, end_s: float, what: str | None, *corrected: str) -> Activity:
    said = period(0, "work", start_s, end_s, what, counted(4), corrected=corrected)
    return activity(start_s, end_s, what, by_hand=said)


def test_a_period_for_each_activity() -> None:
    found = without_plan(
        [activity(0, 30.126, "squat", effort=0.7, clear=(1.0, 0.6)), activity(30.126, 50, "stand")]
    )
    assert [p.kind for p in found] == ["work", "still"]
    squat, stop = found
    assert (squat.movement, squat.movement_confidence, squat.intensity) == ("squat", 0.9, 0.7)
    assert (squat.start_s, squat.end_s, squat.duration_s) == (0, 30.13, 30.13)
    assert squat.confidence == pytest.approx(0.7 * 0.9)
    assert (stop.movement, stop.confidence) == (None, 0.8)


def test_what_has_no_name_tells_what_it_may_be_and_is_less_sure() -> None:
    likely = ("jumping-jack", "star-jump")
    (found,) = without_plan([activity(0, 30, likely=likely)])
    assert (found.movement, found.may_be, found.confidence) == (None, likely, 0.5)
    (found,) = without_plan([activity(0, 30, "squat")])
    assert found.may_be == ()


def test_no_activities_no_periods() -> None:
    assert without_plan([]) == ()


# --- neighbours of one kind -------------------------------------------------------------------


@pytest.mark.parametrize("what", ["squat", "stand", "gone"])
def test_neighbours_that_do_the_same_are_one(what: str) -> None:
    assert len(without_plan([activity(0, 10, what), activity(10, 31, what)])) == 1


def test_neighbours_that_do_something_else_are_two() -> None:
    pairs = (("squat", "jumping-jack"), ("stand", "gone"), (None, None), ("squat", None))
    for a, b in pairs:
        assert len(without_plan([activity(0, 20, a), activity(20, 40, b)])) == 2, (a, b)


def test_three_in_a_row_are_one_labelled_as_the_longest() -> None:
    run = [activity(0, 10, "squat", clear=(1.0, 0.0)), activity(10, 30, "squat", clear=(0.0, 0.4)),
           activity(30, 42, "squat", clear=(0.4, 1.0))]  # fmt: skip
    (found,) = without_plan(run)
    assert (found.start_s, found.end_s, found.confidence) == (0, 42, 0.42)


@pytest.mark.parametrize("first", [True, False])
def test_what_a_hand_has_cut_is_not_put_together_again(first: bool) -> None:
    a, b = (0.0, 10.0), (10.0, 31.0)
    pair = (by_hand(*a, "squat", "end"), activity(*b, "squat"))
    if not first:
        pair = (activity(*a, "squat"), by_hand(*b, "squat", "start"))
    assert len(without_plan(pair)) == 2


# --- scraps -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("lasts_s", "periods"), [(3.9, 1), (4.0, 2)])
def test_a_scrap_shorter_than_four_seconds_is_no_period(lasts_s: float, periods: int) -> None:
    assert len(without_plan([activity(0, 20, "squat"), activity(20, 20 + lasts_s)])) == periods
    assert (
        len(without_plan([activity(0, lasts_s), activity(lasts_s, lasts_s + 20, "squat")]))
        == periods
    )


def test_a_scrap_goes_to_the_longer_neighbour() -> None:
    longer_before = [activity(0, 20, "squat"), activity(20, 23), activity(23, 40, "march")]
    assert shown(longer_before) == [("squat", 0, 23), ("march", 23, 40)]
    longer_after = [activity(0, 20, "squat"), activity(20, 23), activity(23, 50, "march")]
    assert shown(longer_after) == [("squat", 0, 20), ("march", 20, 50)]


def test_a_scrap_inside_a_set_leaves_the_set_in_one_piece() -> None:
    run = [activity(0, 20, "squat"), activity(20, 23), activity(23, 50, "squat")]
    assert shown(run) == [("squat", 0, 50)]


def test_scraps_in_a_row_all_go() -> None:
    run = [activity(0, 20, "squat"), activity(20, 22), activity(22, 25), activity(25, 28)]
    assert shown(run) == [("squat", 0, 28)]
    run = [activity(0, 1), activity(1, 2.5), activity(2.5, 20, "squat")]
    assert shown(run) == [("squat", 0, 20)]


def test_a_scrap_is_never_standing_about_or_nobody() -> None:
    run = [activity(0, 30, "stand"), activity(30, 33), activity(33, 45, "squat")]
    assert shown(run) == [("still", 0, 30), ("squat", 30, 45)]
    run = [activity(0, 30, "gone"), activity(30, 33), activity(33, 63, "stand")]
    assert shown(run) == [("absent", 0, 30), (None, 30, 33), ("still", 33, 63)]


def test_a_scrap_that_touches_nothing_stays() -> None:
    run = [activity(0, 20, "squat"), activity(21, 24), activity(25, 45, "march")]
    assert shown(run)[1] == (None, 21, 24)


@pytest.mark.parametrize("what", ["march", "stand", "gone"])
def test_a_short_piece_with_a_name_of_its_own_is_no_scrap(what: str) -> None:
    run = [activity(0, 20, "squat"), activity(20, 23, what), activity(23, 40, "squat")]
    assert len(shown(run)) == 3


def test_a_short_piece_set_by_hand_is_no_scrap() -> None:
    run = [activity(0, 20, "squat"), by_hand(20, 23, None, "start"), activity(23, 40, "squat")]
    assert len(shown(run)) == 3


def test_one_scrap_alone_is_a_period() -> None:
    assert shown([activity(0, 3)]) == [(None, 0, 3)]


# --- what a hand has set ----------------------------------------------------------------------


def test_what_a_hand_has_set_stays_set() -> None:
    said = period(0, "cool-down", 0, 30, "jog", counted(4), movement_confidence=0.97,
                  confidence=0.31, corrected=("kind", "movement", "count"))  # fmt: skip
    found: Period
    (found,) = without_plan([activity(0, 30, "squat", by_hand=said)])
    assert (found.kind, found.confidence) == ("cool-down", 0.31)
    assert (found.movement, found.movement_confidence) == ("jog", 0.97)
    assert found.reps.count == 4
    (found,) = without_plan([by_hand(0, 30, "squat", "start")])
    assert (found.reps.count, found.confidence, found.corrected) == (0, 0.7, ("start",))
