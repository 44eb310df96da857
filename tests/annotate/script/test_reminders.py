"""What the next take's script says of the last take's slips, where, and of nothing else."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.review.model import BackAssessed, Drift, Note, Review
from tests.annotate.reviews import counted, planned, reps
from tests.annotate.script.rehearsed import directions, lines_of, rehearsed

SQUATS = planned({"reps": 10})
LIFTS = planned({"movement": "knee-lift", "reps": {"left": 8, "right": 8}})


def spoken(take: Review, kind: str, period: int = 0) -> list[tuple[Any, str]]:
    return [(x.at_s, x.text) for x in lines_of(take, period) if x.kind == kind]


# --- differences ------------------------------------------------------------------------------


def test_a_take_as_planned_has_nothing_to_remind_of() -> None:
    take = rehearsed(SQUATS)
    assert directions(take) == [] and spoken(take, "form") == []


def test_what_was_left_out_is_said_at_its_start() -> None:
    take = rehearsed(planned({"rounds": 3}), {1: None})
    assert directions(take, 1) == [(30.0, "Last take left this out: Squat, round 2.")]
    assert directions(take, 0) == directions(take, 2) == []


def test_a_difference_is_said_at_the_start_of_its_period() -> None:
    take = rehearsed(planned({"rounds": 2, "reps": 10}), {1: {"reps": counted(6)}})
    assert directions(take, 1) == [(30.0, "Last take: 4 repetitions fewer (6 instead of 10).")]


@pytest.mark.parametrize(("lasts_s", "at_s"), [(22.0, 51.0), (27.9, 56.9), (28.0, None)])
def test_where_the_last_take_broke_off_one_is_told_to_keep_going(
    lasts_s: float, at_s: float | None
) -> None:
    take = rehearsed(planned({"rounds": 2}), {1: {"lasts_s": lasts_s}})
    going = [(at, words) for at, words in directions(take, 1) if "Keep" in words]
    assert going == ([] if at_s is None else [(at_s, "Keep going to 1:00.")])


def test_one_is_never_told_to_keep_going_before_the_period_begins() -> None:
    take = rehearsed(planned({"rounds": 2}), {1: {"lasts_s": 0.5}})
    assert (30.0, "Keep going to 1:00.") in directions(take, 1)


def test_nobody_is_told_to_keep_going_after_a_period_that_was_too_long() -> None:
    take = rehearsed(SQUATS, {0: {"lasts_s": 40.0}})
    assert directions(take) == [(0.0, "Last take: 10 s too long (40 instead of 30 s).")]


def test_the_plans_tolerance_decides_what_is_too_short() -> None:
    loose = planned({}, tolerance={"seconds": 9})
    assert directions(rehearsed(loose, {0: {"lasts_s": 22.0}})) == []


@pytest.mark.parametrize(
    ("sides", "words"),
    [
        ((6, 8), ["Eight on the left, count them."]),
        ((8, 5), ["Eight on the right, count them."]),
        ((5, 6), ["Eight on the left, count them.", "Eight on the right, count them."]),
        ((7, 7), []),
        ((11, 8), []),
    ],
)
def test_a_side_that_had_too_few_is_counted_next_time(
    sides: tuple[int, int], words: list[str]
) -> None:
    take = rehearsed(LIFTS, {0: {"reps": counted(sum(sides), *sides)}})
    said = [(at, text) for at, text in spoken(take, "reps") if "count them" in text]
    assert sorted(text for _, text in said) == words
    # About a third into the period, while there is time to count.
    assert all(6.0 <= at <= 12.0 for at, _ in said)


def test_the_plans_tolerance_decides_how_few_are_too_few() -> None:
    loose = planned(
        {"movement": "knee-lift", "reps": {"left": 8, "right": 8}}, tolerance={"reps": 3}
    )
    take = rehearsed(loose, {0: {"reps": counted(13, 5, 8)}})
    assert [text for _, text in spoken(take, "reps") if "count them" in text] == []


# --- notes ------------------------------------------------------------------------------------


def test_a_note_stands_at_the_same_place_of_the_next_take() -> None:
    notes = [
        Note(at_s=30.0, tag="voice", text="louder"),
        Note(at_s=45.0, tag="", text="smile"),
        Note(at_s=50.0, tag="look", text=""),
    ]
    # The second round took twenty seconds instead of thirty.
    take = rehearsed(planned({"rounds": 3}), {1: {"lasts_s": 20.0}}, notes=notes)
    said = [(at, words) for at, words in directions(take, 1) if words.startswith("Note")]
    assert said == [(30.0, "Note: voice: louder"), (52.5, "Note: smile")]
    # At the moment of change it is about what begins.
    assert directions(take, 2) == [(60.0, "Note: look")]


# --- form -------------------------------------------------------------------------------------

BACK = "Back long, chest proud, hips back."
DEPTH = "All the way, like your first ones."


def drift(*per_rep: float | None, measure: str = "depth", **more: Any) -> Drift:
    return Drift.model_validate(
        {"movement": "squat", "measure": measure, "unit": "deg", "per_rep": per_rep,
         "per_round": (), "evidence": "", "statement": "It changed."} | more
    )  # fmt: skip


def test_the_reminder_is_over_a_breath_before_the_repetition_that_changed() -> None:
    take = rehearsed(SQUATS, {0: {"reps": reps(0, 10, 3, rounded=(5, 6, 7))}})
    # The fifth begins at 12; six words take 2.4 s.
    assert spoken(take, "form") == [(9.3, BACK)]


def test_a_repetition_is_found_again_in_a_longer_or_shorter_period() -> None:
    counts = reps(0, 10, 6, rounded=(5,))
    take = rehearsed(SQUATS, {0: {"lasts_s": 60.0, "reps": counts}})
    assert spoken(take, "form") == [(9.3, BACK)]


def test_no_reminder_comes_before_its_period() -> None:
    take = rehearsed(planned({"rounds": 2}), {1: {"reps": reps(30, 10, 3, rounded=(1,))}})
    assert all(at >= 30 for at, _ in spoken(take, "form", 1))


@pytest.mark.parametrize(("first", "last"), [(10, 20), (20, 10)])
def test_a_drift_is_reminded_of_before_the_repetition_half_way_to_its_end(
    first: int, last: int
) -> None:
    # The first is still settling in: the middle one of the three after it says where it began,
    # the middle one of the last three where it went.
    values = [first + t * (last - first) for t in (0.4, 0, 0.4, 0, 0, 0.6, 0.4, 1, 1.6, 1)]
    take = rehearsed(SQUATS, {0: {"reps": reps(0, 10, 3)}}, drift=[drift(*values)])
    # The sixth begins at 15; seven words take 2.8 s.
    assert spoken(take, "form") == [(11.9, DEPTH)]


def test_a_drift_over_rounds_is_reminded_of_in_the_round_in_which_it_came() -> None:
    rounds = planned({"rounds": 3, "recovery": 10, "recovery_movement": "squat", "reps": 4})
    work = {k: {"reps": reps(40 * i, 4, 7.5)} for i, k in enumerate((0, 2, 4))}
    # The squats of the recoveries are none of those that were measured.
    work |= {k: {"reps": reps(40 * i + 30, 2, 5)} for i, k in enumerate((1, 3, 5))}
    values = [10, 10, 10, 10, 10, None, 20, 20, 20, 20, 20, 20]
    take = rehearsed(rounds, work, drift=[drift(*values)])
    said = [spoken(take, "form", k) for k in range(6)]
    # In the third round it was there from the start: no time is left to say it before.
    assert [len(x) for x in said] == [0, 0, 1, 0, 0, 0]
    # The third repetition of the second round, 15 s into it.
    assert said[2] == [(pytest.approx(55 - 3.1, abs=0.05), DEPTH)]


@pytest.mark.parametrize(
    "unsaid",
    [
        drift(*[10] * 5, *[20] * 5, statement=None),
        drift(*[10] * 5, *[20] * 5, movement="hip-hinge"),
        drift(*[10] * 5, *[20] * 5, measure="time"),
        drift(*[10] * 5, *[20] * 5, measure="back"),
        drift(*[None] * 3, *[10] * 3, *[20] * 4),
    ],
    ids=["not sure", "of another movement", "no words for it", "told by repetition", "too few"],
)
def test_what_is_no_reason_to_remind(unsaid: Drift) -> None:
    take = rehearsed(SQUATS, {0: {"reps": reps(0, 10, 3)}}, drift=[unsaid])
    assert spoken(take, "form") == []


def test_repetitions_of_another_movement_are_none_of_those_measured() -> None:
    two = planned({"name": "Press", "movement": "press", "reps": 10}, {"reps": 10})
    counts = {0: {"reps": reps(0, 10, 3)}, 1: {"reps": reps(30, 10, 3)}}
    take = rehearsed(two, counts, drift=[drift(*[10] * 5, *[20] * 5)])
    assert spoken(take, "form", 0) == []
    assert spoken(take, "form", 1) == [(pytest.approx(45 - 3.1, abs=0.05), DEPTH)]


def test_a_back_that_was_judged_and_is_not_rounder_needs_no_reminder() -> None:
    flat = BackAssessed(arc_change_deg=3, rounded=False)
    counts = reps(0, 10, 3, rounded=(8,))
    each = tuple(
        r.model_copy(update={"back": flat}) if i < 6 else r for i, r in enumerate(counts.each)
    )
    take = rehearsed(SQUATS, {0: {"reps": counts.model_copy(update={"each": each})}})
    # The eighth begins at 21; 2.7 s before it is the time for ten seconds left.
    ((at, words),) = spoken(take, "form")
    assert words == BACK and 15 < at <= 18.3


def test_one_reminder_a_period_the_back_first_then_what_changed_first() -> None:
    early, late = drift(*[10] * 4, *[20] * 6), drift(*[10] * 6, *[20] * 4, measure="knees")
    plain, bent = reps(0, 10, 3), reps(0, 10, 3, rounded=(9,))
    for both in ([early, late], [late, early]):
        (said,) = spoken(rehearsed(SQUATS, {0: {"reps": plain}}, drift=both), "form")
        assert said[1] == DEPTH
        (said,) = spoken(rehearsed(SQUATS, {0: {"reps": bent}}, drift=both), "form")
        assert said[1] == BACK
