"""A cue is wrong only where words and footage are both sure; every doubt makes it unknown.

Distances are common practice, no source; the examples lie on both sides of each.
"""

from __future__ import annotations

import pytest

from annotate.cues.captions import Word
from annotate.cues.judge import judge_cues
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Comparison, Period, Review
from tests.annotate.reviews import as_planned, block, period, reps, review
from tests.known import known

TIMELINE = unroll(
    ClassPlan(
        blocks=(
            block(name="Squat", movement="squat", rounds=2, work=30, recovery=20, reps=10,
                  recovery_movement="step-touch"),
            block(name="Side lunge", movement="side-lunge", work=30, recovery=20, reps=10,
                  recovery_movement="step-touch"),
            block(name="Cool-down", kind="cool-down", movement="reach", duration=50),
        )
    )
)  # fmt: skip
# Squats 0-30 and 50-80 s, ten of 3 s each; side lunges 100-130 s; the class ends at 200 s.
CLASS = as_planned(TIMELINE)


def say(start_s: float, text: str, each_s: float = 0.4) -> list[Word]:
    return [
        Word(w, start_s + i * each_s, start_s + (i + 1) * each_s, stop=i == len(text.split()) - 1)
        for i, w in enumerate(text.split())
    ]


def cue(
    start_s: float, text: str, on: Review = CLASS, each_s: float = 0.4
) -> tuple[str, str, str] | None:
    """Kind, verdict and words of the one cue in what was said; None where there is none."""
    cues = judge_cues(say(start_s, text, each_s), on).cues
    assert len(cues) <= 1
    return (cues[0].kind, cues[0].verdict, cues[0].difference) if cues else None


def verdict(start_s: float, text: str, on: Review = CLASS, each_s: float = 0.4) -> str | None:
    found = cue(start_s, text, on, each_s)
    return found and found[1]


def but(
    index: int, *, row: dict[str, object] | None = None, on: Review = CLASS, **update: object
) -> Review:
    """The class with another period, or another row of the comparison."""
    periods, rows = list(on.periods), list(on.comparison)
    periods[index] = periods[index].model_copy(update=update)
    rows[index] = rows[index].model_copy(update=row or {})
    return on.model_copy(update={"periods": tuple(periods), "comparison": tuple(rows)})


def of(*periods: Period, comparison: tuple[Comparison, ...] = ()) -> Review:
    return review(periods, comparison=comparison)


# --- seconds left ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "left_s", "expected"),
    [
        # A second and a half, or 0.15 of what was said; wrong beyond 2.5 s, or 0.3 of it.
        ("5", 6.4, "right"), ("5", 6.6, "unknown"), ("5", 7.4, "unknown"), ("5", 7.6, "wrong"),
        ("5", 3.6, "right"), ("5", 3.4, "unknown"), ("5", 2.6, "unknown"), ("5", 2.4, "wrong"),
        ("20", 22.9, "right"), ("20", 23.1, "unknown"), ("20", 25.9, "unknown"),
        ("20", 26.1, "wrong"),
    ],
)  # fmt: skip
def test_how_far_seconds_may_be_off(number: str, left_s: float, expected: str) -> None:
    assert verdict(30 - left_s, f"{number} seconds left") == expected


def test_an_end_that_is_not_sure_makes_no_seconds_wrong() -> None:
    assert verdict(10, "5 seconds left") == "wrong"
    assert verdict(10, "5 seconds left", but(0, confidence=0.4)) == "unknown"
    assert verdict(10, "5 seconds left", but(1, confidence=0.4)) == "unknown"
    # The clip may have been cut at its end.
    assert verdict(180, "5 seconds left") == "unknown"
    assert verdict(180, "5 seconds") == "unknown"


@pytest.mark.parametrize(
    ("text", "expected"),
    [("15 seconds", "wrong"), ("16 seconds", "unknown"), ("16 seconds left", "wrong"),
     ("last 16 seconds", "wrong"), ("forty two seconds", "unknown")],
)  # fmt: skip
def test_many_seconds_without_left_may_tell_the_plan(text: str, expected: str) -> None:
    assert verdict(2, text) == expected


def with_next(lasts_s: float) -> Review:
    """A recovery of 20 s before work of this length."""
    return of(
        period(0, "recovery", 0, 20, "march"),
        period(1, "work", 20, 20 + lasts_s, "squat"),
        period(2, "recovery", 20 + lasts_s, 60, "march"),
    )


@pytest.mark.parametrize(
    ("next_s", "expected"),
    [(10, "unknown"), (11.5, "unknown"), (11.6, "wrong"), (8.5, "unknown"), (8.4, "wrong"),
     (5, "wrong"), (20, "wrong")],
)  # fmt: skip
def test_seconds_that_fit_what_follows_may_be_about_that(next_s: float, expected: str) -> None:
    assert verdict(2, "10 seconds", with_next(next_s)) == expected
    assert verdict(2, "10 seconds left", with_next(next_s)) == "wrong"
    # Where they are right they are right.
    assert verdict(10, "10 seconds", with_next(next_s)) == "right"


def test_seconds_before_the_class_are_about_nothing() -> None:
    late = as_planned(TIMELINE, late_s=10)
    for text in ("5 seconds left", "5 more", "last one", "halfway"):
        assert cue(2, text, late) is None


def test_the_words_say_how_many_seconds_were_left() -> None:
    assert cue(10, "5 seconds left") == ("seconds-left", "wrong", "20 s were left")
    assert cue(25, "5 seconds left") == ("seconds-left", "right", "")


# --- halfway -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off_s", "expected"),
    [(0, "right"), (3.5, "right"), (3.7, "unknown"), (5.9, "unknown"), (6.1, "wrong"),
     (-3.5, "right"), (-3.7, "unknown"), (-5.9, "unknown"), (-6.1, "wrong")],
)  # fmt: skip
def test_how_far_from_the_middle_of_a_long_set_is_halfway(off_s: float, expected: str) -> None:
    assert verdict(15 + off_s, "halfway") == expected


SHORT = of(
    period(0, "work", 0, 10, "squat"), period(1, "recovery", 10, 90, "march"),
    period(2, "work", 90, 100, "squat"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("off_s", "expected"),
    [(1.4, "right"), (1.5, "right"), (1.6, "unknown"), (2.9, "unknown"), (3.1, "wrong")],
)
def test_how_far_from_the_middle_of_a_short_set_is_halfway(off_s: float, expected: str) -> None:
    kind, told, words = known(cue(5 + off_s, "halfway", SHORT))
    assert told == expected
    assert (words == "") is (expected == "right")


def test_halfway_on_the_very_middle_of_the_block_or_the_class_is_right() -> None:
    # The two rounds of squats end at 100 s, the class at 200 s.
    told = [verdict(t, "halfway") for t in (52.9, 53.0, 53.1, 54.9, 55.0, 55.1)]
    assert told == ["right", "right", "unknown", "unknown", "unknown", "wrong"]
    late = as_planned(TIMELINE, late_s=10)
    assert [verdict(t, "halfway", late) for t in (63.0, 63.1)] == ["right", "unknown"]
    told = [verdict(t, "halfway") for t in (105.9, 106.1, 109.9)]
    assert told == ["right", "unknown", "unknown"]


def test_halfway_is_wrong_only_in_work_whose_end_is_sure() -> None:
    assert cue(6, "halfway") == ("halfway", "wrong", "9 s before the middle")
    assert cue(24, "halfway") == ("halfway", "wrong", "9 s after the middle")
    assert verdict(6, "halfway", but(1, confidence=0.4)) == "unknown"
    assert verdict(31, "halfway") == "unknown"


# --- so many more, last one --------------------------------------------------------------------


def test_where_nothing_is_counted_nothing_is_left() -> None:
    bare = of(period(0, "work", 0, 30, "plank"), period(1, "recovery", 30, 50, "march"))
    for text in ("5 more", "last one"):
        assert cue(12, text, bare) is None
        assert cue(12, text) is not None


def test_the_last_one_in_a_recovery_is_the_last_round() -> None:
    moving = but(1, reps=reps(30, 10, 2))
    assert cue(35, "last one", moving) is None
    assert cue(35, "five more", moving) is not None


@pytest.mark.parametrize(
    ("at_s", "expected"),
    [(50.5, "unknown"), (54.0, "unknown"), (54.9, "unknown"), (55.0, "wrong"), (57.0, "wrong"),
     (2.0, "wrong")],
)  # fmt: skip
def test_the_last_one_as_the_last_round_begins_is_the_round(at_s: float, expected: str) -> None:
    assert verdict(at_s, "last one") == expected
    told = known(cue(at_s, "last one"))[2]
    assert (told == "said about the last round") is (expected == "unknown")


def test_without_a_plan_there_is_no_last_round() -> None:
    bare = of(period(0, "work", 0, 30, "squat", reps(0, 10, 3)), period(1, "still", 30, 50, None))
    assert verdict(2, "last one", bare) == "wrong"


@pytest.mark.parametrize(("left", "expected"), [(2.2, "right"), (2.4, "unknown"), (2.6, "wrong")])
def test_the_last_one_is_one_more(left: float, expected: str) -> None:
    assert verdict(30 - 3 * left, "last one") == expected


# --- rounds ------------------------------------------------------------------------------------


def test_a_round_is_wrong_only_where_the_block_was_done_whole() -> None:
    assert cue(51, "round one") == ("round", "wrong", "it was round 2 of 2")
    left_out = but(1, row={"delivered": None, "status": "skipped"})
    assert verdict(51, "round one", left_out) == "unknown"
    added = but(1, row={"planned": None, "status": "added"})
    assert verdict(51, "round one", added) == "unknown"
    assert verdict(51, "round two", left_out) == "right"


def test_the_number_of_rounds_counts_too() -> None:
    assert verdict(51, "round two of two") == "right"
    assert verdict(51, "round two of three") == "wrong"
    assert verdict(51, "last round") == "right"
    assert verdict(2, "last round") == "wrong"


def test_where_no_rounds_are_planned_none_is_wrong() -> None:
    none = ("round", "unknown", "no rounds are planned there")
    assert cue(190, "round one") == none
    assert cue(51, "round one", but(2, row={"planned": None, "status": "added"})) == none
    planned = TIMELINE.periods[2]
    for missing in ("round", "rounds"):
        half = planned.model_copy(update={missing: None})
        assert cue(55, "round one", but(2, row={"planned": half})) == none


def test_a_round_named_in_a_recovery_or_before_the_class_is_the_next() -> None:
    late = as_planned(TIMELINE, late_s=10)
    assert verdict(2, "round one", late) == "right"
    assert verdict(33, "round two") == "right"
    assert verdict(33, "round one") == "wrong"


BACK_TO_BACK = as_planned(
    unroll(
        ClassPlan(
            blocks=(
                block(name="Squat", movement="squat", rounds=2, work=20),
                block(name="Cool-down", kind="cool-down", movement="reach", duration=30),
            )
        )
    )
)


@pytest.mark.parametrize(
    ("ends_s", "expected"), [(14.5, "wrong"), (15.0, "wrong"), (15.5, "right"), (16.5, "right")]
)
def test_a_round_named_in_the_last_quarter_of_another_is_the_next(
    ends_s: float, expected: str
) -> None:
    assert verdict(ends_s - 1, "round two", BACK_TO_BACK, each_s=0.5) == expected


def test_a_round_named_as_the_last_work_ends_is_that_round() -> None:
    assert verdict(38, "round two", BACK_TO_BACK) == "right"
    only = BACK_TO_BACK.model_copy(update={"periods": BACK_TO_BACK.periods[:2]})
    assert verdict(38, "round two", only) == "right"


# --- other side --------------------------------------------------------------------------------


def test_a_side_that_is_not_known_before_makes_no_other_side_right() -> None:
    def sides(*names: str) -> Review:
        each = tuple(
            r.model_copy(update={"side": side})
            for r, side in zip(reps(0, 8, 3).each, names, strict=True)
        )
        counted = reps(0, 8, 3).model_copy(update={"each": each})
        return of(period(0, "work", 0, 30, "side-lunge", counted))

    left, right, both = ["left"] * 4, ["right"] * 4, ["both"] * 4
    not_told = ("other-side", "unknown", "the sides there were not recognised")
    assert cue(12, "other side", sides(*left, *right)) == ("other-side", "right", "")
    assert cue(12, "other side", sides(*left, *left)) == (
        "other-side", "wrong", "the left side went on",
    )  # fmt: skip
    assert cue(12, "other side", sides(*both, *right)) == not_told
    assert cue(12, "other side", sides(*left, *both)) == not_told


# --- movements ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ends_s", "expected"), [(14.9, "unknown"), (15.0, "wrong"), (16.0, "wrong"), (18, "wrong")]
)
def test_what_is_announced_long_before_is_about_nothing(ends_s: float, expected: str) -> None:
    # Step touch follows at 30 s.
    assert verdict(ends_s - 1, "next plank", each_s=0.5) == expected


def test_what_is_announced_at_the_end_of_the_class_is_about_nothing() -> None:
    assert cue(190, "next plank") == ("announce", "unknown", "nothing new followed")


@pytest.mark.parametrize(("sure", "expected"), [(0.6, "wrong"), (0.59, "unknown")])
def test_a_movement_that_was_not_named_surely_makes_no_name_wrong(
    sure: float, expected: str
) -> None:
    assert verdict(26, "next plank", but(1, movement_confidence=sure)) == expected


def test_the_movement_of_something_added_makes_no_name_wrong() -> None:
    added = but(1, row={"planned": None, "status": "added"})
    assert verdict(26, "next plank", added) == "unknown"
    assert verdict(26, "next step touch", added) == "right"


def test_an_unknown_movement_and_one_of_its_kin_make_no_name_wrong() -> None:
    not_told = ("announce", "unknown", "could not be told apart in the footage")
    assert cue(26, "next plank", but(1, movement=None)) == not_told
    assert cue(46, "next pulse squats") == not_told
    assert cue(46, "next plank") == ("announce", "wrong", "squat followed")


def test_a_name_a_little_early_is_about_the_movement_after() -> None:
    assert verdict(26, "next squat") == "unknown"
    assert verdict(76, "next side lunge") == "unknown"
    # Nothing comes after the last.
    assert verdict(146, "next plank") == "wrong"


@pytest.mark.parametrize(
    ("at_s", "judged"), [(47.4, False), (47.6, True), (52.4, True), (52.6, False)]
)
def test_a_movement_named_far_from_a_start_may_be_anything(at_s: float, judged: bool) -> None:
    assert verdict(at_s, "plank") == ("wrong" if judged else None)


# --- all of them -------------------------------------------------------------------------------


def test_cues_come_in_order_of_time_and_each_wrong_one_is_told_at_its_time() -> None:
    said = [*say(10.128, "5 seconds left"), *say(17, "four", 1.0), *say(18, "three", 1.0),
            *say(19, "two", 1.0), *say(31.0, "halfway"), *say(36, "next plank")]  # fmt: skip
    judged = judge_cues(said, CLASS)
    assert [c.at_s for c in judged.cues] == [10.13, 17, 31, 36]
    assert [(n.code, n.start_s) for n in judged.notices] == [
        ("cue", c.at_s) for c in judged.cues if c.verdict == "wrong"
    ]
    assert judged.notices[0].text == 'You said "5 seconds left": 20 s were left.'
