"""Left and right as said: whose they are, and which side moved."""

from __future__ import annotations

from typing import Literal

import pytest

from annotate.cues.context import Take
from annotate.cues.parse import Phrase
from annotate.cues.sides import judge_sides
from annotate.review.model import RepSet
from tests.annotate.reviews import period, reps, review
from tests.known import known

NAMES = {"l": "left", "r": "right", "b": "both"}
NOT_TOLD = "the side there was not recognised"


def lunges(sides: str, each_s: float = 3.0) -> Take:
    """Side lunges from 6 s on, by their side: "lrb" is left, right, both."""
    counted = reps(6, len(sides), each_s)
    each = tuple(
        r.model_copy(update={"side": NAMES[s]}) for r, s in zip(counted.each, sides, strict=True)
    )
    found = RepSet(count=len(sides), confidence=1, each=each)
    return Take(review([period(0, "work", 6, 60, "side-lunge", found)]))


def leg(side: str, start_s: float) -> Phrase:
    return Phrase("side", start_s, start_s + 0.4, f"{NAMES[side]} leg", side=NAMES[side])


def said(sides: str, each_s: float = 3.0) -> list[Phrase]:
    """A side named as each repetition begins."""
    return [leg(s, 6.128 + i * each_s) for i, s in enumerate(sides)]


def verdicts(
    moved: str,
    named: str,
    spoken_sides: Literal["own", "viewer"] | None = None,
    each_s: float = 3.0,
) -> list[str]:
    cues, _ = judge_sides(said(named, each_s), lunges(moved, each_s), spoken_sides)
    return [c.verdict for c in cues]


@pytest.mark.parametrize(
    ("moved", "named", "expected"),
    [
        # Three times are no habit; four are.
        ("lrl", "lrl", ["unknown"] * 3),
        ("lrlr", "lrlr", ["right"] * 4),
        ("lrlr", "rlrl", ["right"] * 4),
        # Three of four agree, own or the viewer's; five of seven do not.
        ("lrlr", "lrll", ["right"] * 3 + ["wrong"]),
        ("lrlr", "rlrr", ["right"] * 3 + ["wrong"]),
        ("lrlrlrl", "lrlrllr", ["unknown"] * 7),
        ("lrlrlrl", "rlrlrrl", ["unknown"] * 7),
    ],
)
def test_whose_sides_are_said_is_guessed_from_four_on_where_three_of_four_agree(
    moved: str, named: str, expected: list[str]
) -> None:
    assert verdicts(moved, named) == expected


def test_what_is_settled_is_not_guessed() -> None:
    assert verdicts("lr", "lr", "own") == ["right", "right"]
    assert verdicts("lr", "lr", "viewer") == ["wrong", "wrong"]
    assert verdicts("lr", "rr", "viewer") == ["right", "wrong"]


def test_the_guess_and_doubts_about_it_are_told() -> None:
    def notice(
        moved: str, named: str, spoken_sides: Literal["own", "viewer"] | None = None
    ) -> str | None:
        _, notices = judge_sides(said(named), lunges(moved), spoken_sides)
        return notices[0].text if notices else None

    assert known(notice("lrlr", "lrlr")).startswith("Left and right are taken as your own")
    assert known(notice("lrlr", "rlrl")).startswith("Left and right are taken as the viewer's")
    both = "Left and right were said sometimes for your own side"
    assert known(notice("lrlr", "lrrl")).startswith(both)
    assert notice("lrl", "lrl") is None
    assert notice("lrlr", "lrrl", "own") is None


def test_the_words_say_which_side_moved_or_why_nobody_knows() -> None:
    def difference(
        named: str, moved: str, spoken_sides: Literal["own", "viewer"] | None = None
    ) -> str:
        cues, _ = judge_sides(said(named), lunges(moved * 2), spoken_sides)
        return cues[0].difference

    assert difference("l", "r", "own") == "the right side moved (your own right)"
    assert difference("l", "l", "own") == ""
    assert difference("l", "r").startswith("it is not known whose left and right you say")
    assert difference("l", "b", "own") == difference("l", "b") == NOT_TOLD


def test_a_cue_about_a_side_begins_with_its_words_and_other_phrases_are_none() -> None:
    other = Phrase("other-side", 7.0, 7.5, "other leg")
    cues, _ = judge_sides([*said("l"), other], lunges("lr"), "own")
    assert [(c.at_s, c.text, c.kind) for c in cues] == [(6.13, "left leg", "side")]


@pytest.mark.parametrize(
    ("each_s", "expected"), [(1.5, ["right"] * 4), (1.6, ["right"] * 4), (1.45, ["unknown"] * 4)]
)
def test_quick_alternating_repetitions_are_not_called_one_by_one(
    each_s: float, expected: list[str]
) -> None:
    assert verdicts("lrlr", "lrlr", "own", each_s) == expected


def test_a_side_worked_for_a_while_needs_no_slow_repetitions() -> None:
    assert verdicts("llllrrrr", "l", "own", 0.8) == ["right"]


def test_where_no_repetition_is_seen_no_side_moved() -> None:
    def one(phrase: Phrase, take: Take) -> tuple[str, str]:
        cues, _ = judge_sides([phrase], take, "own")
        return cues[0].verdict, cues[0].difference

    four = lunges("lrlr")
    assert one(leg("l", 6.1), four) == ("right", "")
    # After the last one; before the period, and over its beginning.
    for start_s in (30.0, 1.0, 5.8):
        assert one(leg("l", start_s), four) == ("unknown", NOT_TOLD)
    # One alone has no pace.
    assert one(leg("l", 6.1), lunges("l")) == ("unknown", NOT_TOLD)
