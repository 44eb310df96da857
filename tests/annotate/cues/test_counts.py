"""Counts said aloud: when they are right, when they are wrong, and when nobody can say."""

from __future__ import annotations

import pytest

from annotate.cues.context import Take
from annotate.cues.counts import by_distance, judge_counts, reps_left
from annotate.cues.parse import Count, Phrase
from annotate.review.model import RepSet
from tests.annotate.reviews import period, reps, review
from tests.known import known

NONE = RepSet(count=0, confidence=0)


def take(
    work: RepSet = NONE, *, movement: str = "squat", kind: str = "work", sure: float = 1.0,
    recovery: RepSet = NONE,
) -> Take:  # fmt: skip
    """Work from 10 to 30 s, recovery to 50 s."""
    found = [
        period(0, kind, 10, 30, movement, work),
        period(1, "recovery", 30, 50, "march", recovery),
    ]
    return Take(review([p.model_copy(update={"confidence": sure}) for p in found]))


def count(
    numbers: str, starts_s: tuple[float, ...], each_s: float = 1.0, spread: bool = False
) -> Count:
    return Count(tuple(map(int, numbers.split())), starts_s, each_s, spread)


def down(numbers: str, to_s: float, each_s: float = 1.0, spread: bool = False) -> Count:
    """A count down that would reach 0 at `to_s`."""
    starts_s = tuple(to_s - each_s * int(n) for n in numbers.split())
    return count(numbers, starts_s, each_s, spread)


def phrase(kind: str, start_s: float, end_s: float | None = None) -> Phrase:
    return Phrase(kind, start_s, start_s if end_s is None else end_s, kind)


def judged(
    what: Count, of: Take, *phrases: Phrase, also: tuple[Count, ...] = ()
) -> tuple[str, str, str] | None:
    """Kind, verdict and words for a count; None where it is no cue."""
    cues = [c for c in judge_counts([*also, what], phrases, of) if c.text == what.text]
    return (cues[-1].kind, cues[-1].verdict, cues[-1].difference) if cues else None


def verdict(what: Count, of: Take, *phrases: Phrase, also: tuple[Count, ...] = ()) -> str | None:
    found = judged(what, of, *phrases, also=also)
    return found and found[1]


@pytest.mark.parametrize("sign", [1, -1])
def test_between_right_and_wrong_lies_unknown(sign: int) -> None:
    told = [by_distance(sign * off, 1.0, 2.0, True) for off in (0, 1.0, 1.01, 2.0, 2.01)]
    assert told == ["right", "right", "unknown", "unknown", "wrong"]
    assert by_distance(sign * 9, 1.0, 2.0, False) == "unknown"


# --- down to a change --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("off_s", "expected"),
    [(0, "right"), (1.1, "right"), (1.3, "unknown"), (1.8, "unknown"), (2.2, "wrong"),
     (-1.1, "right"), (-1.3, "unknown"), (-1.8, "unknown"), (-2.2, "wrong"),
     (7, "wrong"), (8, "wrong"), (8.1, "unknown"), (-8.1, "unknown")],
)  # fmt: skip
def test_how_far_a_count_may_end_from_the_change(off_s: float, expected: str) -> None:
    # The change is at 30 s.
    assert verdict(down("4 3 2 1", 30 - off_s), take()) == expected


def test_the_words_say_when_the_change_came() -> None:
    early, late = down("3 2 1", 27.25), down("3 2 1", 33.25)
    assert known(judged(early, take()))[2] == "the change came 2.8 s after the count ended"
    assert known(judged(late, take()))[2] == "the change came 3.2 s before the count ended"
    assert judged(down("3 2 1", 30), take()) == ("countdown", "right", "")
    far = ("countdown", "unknown", "no change of movement near its end")
    assert judged(down("3 2 1", 20), take()) == far
    nobody = Take(take().review.model_copy(update={"periods": ()}))
    assert judged(down("3 2 1", 20), nobody) == far


def test_a_cue_begins_with_its_first_number() -> None:
    (cue,) = judge_counts([down("3 2 1", 30.128)], (), take())
    assert (cue.at_s, cue.text) == (27.13, "3, 2, 1")


@pytest.mark.parametrize(
    ("off_s", "expected"), [(1.6, "right"), (1.8, "unknown"), (2.1, "wrong"), (-1.6, "right")]
)
def test_a_count_spread_over_a_caption_may_end_half_a_number_off(
    off_s: float, expected: str
) -> None:
    assert verdict(down("4 3 2 1", 30 - off_s, spread=True), take()) == expected


def test_the_change_that_is_just_on_the_count_is_not_explained_away() -> None:
    on = down("4 3 2 1", 28.0, each_s=1.6, spread=True)
    switch = phrase("other-side", 28.0)
    assert verdict(on, take(), switch) == "right"


@pytest.mark.parametrize(
    ("at_s", "expected"),
    [(24.9, "unknown"), (22.6, "unknown"), (22.4, "wrong"), (19.0, "wrong"), (27.4, "unknown"),
     (27.5, "wrong"), (27.6, "wrong")],
)  # fmt: skip
def test_a_count_to_a_change_of_side_is_about_that(at_s: float, expected: str) -> None:
    early = down("3 2 1", 25.0)
    assert verdict(early, take(), phrase("other-side", at_s)) == expected
    assert verdict(early, take(), phrase("side", at_s)) == "wrong"


def test_of_two_counts_the_one_closer_to_the_change_is_about_it() -> None:
    early, late = down("3 2 1", 25.0), down("3 2 1", 35.0)
    closer = (down("5 4", 29.0), down("5 4", 31.0))
    assert verdict(early, take(), also=closer[:1]) == "unknown"
    assert verdict(early, take(), also=closer[1:]) == "unknown"
    assert verdict(late, take(), also=closer[1:]) == "unknown"
    # One that ends further away, or only passes by the change, says nothing.
    for other in (down("5 4", 35.5), down("5 4", 40.0), down("5 4", 24.5)):
        assert verdict(early, take(), also=(other,)) == "wrong"
    # Nor does a count up or a slow one.
    up = count("1 2", (30.0, 31.0))
    assert verdict(early, take(), also=(up,)) == "wrong"
    assert verdict(early, take(), also=(down("5 4", 29.5, each_s=1.71),)) == "wrong"
    assert verdict(early, take(), also=(down("5 4", 29.5, each_s=1.7),)) == "unknown"


def test_a_slow_count_is_not_to_a_change() -> None:
    assert verdict(down("3 2 1", 30.0, each_s=1.7), take()) == "right"
    assert verdict(down("3 2 1", 30.0, each_s=1.71), take()) is None


def test_a_change_that_is_not_sure_makes_no_count_wrong() -> None:
    early = down("4 3 2 1", 25.0)
    assert verdict(early, take(sure=0.49)) == "unknown"
    assert verdict(early, take(sure=0.5)) == "wrong"


def test_two_numbers_are_wrong_only_after_an_announcement() -> None:
    two = down("2 1", 25.0)
    assert verdict(two, take()) == "unknown"
    assert verdict(down("3 2 1", 25.0), take()) == "wrong"
    # The count begins at 23 s.
    for said_s, expected in (
        (23.0, "wrong"), (23.5, "unknown"), (22.0, "wrong"), (18.0, "wrong"), (17.9, "unknown"),
        (16.0, "unknown"),
    ):  # fmt: skip
        assert verdict(two, take(), phrase("announce", said_s - 1, said_s)) == expected
    assert verdict(two, take(), phrase("round", 21, 22)) == "unknown"
    both = (phrase("announce", 1, 2), phrase("announce", 21, 22))
    assert verdict(two, take(), *both) == "wrong"


# --- down with the repetitions -----------------------------------------------------------------


def test_a_slow_count_down_in_the_pace_of_the_repetitions_counts_them() -> None:
    squats = take(reps(10, 8, 2.5))
    # Two are left at 25 s.
    at = (15.0, 17.5, 20.0, 22.5, 25.0)
    assert judged(count("6 5 4 3 2", at, 2.5), squats) == ("rep-count", "right", "")
    # One more or less may be the one under way; it is the last number that says so.
    assert known(judged(count("5 4 3 2 1", at, 2.5), squats))[1] == "right"
    assert known(judged(count("7 6 5 4 3", at, 2.5), squats))[1] == "right"
    assert judged(count("10 9 8 7 6", at, 2.5), squats) == (
        "rep-count", "wrong", "2 repetitions followed",
    )  # fmt: skip
    assert judged(count("6 5 4 3 2", at, 4.0), squats) is None
    assert judged(count("6 5 4 3 2", at, 2.5), take()) is None


@pytest.mark.parametrize(
    ("each_s", "cue"),
    [(2.0, True), (2.4, True), (2.5, True), (2.6, False), (1.75, True), (1.72, True)],
)
def test_the_pace_of_a_count_may_be_off_by_a_quarter(each_s: float, cue: bool) -> None:
    squats = take(reps(10, 10, 2.0))
    found = judged(count("6 5 4", (18.0, 20.0, 22.0), each_s), squats)
    assert (found is not None) is cue


@pytest.mark.parametrize(("each_s", "cue"), [(4.0, True), (3.0, True), (2.9, False), (5.1, False)])
def test_pairs_of_alternating_repetitions_may_be_counted(each_s: float, cue: bool) -> None:
    curls = reps(10, 10, 2.0)
    what = count("5 4 3", (12.0, 16.0, 20.0), each_s)
    assert (judged(what, take(curls, movement="hamstring-curl")) is not None) is cue
    # Squats are not counted in pairs.
    squats = judged(what, take(curls))
    assert squats is None


def test_whose_pace_is_that_of_the_period_in_which_the_count_began() -> None:
    over_the_edge = count("3 2 1", (26.0, 28.0, 30.0), 2.0)
    assert known(judged(over_the_edge, take(reps(10, 10, 2.0))))[0] == "rep-count"
    assert judged(over_the_edge, take(recovery=reps(30, 10, 2.0))) is None
    assert (
        known(judged(count("3 2 1", (29.0, 31.0, 33.0), 2.0), take(reps(10, 10, 2.0))))[0]
        == "rep-count"
    )
    assert judged(count("3 2 1", (5.0, 7.0, 9.0), 2.0), take(reps(10, 10, 2.0))) is None


def test_fast_repetitions_counted_down_may_be_right_as_such() -> None:
    fast = take(reps(10, 15, 1.0))
    # The set ends at 25 s, the period at 30 s.
    with_reps = down("4 3 2 1", 25.0)
    assert judged(with_reps, fast) == ("rep-count", "right", "")
    assert judged(with_reps, take()) == (
        "countdown", "wrong", "the change came 5.0 s after the count ended",
    )  # fmt: skip
    # In a recovery a count is to its end.
    assert known(judged(with_reps, take(reps(10, 15, 1.0), kind="recovery")))[:2] == (
        "countdown",
        "wrong",
    )
    # Right as a countdown, it is one.
    to_the_end = take(reps(10, 20, 1.0))
    assert judged(down("4 3 2 1", 30.0), to_the_end) == ("countdown", "right", "")


def test_a_fast_count_that_is_wrong_either_way_is_wrong() -> None:
    fast = take(reps(10, 20, 1.0))
    # At 24 s "one", and six followed.
    assert known(judged(down("4 3 2 1", 25.0), fast))[:2] == ("countdown", "wrong")
    # At 26.6 s "two", and 3.4 followed: off by 1.4, which may be the one under way.
    unsure = down("5 4 3 2", 28.6 - 1e-9)
    assert known(judged(unsure, take()))[1] == "unknown"
    later = down("5 4 3 2", 27.6)
    assert known(judged(later, take()))[1] == "wrong"
    assert known(judged(later, take(reps(10, 19, 1.0))))[1] == "unknown"


def test_a_count_in_pace_that_two_numbers_are_too_few_for() -> None:
    squats = take(reps(10, 8, 2.5))
    assert known(judged(count("8 7", (22.5, 25.0), 2.5), squats))[1] == "unknown"
    assert known(judged(count("9 8 7", (20.0, 22.5, 25.0), 2.5), squats))[1] == "wrong"


# --- up with the repetitions -------------------------------------------------------------------

SQUATS = take(reps(10, 10, 2.0))


def test_a_count_up_names_the_repetition_under_way() -> None:
    said = count("1 2 3", (11.0, 13.0, 15.0), 2.0)
    assert judged(said, SQUATS) == ("rep-count", "right", "")
    # In a recovery, or out of pace, it counts beats.
    assert judged(said, take(reps(10, 10, 2.0), kind="recovery")) is None
    assert judged(count("1 2 3", (11.0, 13.0, 15.0), 3.0), SQUATS) is None
    assert judged(said, take()) is None
    assert judged(count("1 2 3", (51.0, 53.0, 55.0), 2.0), SQUATS) is None


@pytest.mark.parametrize(
    ("last_s", "expected"),
    [(15.3, "right"), (15.1, "unknown"), (15.0, "unknown"), (14.3, "unknown"), (14.1, "wrong")],
)
def test_how_far_a_count_up_may_get_ahead(last_s: float, expected: str) -> None:
    # "Four" while the third is under way; at 15 s two and a half are done.
    assert verdict(count("1 2 4", (11.0, 13.0, last_s), 2.0), SQUATS) == expected


def test_a_count_up_may_fall_behind_as_far() -> None:
    at = (11.0, 13.0, 17.0)
    assert judged(count("1 2 2", at, 2.0), SQUATS) is not None
    told = [
        known(judged(count("1 2 3", (11.0, 13.0, last), 2.0), SQUATS))[1]
        for last in (16.7, 17.1, 18)
    ]
    assert told == ["right", "unknown", "wrong"]


def test_the_words_say_about_how_many_had_been_done() -> None:
    ahead = count("1 2 6", (11.0, 13.0, 15.0), 2.0)
    assert judged(ahead, SQUATS) == ("rep-count", "wrong", "about 3 had been done")
    earlier = count("1 2 6", (11.0, 13.0, 14.2), 2.0)
    assert known(judged(earlier, SQUATS))[2] == "about 3 had been done"
    before = count("1 2 6", (10.0, 10.0, 10.0), 2.0)
    assert known(judged(before, SQUATS))[2] == "about 0 had been done"


def test_a_count_up_that_joined_in_late_is_not_wrong() -> None:
    # "Two" when 0.6 are done is 0.9 ahead, the most that counts as having begun right.
    from_0 = Take(review([period(0, "work", 0, 30, "squat", reps(0, 10, 2.0))]))
    assert verdict(count("2 3 6", (1.2, 3.0, 5.0), 2.0), from_0) == "wrong"
    assert verdict(count("2 3 6", (1.1, 3.0, 5.0), 2.0), from_0) == "unknown"
    # And when 2.3 are done it is behind by 0.8, when 2.5 are by 1.0.
    assert verdict(count("2 3 8", (14.6, 15.0, 17.0), 2.0), SQUATS) == "wrong"
    assert verdict(count("2 3 8", (15.0, 15.5, 17.0), 2.0), SQUATS) == "unknown"


def test_two_numbers_are_too_few_for_a_count_up_to_be_wrong() -> None:
    assert verdict(count("1 6", (11.0, 15.0), 2.0), SQUATS) == "unknown"
    assert verdict(count("1 2 6", (11.0, 13.0, 15.0), 2.0), SQUATS) == "wrong"


def test_pairs_counted_up_are_right_as_pairs() -> None:
    curls = take(reps(10, 20, 1.0), movement="hamstring-curl")
    assert verdict(count("1 2 3", (11.0, 13.0, 15.0), 2.0), curls) == "right"
    assert verdict(count("2 4 6", (11.0, 13.0, 15.0), 1.0), curls) == "right"
    # Begun as pairs, at once or later, ended as neither pairs nor single ones.
    assert verdict(count("4 5 20", (17.0, 19.0, 21.0), 2.0), curls) == "wrong"
    assert verdict(count("1 2 9", (11.0, 13.0, 15.0), 2.0), curls) == "wrong"
    assert (
        known(judged(count("1 2 9", (11.0, 13.0, 15.0), 2.0), curls))[2] == "about 6 had been done"
    )


def test_repetitions_that_were_not_counted_surely_make_no_count_wrong() -> None:
    # The pace is known from the period in which the count began, the repetitions are not.
    unsure = reps(10, 10, 2.0).model_copy(update={"confidence": 0.59})
    assert judged(count("1 2 6", (11.0, 13.0, 15.0), 2.0), take(unsure)) is None
    assert reps_left(20.0, 3, take(unsure).periods[0], take(unsure)) == (
        "unknown", "the repetitions there could not be counted for sure",
    )  # fmt: skip


# --- so many more ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at_s", "expected"),
    [(24.0, "right"), (21.6, "right"), (21.4, "unknown"), (21.1, "unknown"), (20.9, "wrong"),
     (26.4, "right"), (26.6, "unknown"), (26.9, "unknown"), (27.1, "wrong")],
)  # fmt: skip
def test_how_far_so_many_more_may_be_off(at_s: float, expected: str) -> None:
    # Three are left at 24 s.
    assert reps_left(at_s, 3, SQUATS.periods[0], SQUATS)[0] == expected


def test_the_words_say_how_many_followed() -> None:
    squats = SQUATS.periods[0]
    assert reps_left(24.0, 3, squats, SQUATS) == ("right", "")
    assert reps_left(20.0, 2, squats, SQUATS) == ("wrong", "5 repetitions followed")
    assert reps_left(28.0, 3, squats, SQUATS) == ("wrong", "1 repetition followed")
    assert reps_left(30.0, 3, squats, SQUATS) == ("wrong", "0 repetitions followed")
    assert reps_left(26.0, 5, squats, SQUATS) == ("wrong", "2 repetitions followed")


def test_so_many_more_may_be_pairs_or_single_ones() -> None:
    curls = take(reps(10, 10, 2.0), movement="hamstring-curl")
    one = curls.periods[0]
    # Eight single ones, four pairs are left at 14 s.
    told = [reps_left(14.0, n, one, curls)[0] for n in (4, 8, 6, 11)]
    assert told == ["right", "right", "wrong", "wrong"]
    assert reps_left(14.0, 2, SQUATS.periods[0], SQUATS)[0] == "wrong"


def test_two_numbers_are_too_few_for_so_many_more_to_be_wrong() -> None:
    squats = SQUATS.periods[0]
    two, three = count("4 3", (18.0, 20.0), 2.0), count("5 4 3", (16.0, 18.0, 20.0), 2.0)
    assert reps_left(20.0, 2, squats, SQUATS, two)[0] == "unknown"
    assert reps_left(20.0, 2, squats, SQUATS, three)[0] == "wrong"
    assert reps_left(20.0, 2, squats, SQUATS)[0] == "wrong"
