"""Placing lines: by how much they matter, with a breath between, moved, shortened or left out."""

from __future__ import annotations

from itertools import permutations, product
from typing import Any

import pytest

from annotate.script.schedule import ScriptLine, Wish, placed

BREATH_S = 0.3
# Two seconds each at 150 words a minute (common practice, no source).
FIVE = "Down and up and down."
OTHER = "Arms and legs and arms."
ONE = "Down."


def wish(at_s: float, text: str | tuple[str, ...] = FIVE, rank: int = 5, **more: Any) -> Wish:
    texts = (text,) if isinstance(text, str) else text
    return Wish(at_s, more.pop("kind", "form"), texts, rank, **more)


def said(*wishes: Wish) -> list[tuple[float, str]]:
    """When what is said, whatever order the wishes come in."""
    results = [[(x.at_s, x.text) for x in placed(order)] for order in permutations(wishes)]
    assert all(r == results[0] for r in results)
    return results[0]


def test_a_line_with_room_is_said_at_its_time() -> None:
    assert placed([wish(3.0)]) == [ScriptLine(at_s=3.0, lasts_s=2.0, kind="form", text=FIVE)]
    assert placed([]) == []


@pytest.mark.parametrize("words", range(1, 30))
def test_a_line_lasts_as_long_as_it_takes_to_say_it(words: int) -> None:
    (line,) = placed([wish(0.0, " ".join(["up"] * words))])
    assert words / 2.5 - 1e-9 <= line.lasts_s <= words / 2.5 + 0.1


def test_lines_come_in_order_of_time() -> None:
    assert [at for at, _ in said(wish(9.0, rank=1), wish(3.0, rank=2), wish(6.0, rank=3))] == [
        3,
        6,
        9,
    ]


# --- ranks ------------------------------------------------------------------------------------


def test_of_two_lines_at_once_the_one_that_matters_more_is_said() -> None:
    assert said(wish(3.0, FIVE, 4), wish(3.0, OTHER, 5)) == [(3.0, FIVE)]
    assert said(wish(3.0, FIVE, 5), wish(3.0, OTHER, 4)) == [(3.0, OTHER)]


def test_of_two_that_matter_alike_the_earlier_one_is_said() -> None:
    assert said(wish(3.0, FIVE), wish(2.5, OTHER)) == [(2.5, OTHER)]


def test_the_line_that_matters_less_gives_way() -> None:
    first, second = wish(3.0, FIVE, 1, latest_s=9), wish(3.0, OTHER, 2, latest_s=9)
    assert said(first, second) == [(3.0, FIVE), (5.3, OTHER)]


# --- a breath between -------------------------------------------------------------------------


@pytest.mark.parametrize(("at_s", "fits"), [(5.3, True), (5.2, False), (0.7, True), (0.8, False)])
def test_a_breath_lies_between_two_lines(at_s: float, fits: bool) -> None:
    lines = said(wish(3.0, FIVE, 1), wish(at_s, OTHER, 2))
    assert (OTHER in [text for _, text in lines]) == fits


def test_a_gap_is_filled_only_by_what_leaves_a_breath_on_both_sides() -> None:
    around = (wish(0.0, rank=1), wish(4.6, rank=1))  # 2.0 to 4.6 is free
    assert (2.3, OTHER) in said(*around, wish(2.3, OTHER))
    closer = (wish(0.0, rank=1), wish(4.5, rank=1))
    assert OTHER not in [text for _, text in said(*closer, wish(2.3, OTHER))]


# --- moved within bounds ----------------------------------------------------------------------


@pytest.mark.parametrize(("latest_s", "at_s"), [(5.3, 5.3), (5.2, None), (None, None)])
def test_a_line_is_moved_later_as_far_as_it_may_be(
    latest_s: float | None, at_s: float | None
) -> None:
    lines = {t: at for at, t in said(wish(3.0, rank=1), wish(3.0, OTHER, latest_s=latest_s))}
    assert lines.get(OTHER) == at_s


@pytest.mark.parametrize(("earliest_s", "at_s"), [(0.7, 0.7), (0.8, None), (None, None)])
def test_a_line_is_moved_earlier_as_far_as_it_may_be(
    earliest_s: float | None, at_s: float | None
) -> None:
    other = wish(3.0, OTHER, earliest_s=earliest_s)
    lines = {t: at for at, t in said(wish(3.0, rank=1), other)}
    assert lines.get(OTHER) == at_s


@pytest.mark.parametrize(("wanted_s", "at_s"), [(3.9, 5.3), (3.1, 0.9)])
def test_the_nearest_free_time_is_taken(wanted_s: float, at_s: float) -> None:
    other = wish(wanted_s, OTHER, earliest_s=0, latest_s=9)
    assert (at_s, OTHER) in said(wish(3.2 if at_s < 3 else 3.0, rank=1), other)


def test_no_line_is_said_before_the_class_begins() -> None:
    other = wish(1.0, OTHER, earliest_s=-9)
    assert said(wish(1.0, rank=1), other) == [(1.0, FIVE)]
    assert said(wish(2.3, rank=1), other) == [(0.0, OTHER), (2.3, FIVE)]


# --- over by, ends at, lasts ------------------------------------------------------------------


@pytest.mark.parametrize(("end_by_s", "fits"), [(5.0, True), (4.9, False)])
def test_a_line_is_over_when_it_must_be(end_by_s: float, fits: bool) -> None:
    assert bool(said(wish(3.0, end_by_s=end_by_s, latest_s=9))) == fits


def test_a_line_that_would_be_over_too_late_is_said_earlier() -> None:
    assert said(wish(3.0, end_by_s=4.5, earliest_s=0)) == [(2.5, FIVE)]


def test_a_line_may_be_wanted_by_its_end() -> None:
    assert said(wish(0.0, ends_s=8.0)) == [(6.0, FIVE)]
    # A breath before what is already there, and no further than it may be moved.
    after = wish(7.0, OTHER, 1)
    assert said(after, wish(0.0, ends_s=8.0, earliest_s=4.7)) == [(4.7, FIVE), (7.0, OTHER)]
    assert said(after, wish(0.0, ends_s=8.0, earliest_s=4.8)) == [(7.0, OTHER)]


def test_a_count_takes_longer_than_its_words() -> None:
    count = wish(3.0, ONE, 0, lasts_s=3.7, kind="countdown")
    assert placed([count])[0].lasts_s == 3.7
    assert said(count, wish(6.9, OTHER)) == [(3.0, ONE)]
    assert said(count, wish(7.0, OTHER)) == [(3.0, ONE), (7.0, OTHER)]


# --- said shorter -----------------------------------------------------------------------------


def test_a_line_without_room_is_said_shorter() -> None:
    both = (wish(0.0, rank=1), wish(3.3, rank=1))  # 2.0 to 3.3 is free
    assert (2.3, ONE) in said(*both, wish(2.3, (OTHER, ONE)))


def test_a_line_is_rather_moved_than_shortened() -> None:
    lines = said(wish(3.0, rank=1), wish(2.2, (OTHER, ONE), latest_s=9))
    assert lines == [(3.0, FIVE), (5.3, OTHER)]


def test_the_shorter_line_is_said_only_once_and_ends_where_the_longer_one_would() -> None:
    assert said(wish(0.0, (OTHER, ONE), ends_s=8.0, end_by_s=8.0, earliest_s=7.0)) == [(7.5, ONE)]


# --- directions -------------------------------------------------------------------------------


def test_directions_are_not_spoken_and_take_no_room() -> None:
    direction = wish(3.04, OTHER, 0, kind="direction")
    lines = placed([wish(3.0), direction])
    assert [(x.at_s, x.lasts_s, x.kind) for x in lines] == [
        (3.0, 0.0, "direction"), (3.0, 2.0, "form")
    ]  # fmt: skip


def test_many_lines_never_overlap_and_stay_in_their_bounds() -> None:
    kinds = product(range(0, 40, 3), (0, 4), (0, 2))
    wishes = [
        wish(at / 2, (OTHER, ONE), rank=i % 5, earliest_s=at / 2 - lead, latest_s=at / 2 + lag)
        for i, (at, lead, lag) in enumerate(kinds)
    ]
    lines = placed(wishes)
    assert len(lines) > 6
    for a, b in zip(lines, lines[1:], strict=False):
        assert b.at_s - (a.at_s + a.lasts_s) >= BREATH_S - 1e-6
