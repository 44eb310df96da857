"""The clock of the last take beside each line: where its moment was, and how far off."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.review.model import Cue, Review
from annotate.script.schedule import ScriptLine
from tests.annotate.reviews import planned, reps
from tests.annotate.script.rehearsed import lines_of, rehearsed

# Two rounds of a minute, thirty seconds between; no hints of their own.
ROUNDS = planned(
    {"movement": "press", "work": 60, "rounds": 2, "recovery": 30, "reps": 20},
)
FIRST, RECOVERY, SECOND = 0, 1, 2


def one(take: Review, kind: str, period: int = FIRST, nth: int = 0) -> ScriptLine:
    return [x for x in lines_of(take, period) if x.kind == kind][nth]


def beside(take: Review, kind: str, period: int = FIRST, nth: int = 0) -> tuple[float | None, str]:
    line = one(take, kind, period, nth)
    return line.delivered_s, line.difference


def cue(at_s: float, kind: str, **more: Any) -> Cue:
    return Cue.model_validate(
        {"at_s": at_s, "kind": kind, "text": "now", "verdict": "right", "difference": ""} | more
    )


# --- where the moment was ---------------------------------------------------------------------


def test_in_a_take_as_planned_both_clocks_are_the_same() -> None:
    take = rehearsed(ROUNDS)
    for period in (FIRST, RECOVERY, SECOND):
        for line in lines_of(take, period):
            assert (line.delivered_s, line.difference) == (line.at_s, "on time"), line


def test_a_period_cut_short_loses_what_belongs_to_its_start_at_its_end() -> None:
    take = rehearsed(ROUNDS, {FIRST: {"lasts_s": 40.0}})
    assert beside(take, "change") == (0.0, "on time")
    # 15 s left at 45 s of the plan; at 25 s of the 40.
    assert one(take, "left").at_s == 45.0
    assert beside(take, "left") == (25.0, "20 s early")
    assert beside(take, "countdown") == (36.0, "20 s early")
    # Four of twenty left at 48 s of 60: as long before the end.
    assert one(take, "reps").at_s == 48.0
    assert beside(take, "reps") == (28.0, "20 s early")


def test_the_middle_stays_the_middle() -> None:
    take = rehearsed(ROUNDS, {FIRST: {"lasts_s": 40.0}})
    assert one(take, "halfway").at_s == 30.0
    assert beside(take, "halfway") == (20.0, "10 s early")
    assert beside(rehearsed(ROUNDS, {FIRST: {"lasts_s": 90.0}}), "halfway") == (45.0, "15 s late")


def test_a_hint_for_what_comes_belongs_to_the_end_and_a_reminder_to_its_place() -> None:
    squats = planned({"reps": 10, "rounds": 2})
    counts = reps(0, 10, 2, rounded=(5,))
    take = rehearsed(squats, {0: {"lasts_s": 20.0, "reps": counts}})
    hint = one(take, "option")
    assert hint.delivered_s == round(hint.at_s - 10, 1)
    # The fifth of ten repetitions, in 20 s as in 30.
    reminder = one(take, "form")
    assert reminder.delivered_s == pytest.approx(reminder.at_s * 20 / 30, abs=0.05)


def test_what_an_earlier_period_lost_is_told_there_only() -> None:
    take = rehearsed(ROUNDS, {FIRST: {"lasts_s": 40.0}})
    assert beside(take, "change", RECOVERY) == (40.0, "on time")
    assert beside(take, "halfway", SECOND) == (100.0, "on time")


def test_a_recovery_counts_from_its_start() -> None:
    take = rehearsed(ROUNDS, {RECOVERY: {"lasts_s": 50.0}})
    water = one(take, "water", RECOVERY)
    assert (water.delivered_s, water.difference) == (water.at_s, "on time")
    # Its announcement belongs to its end.
    assert beside(take, "announce", RECOVERY)[1] == "20 s late"


def test_a_moment_lies_inside_the_period_as_delivered() -> None:
    take = rehearsed(ROUNDS, {FIRST: {"lasts_s": 10.0}, RECOVERY: {"lasts_s": 3.0}})
    # Fifteen seconds left: before it had begun.
    assert beside(take, "left")[0] == 0.0
    assert beside(take, "water", RECOVERY)[0] == 13.0


@pytest.mark.parametrize(
    ("lasts_s", "words"), [(58.0, "on time"), (57.4, "3 s early"), (63, "3 s late")]
)
def test_within_the_plans_tolerance_it_was_on_time(lasts_s: float, words: str) -> None:
    assert beside(rehearsed(ROUNDS, {FIRST: {"lasts_s": lasts_s}}), "countdown")[1] == words


def test_the_plans_own_tolerance_decides() -> None:
    loose = planned({"movement": "press", "work": 60, "rounds": 2}, tolerance={"seconds": 5})
    assert beside(rehearsed(loose, {0: {"lasts_s": 55.0}}), "countdown")[1] == "on time"


def test_what_was_left_out_has_no_moment() -> None:
    take = rehearsed(ROUNDS, {SECOND: None})
    assert all(x.delivered_s is None and x.difference == "" for x in lines_of(take, SECOND))
    assert len(lines_of(take, SECOND)) > 3


def test_where_nobody_was_seen_nothing_is_told_of_any_moment() -> None:
    take = rehearsed(ROUNDS, {FIRST: {"lasts_s": 50.0}, SECOND: "gone"})
    assert all(x.delivered_s is None and x.difference == "" for x in lines_of(take, SECOND))
    assert any("not assessable" in x.text for x in lines_of(take, SECOND))


def test_a_direction_has_no_moment() -> None:
    line = one(rehearsed(ROUNDS, {FIRST: {"lasts_s": 40.0}}), "direction")
    assert (line.delivered_s, line.difference) == (None, "")


# --- what was said ----------------------------------------------------------------------------


def test_where_it_was_said_is_its_moment() -> None:
    take = rehearsed(ROUNDS, cues=[cue(33.04, "halfway")])
    assert beside(take, "halfway") == (33.0, "3 s late")


@pytest.mark.parametrize(
    ("at_s", "heard"), [(22.0, True), (21.9, False), (38.0, True), (38.1, False)]
)
def test_what_was_said_far_from_it_is_another_line(at_s: float, heard: bool) -> None:
    take = rehearsed(ROUNDS, cues=[cue(at_s, "halfway")])
    assert beside(take, "halfway") == (
        (at_s, f"8 s {'late' if at_s > 30 else 'early'}") if heard else (30.0, "not heard")
    )


def test_the_nearest_of_several_is_meant() -> None:
    take = rehearsed(ROUNDS, cues=[cue(24.0, "halfway"), cue(31.0, "halfway"), cue(36, "halfway")])
    assert beside(take, "halfway") == (31.0, "on time")


def test_what_was_said_in_another_period_is_not_meant() -> None:
    # Just after the first round, and just before the second.
    take = rehearsed(ROUNDS, cues=[cue(60.0, "countdown"), cue(89.9, "countdown")])
    assert beside(take, "countdown", FIRST)[1] == "not heard"
    assert beside(take, "countdown", RECOVERY) == (89.9, "4 s late")


@pytest.mark.parametrize(
    ("line", "kind", "at_s"),
    [
        ("countdown", "countdown", 56), ("left", "seconds-left", 45), ("reps", "reps-left", 48),
        ("reps", "last-one", 48), ("announce", "announce", 54), ("halfway", "halfway", 30),
    ],
)  # fmt: skip
def test_each_line_is_heard_as_its_own_kind_of_cue(line: str, kind: str, at_s: int) -> None:
    heard = rehearsed(ROUNDS, cues=[cue(at_s, kind)])
    assert one(heard, line).difference == "on time"
    other = "halfway" if kind != "halfway" else "countdown"
    assert beside(rehearsed(ROUNDS, cues=[cue(at_s, other)]), line)[1] == "not heard"


def test_what_is_never_listened_for_is_not_missed() -> None:
    take = rehearsed(ROUNDS, cues=[cue(45, "seconds-left")])
    assert beside(take, "change") == (0.0, "on time")
    assert beside(take, "water", RECOVERY)[1] == "on time"


def test_a_wrong_cue_is_quoted() -> None:
    wrong = cue(44.0, "seconds-left", text="ten seconds", verdict="wrong",
                difference="16 s were left")  # fmt: skip
    unknown = cue(31.0, "halfway", verdict="unknown", difference="1 s after the middle")
    take = rehearsed(ROUNDS, cues=[wrong, unknown])
    assert beside(take, "left") == (44.0, 'said "ten seconds": 16 s were left')
    assert beside(take, "halfway") == (31.0, "on time")
