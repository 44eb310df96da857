"""Phrases and counts in a stream of timed words."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.cues.captions import Word
from annotate.cues.parse import Count, Phrase, hear


def spoken(*said: tuple[float, str], spread: bool = False) -> list[Word]:
    """Words of 0.2 s from these times on; a full stop ends a sentence."""
    return [
        Word(text.rstrip("."), start_s, start_s + 0.2, spread, text.endswith("."))
        for start_s, text in said
    ]


def flowing(text: str, start_s: float = 0.0) -> list[Word]:
    """Words without pauses, 0.4 s each."""
    return spoken(*((start_s + 0.4 * i, word) for i, word in enumerate(text.split())))


def phrases(words: list[Word]) -> list[Phrase]:
    return hear(words)[0]


def numbers(text: str) -> list[tuple[int | None, int | None]]:
    return [(p.number, p.of) for p in phrases(flowing(text))]


def counts(*said: tuple[float, str]) -> list[Count]:
    return hear(spoken(*said))[1]


def at(numbers: str, *starts_s: float) -> list[tuple[int, ...]]:
    """The numbers of each count heard in numbers said at these times."""
    return [c.numbers for c in counts(*zip(starts_s, numbers.split(), strict=True))]


# --- numbers -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("twenty five", 25), ("thirty one", 31), ("forty nine", 49), ("fifty two", 52),
        ("eleven", 11), ("30", 30), ("twenty", 20),
    ],
)  # fmt: skip
def test_tens_and_ones_are_one_number(said: str, number: int | None) -> None:
    (phrase,) = phrases(flowing(f"and give me {said} please"))
    assert (phrase.number, phrase.text) == (number, f"give me {number if ' ' in said else said}")
    assert (phrase.start_s, phrase.end_s) == pytest.approx((0.4, 1.2 + 0.4 * said.count(" ") + 0.2))


@pytest.mark.parametrize("said", ["ten five", "nineteen five", "20 five", "twenty 5", "twenty ten"])
def test_other_numbers_one_after_the_other_stay_two(said: str) -> None:
    first, second = said.split()
    (phrase,) = phrases(flowing(f"give me {said}"))
    assert phrase.text == f"give me {first}"
    assert phrases(flowing(f"{said} more"))[0].text == f"{second} more"


@pytest.mark.parametrize(("apart_s", "number"), [(0.66, 25), (0.69, 25), (0.7, 5), (0.72, 5)])
def test_tens_and_ones_with_a_pause_between_stay_two(apart_s: float, number: int | None) -> None:
    # A token for the pause would stand between: the words themselves leave none.
    words = [Word("twenty", 0.0, 0.6), Word("five", apart_s, 1.0), Word("more", 1.0, 1.3)]
    assert phrases(words)[0].number == number


# --- phrases -----------------------------------------------------------------------------------


def test_rounds_and_their_number_are_told_apart() -> None:
    assert numbers("round two of four") == [(2, 4)]
    assert numbers("third round") == [(3, None)]
    assert numbers("last round") == [(None, None)]


@pytest.mark.parametrize(
    ("starts_s", "heard"), [((0.0, 1.0), 1), ((0.0, 0.9), 1), ((0.0, 1.01), 0)]
)
def test_a_pause_ends_a_phrase(starts_s: list[float], heard: Any) -> None:
    words = [Word("half", 0.0, 0.3), Word("way", starts_s[1], starts_s[1] + 0.3)]
    assert len(phrases(words)) == heard


def test_the_end_of_a_sentence_ends_a_phrase() -> None:
    assert len(phrases(spoken((0.0, "half"), (0.3, "way")))) == 1
    assert len(phrases(spoken((0.0, "half."), (0.3, "way")))) == 0
    # Only the pause right after a word counts.
    assert len(phrases(spoken((0.0, "half"), (0.3, "way"), (5.0, "good")))) == 1


def test_phrases_come_in_order_of_time() -> None:
    heard = phrases(spoken((0.0, "halfway"), (3.0, "five"), (3.3, "seconds"), (3.6, "left")))
    assert [p.kind for p in heard] == ["halfway", "seconds-left"]


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("give me five four three", []), ("give me five three", []), ("give me five two", [5]),
        ("give me five five", [5]), ("give me five six", [5]), ("give me five and four", [5]),
        ("give me five please", [5]), ("give me five", [5]),
    ],
)  # fmt: skip
def test_a_number_that_begins_a_count_down_is_no_part_of_the_phrase_before(
    said: str, heard: Any
) -> None:
    assert [p.number for p in phrases(flowing(said)) if p.kind == "reps-left"] == heard


def test_a_phrase_without_a_number_may_stand_before_one() -> None:
    assert [p.kind for p in phrases(flowing("halfway two"))] == ["halfway"]


def test_a_count_after_one_phrase_does_not_hide_the_next() -> None:
    words = [*flowing("give me five four three"), *flowing("give me eight", 9.0)]
    assert [p.number for p in phrases(words)] == [8]


@pytest.mark.parametrize(("again_s", "times"), [(0.9, 1), (1.0, 1), (1.1, 2)])
def test_what_a_caption_shows_again_is_said_once(again_s: float, times: int) -> None:
    words = spoken((0.0, "halfway"), (again_s, "halfway"))
    assert len(phrases(words)) == times


def test_sides_and_movements_are_named() -> None:
    left, other = phrases(flowing("your left leg")), phrases(flowing("next up side lunges"))
    assert [(p.kind, p.side) for p in left] == [("side", "left")]
    assert [(p.kind, p.movement) for p in other] == [("announce", "side-lunge")]


# --- counts ------------------------------------------------------------------------------------


def test_a_count_is_two_numbers_or_more_and_each_count_by_itself() -> None:
    assert at("5 4", 0, 1) == [(5, 4)]
    assert at("5", 0) == []
    assert at("5 4 9 8 7", 0, 1, 2, 3, 4) == [(5, 4), (9, 8, 7)]
    assert at("1 2 3 4 5", 0, 1, 2, 3, 4) == [(1, 2, 3, 4, 5)]


def test_numbers_of_phrases_are_not_counted() -> None:
    assert counts((0.0, "two"), (0.3, "more"), (1.0, "one"), (2.0, "zero")) == []
    assert at("5 4 two", 0, 1, 3) == [(5, 4, 2)]


def test_a_count_knows_its_pace_and_where_it_would_end() -> None:
    (down,) = counts((10.0, "five"), (12.0, "three"), (13.0, "two"))
    assert (down.numbers, down.starts_s, down.each_s) == ((5, 3, 2), (10.0, 12.0, 13.0), 1.0)
    assert down.down and down.time_of(0) == pytest.approx(15.0)
    (up,) = counts((10.0, "one"), (12.0, "two"), (14.0, "three"))
    assert not up.down and up.time_of(4) == pytest.approx(16.0)


def test_one_spread_word_makes_a_count_spread() -> None:
    given, spread = spoken((0.0, "five"), (1.0, "four")), spoken((2.0, "three"), spread=True)
    assert not hear(given)[1][0].spread
    assert hear([*given, *spread])[1][0].spread
    # Tens and ones are as sure as the tens are.
    tens = [*spoken((0.0, "twenty"), spread=True), *spoken((0.3, "five")), *spoken((2.0, "24"))]
    assert hear(tens)[1][0].spread


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        # As the first number anything may be meant; at the right place it is the number.
        (((0, "for"), (1, "three"), (2, "two")), [(3, 2)]),
        (((0, "five"), (1, "for"), (2, "three")), [(5, 4, 3)]),
        # Too far from the number before, or at the wrong time, it is just a word.
        (((0, "six"), (1, "for")), []),
        (((0, "six"), (1, "for"), (3, "three")), []),
        (((0, "five"), (9, "for")), []),
        (((0, "nine"), (1, "lovely"), (2, "eight")), [(9, 8)]),
    ],
)  # fmt: skip
def test_a_word_that_sounds_like_a_number_counts_only_where_it_is_expected(
    said: str, heard: Any
) -> None:
    assert [c.numbers for c in counts(*said)] == heard


@pytest.mark.parametrize(
    ("again_s", "first_s"), [(0.3, 0.0), (0.4, 0.0), (0.5, 0.5), (0.6, 0.6), (0.9, 0.9)]
)
def test_a_number_shown_twice_is_said_once(again_s: float, first_s: float) -> None:
    (count,) = counts((0.0, "five"), (again_s, "five"), (1.3, "four"))
    assert (count.numbers, count.starts_s[0]) == ((5, 4), first_s)


def test_a_number_shown_twice_within_a_count_is_said_once() -> None:
    (count,) = counts((0, "six"), (1, "five"), (2, "four"), (2.3, "four"), (3, "three"))
    assert (count.numbers, count.starts_s) == ((6, 5, 4, 3), (0, 1, 2, 3))
    assert at("6 5 4", 0, 0.4, 0.8) == [(6, 5, 4)]


@pytest.mark.parametrize(
    ("apart_s", "counted"),
    [(0.24, False), (0.25, True), (0.26, True), (5.9, True), (6.0, True), (6.1, False)],
)
def test_numbers_too_fast_or_too_slow_are_no_count(apart_s: float, counted: Any) -> None:
    assert at("5 4", 0, apart_s) == ([(5, 4)] if counted else [])


def test_numbers_that_were_not_understood_may_be_missing() -> None:
    # Two in between; before the direction is known, one.
    assert at("9 8 5", 0, 1, 4) == [(9, 8, 5)]
    assert at("9 8 4", 0, 1, 5) == [(9, 8)]
    assert at("1 2 5", 0, 1, 4) == [(1, 2, 5)]
    assert at("1 2 6", 0, 1, 5) == [(1, 2)]
    assert at("9 7", 0, 4) == [(9, 7)]
    assert at("9 6", 0, 3) == []
    assert at("1 4", 0, 3) == []


def test_a_count_keeps_its_direction() -> None:
    assert at("5 4 5 6", 0, 1, 2, 3) == [(5, 4), (5, 6)]
    assert at("4 5 4 3", 0, 1, 2, 3) == [(4, 5), (4, 3)]
    assert at("4 5 7 6", 0, 1, 3, 4) == [(4, 5, 7)]


@pytest.mark.parametrize(
    ("first_s", "then_s", "goes_on"),
    [(1, 1.35, True), (1, 1.45, False), (1, 0.65, True), (1, 0.5, False), (5, 3, True),
     (2, 2, True), (2, 2.7, True)],
)  # fmt: skip
def test_a_count_keeps_its_pace(first_s: float, then_s: float, goes_on: bool) -> None:
    heard = at("5 4 3", 0, first_s, first_s + then_s)
    assert heard == ([(5, 4, 3)] if goes_on else [(5, 4)])
