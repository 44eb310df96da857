"""Activities as periods in the plan's terms: what counts as the planned movement, and what not."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import pytest

from annotate.periods.align import Pairing
from annotate.periods.evidence import Activity
from annotate.periods.label import Delivery, with_plan
from annotate.plan.model import Block
from annotate.plan.unroll import Timeline
from annotate.review.model import Period
from pose.signals.model import Signals
from tests.annotate.periods import doings
from tests.annotate.periods.doings import activity, signals_of
from tests.annotate.reviews import counted, period, planned
from tests.known import known

SQUAT = planned({"reps": 10})


@cache
def filmed(what: str, size: float = 1.0, step_s: float = 1.0) -> Signals:
    """20 s of squats, marching, reaching or standing."""
    part = {
        "squats": doings.squats(size), "marching": doings.marching(size, step_s),
        "reaching": doings.reaching, "standing": doings.standing,
    }[what]  # fmt: skip
    return signals_of((20.0, part))


def delivered_as(signals: Signals, *run: Activity, plan: Timeline = SQUAT) -> Period:
    """What the one planned period was delivered as, when these activities answer it."""
    activities = run or (activity(0, 20),)
    (found,) = with_plan(signals, activities, plan, [Pairing(0, 0, len(activities))])
    assert found.planned == 0 and found.period is not None
    return found.period


# --- the planned movement, or another ---------------------------------------------------------


def test_the_planned_movement_well_done() -> None:
    found = delivered_as(filmed("squats"))
    assert (found.movement, found.movement_confidence, found.confidence) == ("squat", 1.0, 1.0)
    assert (found.kind, found.may_be, found.unseen_s) == ("work", (), 0.0)


def test_the_planned_movement_half_done_is_still_it_but_less_sure() -> None:
    found = delivered_as(filmed("squats", 0.6))
    assert found.movement == "squat"
    assert found.movement_confidence == pytest.approx(0.31, abs=0.05)
    # Half of the label's confidence is the plan's word for it.
    assert found.confidence == pytest.approx(0.5 + 0.5 * found.movement_confidence, abs=0.006)


def test_another_movement_surely_done_contradicts_the_plan() -> None:
    found = delivered_as(filmed("squats"), plan=planned({"movement": "jumping-jack", "reps": 20}))
    assert (found.movement, found.movement_confidence, found.confidence) == ("squat", 1.0, 0.6)


@pytest.mark.parametrize(("step_s", "movement"), [(1.0, "march"), (0.6, "knee-lift")])
def test_something_like_the_planned_movement_gives_way_to_one_name_only(
    step_s: float, movement: str
) -> None:
    # Knees not high enough. At the slow tempo it is marching; at the fast one it may be high
    # knees as well, and the plan's own word stands.
    lifts = planned({"movement": "knee-lift"})
    assert delivered_as(filmed("marching", 0.74, step_s), plan=lifts).movement == movement


@pytest.mark.parametrize(("depth", "movement"), [(0.64, "hip-hinge"), (0.65, "squat")])
def test_an_unsure_name_does_not_contradict_the_plan(depth: float, movement: str) -> None:
    # Not quite deep enough to be squats for sure, and bent over as often as the hinges asked.
    hinges = planned({"movement": "hip-hinge", "reps": 10})
    found = delivered_as(filmed("squats", depth), plan=hinges)
    assert found.movement == movement
    if movement == "hip-hinge":
        assert found.movement_confidence == 0.1


def test_one_of_several_others_contradicts_the_plan_without_a_name() -> None:
    either = activity(0, 20, likely=("march", "knee-lift"))
    found = delivered_as(filmed("marching", 0.8), either, plan=planned({"movement": "jog"}))
    assert (found.movement, found.may_be) == (None, ("march", "knee-lift"))


def test_nothing_of_the_planned_movement_is_no_movement_with_a_name() -> None:
    found = delivered_as(filmed("reaching"), activity(0, 20, likely=("press",)))
    assert (found.kind, found.movement, found.movement_confidence) == ("work", None, 0.0)
    assert (found.may_be, found.confidence) == (("press",), 0.6)


@pytest.mark.parametrize(("reps", "movement"), [(24, "squat"), (25, None)])
def test_little_dips_are_the_planned_movement_where_there_are_enough_of_them(
    reps: int, movement: str | None
) -> None:
    # Ten dips, quite unlike squats.
    found = delivered_as(filmed("squats", 0.45), plan=planned({"reps": reps}))
    assert found.movement == movement


def test_of_something_like_the_planned_movement_any_number_is_enough() -> None:
    assert delivered_as(filmed("squats", 0.6), plan=planned({"reps": 60})).movement == "squat"


def test_what_it_may_be_is_told_by_the_longest_activity() -> None:
    run = (activity(0, 6, likely=("press",)), activity(6, 20, likely=("reach", "punch")))
    assert delivered_as(filmed("reaching"), *run).may_be == ("reach", "punch")


def test_a_movement_the_catalogue_does_not_know_is_taken_as_planned() -> None:
    found = delivered_as(filmed("squats"), plan=planned({"movement": "harbour-hop"}))
    assert (found.movement, found.movement_confidence, found.confidence) == (
        "harbour-hop",
        0.5,
        0.6,
    )


def test_where_the_plan_names_no_movement_the_footage_does() -> None:
    free = planned(Block(name="Cool-down", kind="cool-down", duration=20))
    found = delivered_as(filmed("squats"), plan=free)
    assert (found.kind, found.movement, found.movement_confidence) == ("cool-down", "squat", 1.0)


# --- standing still, breaks, holds ------------------------------------------------------------


def test_standing_about_in_an_exercise_is_still() -> None:
    found = delivered_as(filmed("standing"), activity(0, 20, "stand"))
    assert (found.kind, found.movement, found.confidence) == ("still", None, 0.8)
    away = (activity(0, 8, "stand"), activity(8, 12, "gone"), activity(12, 20, "stand"))
    assert delivered_as(filmed("standing"), *away).kind == "still"


def test_a_pause_inside_an_exercise_is_part_of_it() -> None:
    signals = signals_of((10, doings.squats()), (4, doings.standing), (10, doings.squats()))
    run = (activity(0, 10, "squat"), activity(10, 14, "stand"), activity(14, 24, "squat"))
    found = delivered_as(signals, *run)
    assert (found.kind, found.movement) == ("work", "squat")
    assert (found.start_s, found.end_s, found.duration_s) == (0, 24, 24)


@pytest.mark.parametrize("movement", ["plank", "stretch"])
def test_who_holds_a_position_is_not_standing_about(movement: str) -> None:
    held = planned({"movement": movement})
    found = delivered_as(filmed("standing"), activity(0, 20, "stand"), plan=held)
    assert found.kind == "work"


@pytest.mark.parametrize("what", ["stand", "march", None])
def test_a_break_is_still_whatever_is_done_in_it(what: str | None) -> None:
    pause = planned(Block(name="Water", kind="break", duration=20))
    found = delivered_as(filmed("marching"), activity(0, 20, what), plan=pause)
    assert (found.kind, found.movement) == ("still", None)


# --- confidence, effort, time unseen ----------------------------------------------------------


def test_confidence_falls_where_the_ends_are_unclear() -> None:
    run = (activity(0, 9, clear=(0.4, 0.1)), activity(9, 20, clear=(0.1, 0.8)))
    # Of its first and its last end only: half of the label's confidence hangs on them.
    assert delivered_as(filmed("squats"), *run).confidence == pytest.approx(0.5 + 0.5 * 0.6)
    lost = (activity(0, 20, "stand", clear=(0.0, 0.0)),)
    assert delivered_as(filmed("standing"), *lost).confidence == 0.4


def test_effort_is_the_mean_over_the_activities_that_were_seen() -> None:
    run = (activity(0, 9, effort=0.2), activity(9, 12, "gone"), activity(12, 20, effort=0.6))
    assert delivered_as(filmed("squats"), *run).intensity == 0.4


def test_nobody_in_the_picture_within_a_deliveredis_time_unseen() -> None:
    run = (activity(0, 9), activity(9, 12.5, "gone"), activity(12.5, 14, "stand"),
           activity(14, 17, "gone"), activity(17, 20))  # fmt: skip
    found = delivered_as(filmed("squats"), *run)
    assert (found.kind, found.unseen_s) == ("work", 6.5)


# --- what a hand has set ----------------------------------------------------------------------


def test_what_a_hand_has_set_stays_set_and_the_rest_does_not() -> None:
    said = period(0, "recovery", 0, 20, "march", counted(3), corrected=("movement", "count"),
                  movement_confidence=0.97, confidence=0.31)  # fmt: skip
    found = delivered_as(filmed("squats"), activity(0, 20, by_hand=said))
    assert (found.movement, found.movement_confidence, found.reps.count) == ("march", 0.97, 3)
    assert (found.kind, found.confidence) == ("work", 1.0)
    assert found.corrected == ("movement", "count")


def test_a_kind_set_by_hand_comes_with_its_confidence() -> None:
    said = period(0, "recovery", 0, 20, "march", counted(3), corrected=("kind",), confidence=0.31)
    found = delivered_as(filmed("squats"), activity(0, 20, by_hand=said))
    assert (found.kind, found.confidence, found.movement) == ("recovery", 0.31, "squat")
    assert (found.reps.count, found.corrected) == (0, ("kind",))


def test_a_hand_sets_what_nobody_planned_too() -> None:
    said = period(0, "warm-up", 0, 9, "jog", counted(7), corrected=("kind", "movement", "count"))
    (found, _) = with_plan(
        filmed("squats"), [activity(0, 9, "march", by_hand=said), activity(9, 20)], SQUAT,
        [Pairing(None, 0, 1), Pairing(0, 1, 2)],
    )  # fmt: skip
    delivered = known(found.period)
    assert (delivered.kind, delivered.movement, delivered.reps.count) == (
        "warm-up",
        "jog",
        7,
    )


# --- skipped and unplanned --------------------------------------------------------------------

TWO = planned({"rounds": 2})


def unplanned(*activities: Activity) -> list[Period]:
    """What comes out of activities none of which was planned."""
    pairings = [Pairing(None, i, i + 1) for i in range(len(activities))]
    found = with_plan(filmed("squats"), activities, TWO, [*pairings, Pairing(0, 0, 0)])
    assert [d.planned for d in found] == [None] * (len(found) - 1) + [0]
    return [d.period for d in found if d.period is not None]


def shown(periods: Sequence[Period]) -> list[tuple[str, float, float]]:
    return [(p.kind, p.start_s, p.end_s) for p in periods]


def test_periods_are_numbered_in_the_order_of_delivery_and_what_is_missing_has_no_number() -> None:
    pairings = [Pairing(1, 0, 1), Pairing(0, 1, 1), Pairing(None, 1, 2)]
    found = with_plan(filmed("squats"), [activity(0, 9), activity(9, 20, "stand")], TWO, pairings)
    assert [d.planned for d in found] == [1, 0, None]
    assert found[1] == Delivery(0, None)
    assert [d.period.index for d in found if d.period] == [0, 1]


@pytest.mark.parametrize(
    ("what", "kind", "confidence"),
    [("gone", "absent", 0.8), ("stand", "still", 0.8), ("squat", "work", 0.5),
     ("march", "recovery", 0.5)],
)  # fmt: skip
def test_what_nobody_planned_is_told_by_what_it_is(what: str, kind: str, confidence: float) -> None:
    (found,) = unplanned(activity(0, 20, what))
    assert (found.kind, found.confidence) == (kind, confidence)
    assert found.movement == (what if kind in ("work", "recovery") else None)


@pytest.mark.parametrize(("effort", "kind"), [(0.5, "work"), (0.49, "recovery")])
def test_what_has_no_name_is_work_where_it_is_hard(effort: float, kind: str) -> None:
    assert unplanned(activity(0, 20, effort=effort))[0].kind == kind


@pytest.mark.parametrize(("lasts_s", "stops"), [(7.9, 1), (8.0, 2)])
def test_a_short_piece_without_a_name_is_no_stop_of_its_own(lasts_s: float, stops: int) -> None:
    before = unplanned(activity(0, 12, "stand"), activity(12, 12 + lasts_s))
    after = unplanned(activity(0, lasts_s), activity(lasts_s, lasts_s + 12, "stand"))
    assert (len(before), len(after)) == (stops, stops)
    if stops == 1:
        # Labelled as the longer one, over both.
        assert shown(before) == [("still", 0, 12 + lasts_s)]
        assert shown(after) == [("still", 0, lasts_s + 12)]
        assert before[0].duration_s == after[0].duration_s == 12 + lasts_s


def test_an_interruption_in_many_pieces_is_one() -> None:
    pieces = [activity(0, 9, "stand"), activity(9, 12), activity(12, 20, "stand"), activity(20, 23)]
    assert shown(unplanned(*pieces)) == [("still", 0, 23)]


@pytest.mark.parametrize("what", ["stand", "gone", "squat"])
def test_more_of_the_same_is_one_however_long(what: str) -> None:
    assert len(unplanned(activity(0, 20, what), activity(20, 40, what))) == 1


def test_two_long_pieces_without_a_name_are_not_known_to_be_one() -> None:
    assert len(unplanned(activity(0, 20), activity(20, 40))) == 2


@pytest.mark.parametrize(
    "pair",
    [
        pytest.param((activity(0, 12, "stand"), activity(12, 15, "gone")), id="who left"),
        pytest.param((activity(0, 12, "gone"), activity(12, 15)), id="who came back"),
        pytest.param((activity(0, 12, "stand"), activity(12, 15, "march")), id="a name"),
        pytest.param((activity(0, 12, "squat"), activity(12, 24, "march")), id="two names"),
        pytest.param(
            (activity(0, 12, "stand"),
             activity(12, 15, by_hand=period(0, "work", 12, 15, None, corrected=("start",)))),
            id="set by hand",
        ),
        pytest.param(
            (activity(0, 12, "stand", by_hand=period(0, "still", 0, 12, None, corrected=("end",))),
             activity(12, 15)),
            id="set by hand before",
        ),
    ],
)  # fmt: skip
def test_what_is_not_one_interruption(pair: tuple[Activity, Activity]) -> None:
    assert len(unplanned(*pair)) == 2


def test_what_was_planned_is_not_part_of_the_interruption_after_it() -> None:
    pairings = [Pairing(0, 0, 1), Pairing(None, 1, 2), Pairing(1, 2, 3), Pairing(None, 3, 4)]
    run = [activity(0, 5), activity(5, 8), activity(8, 13), activity(13, 15)]
    found = with_plan(filmed("squats"), run, TWO, pairings)
    assert [(d.planned, known(d.period).start_s, known(d.period).end_s) for d in found] == [
        (0, 0, 5), (None, 5, 8), (1, 8, 13), (None, 13, 15)
    ]  # fmt: skip
