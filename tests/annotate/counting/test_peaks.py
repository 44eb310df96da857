"""Peaks of signals of a few samples, and which of them make a set."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from annotate.counting.peaks import (
    Floats,
    Peak,
    large_or_in_rhythm,
    middle,
    peaks,
    sized_by_rise,
    weighted_median,
)

NAN = float("nan")


def found(
    x: Sequence[float], least: float = 0.1, distance: float = 1.0, stay: float = 2.0
) -> list[tuple[int, float]]:
    return peaks(np.array(x), least, distance, stay)


# --- peaks -------------------------------------------------------------------------------------


def test_a_peak_takes_three_known_samples() -> None:
    assert found([0, 1, 0]) == [(1, 1.0)]
    assert found([0, 1], stay=0.0) == []
    assert found([NAN, 0, 1, NAN], stay=0.0) == []


def test_both_ends_count_as_the_low_tenth_of_the_signal() -> None:
    # Of eleven samples the second smallest is 1; to the left of the peak nothing is below 5.
    assert found([5, 9, 5, 5, 5, 5, 5, 5, 5, 1, 0], least=3.0) == [(1, 8.0)]


def test_of_two_peaks_that_are_too_close_the_larger_is_kept() -> None:
    x = [0, 2, 0, 3, 0, 0, 0, 0, 0, 0]
    assert found(x, distance=3.0) == [(3, 3.0)]
    assert found(x, distance=2.0) == [(1, 2.0), (3, 3.0)]
    assert found(x, distance=0.5) == [(1, 2.0), (3, 3.0)]


def test_a_peak_right_after_a_gap_may_lie_in_the_gap() -> None:
    assert found([0, 0, NAN, 3, 0, 0, 0, 0, 0, 0]) == []
    assert found([0, 0, NAN, 1, 3, 0, 0, 0, 0, 0]) == [(4, 3.0)]


def test_a_peak_right_before_a_gap_may_lie_in_the_gap() -> None:
    assert found([0, 0, 1, 3, NAN, 0, 0, 0, 0, 0]) == []
    assert found([0, 0, 1, 3, 2, NAN, 0, 0, 0, 0]) == [(3, 3.0)]
    # Nor is a peak right behind it one that goes on.
    assert found([0, 0, 0, 0, 0, 0, 0, 1, 3, 1]) == [(8, 3.0)]


@pytest.mark.parametrize(
    ("before", "arrived"), [(94.0, True), (93.0, True), (92.0, False), (91.0, False)]
)
def test_who_hardly_moves_on_at_the_end_of_the_clip_has_arrived(
    before: float, arrived: bool
) -> None:
    # Less than 0.08 of the way within two samples.
    expected = [(6, 100.0)] if arrived else []
    assert found([0, 0, 0, 50, before, 99, 100]) == expected
    # The same before a gap.
    assert found([0, 0, 0, 50, before, 99, 100, NAN, NAN]) == expected


def test_who_arrived_longer_ago_than_asked_for_has_arrived_too() -> None:
    assert found([0, 0, 50, 97, 98, 99, 100], stay=3.0) == [(6, 100.0)]
    assert found([0, 0, 50, 97, 98, 99, 100], stay=4.0) == []
    assert found([0, 50, 100], stay=0.0) == [(2, 90.0)]


@pytest.mark.parametrize(
    ("first", "seen"), [(2.0, True), (2.2, True), (2.25, True), (2.3, False), (2.5, False)]
)
def test_of_the_rise_a_quarter_must_be_seen(first: float, seen: bool) -> None:
    # The peak of 3 rises from 0, most of it before the clip.
    assert found([first, 3, 0, 0, 0, 0, 0, 0]) == ([(1, 3.0)] if seen else [])


def test_a_signal_that_begins_at_its_top_has_no_peak_there() -> None:
    assert found([3, 2, 1, 0, 0, 0, 0, 0]) == []


# --- on the beat -------------------------------------------------------------------------------


def beats(large: list[int], weak: dict[int, float]) -> list[int]:
    """Which peaks are kept of large ones of 1.0, and weaker ones; large is 0.5, weak is 0.2."""
    x = np.zeros(1)
    all_of_them = [Peak(i, 1.0, "both", x) for i in large]
    all_of_them += [Peak(i, size, "both", x) for i, size in weak.items()]
    return [p.index for p in large_or_in_rhythm(all_of_them, 0.5, 0.2)]


def test_a_beat_takes_five_repetitions() -> None:
    assert beats([0, 10, 20, 40, 50], {30: 0.3}) == [0, 10, 20, 30, 40, 50]
    assert beats([0, 10, 20, 40], {30: 0.3}) == [0, 10, 20, 40]


@pytest.mark.parametrize(("size", "kept"), [(0.5, True), (0.49, True), (0.2, True), (0.19, False)])
def test_how_weak_a_peak_on_the_beat_may_be(size: float, kept: bool) -> None:
    assert (30 in beats([0, 10, 20, 40, 50], {30: size})) is kept
    # In a pause or between two beats only a large one counts.
    assert (25 in beats([0, 10, 20, 30, 40], {25: size})) is (size == 0.5)


@pytest.mark.parametrize(
    ("gap", "filled"),
    [(13, False), (14, False), (15, True), (16, True), (24, True), (25, True), (26, False),
     (27, False)],
)  # fmt: skip
def test_a_gap_of_about_two_beats_is_filled(gap: int, filled: bool) -> None:
    at = 20 + gap // 2
    after = [20 + gap + 10 * k for k in range(4)]
    assert (at in beats([0, 10, 20, *after], {at: 0.3})) is filled


@pytest.mark.parametrize(
    ("at", "kept"), [(26, False), (27, False), (28, True), (32, True), (33, False), (34, False)]
)
def test_a_weak_peak_lies_about_midway(at: int, kept: bool) -> None:
    assert (at in beats([0, 10, 20, 40, 50, 60], {at: 0.3})) is kept


def test_a_quarter_of_a_beat_from_the_middle_is_midway() -> None:
    # Midway between 20 and 45 is 32.5.
    assert 30 in beats([0, 10, 20, 45, 55, 65], {30: 0.3})
    assert 35 in beats([0, 10, 20, 45, 55, 65], {35: 0.3})


def test_a_gap_is_filled_once_and_the_others_too() -> None:
    large = [0, 10, 20, 40, 50, 70]
    assert beats(large, {29: 0.3, 31: 0.4, 60: 0.3}) == [0, 10, 20, 29, 40, 50, 60, 70]


# --- sizes and the middle ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [([2, 3, 5], 3), ([4, 6], 6), ([3, 3, 4], 3), ([1, 1, 1, 1, 9], 9), ([7], 7)],
)
def test_half_of_all_movement_lies_up_to_the_typical_size(
    sizes: list[float], expected: float
) -> None:
    assert weighted_median(np.array(sizes, dtype=float)) == expected
    assert weighted_median(np.array(sizes[::-1], dtype=float)) == expected


@pytest.mark.parametrize(
    ("signal", "rest", "expected"),
    [("knee_lift_diff", 0.1, 0.1), ("knee_lift_diff", 0.19, 0.19), ("knee_lift_diff", 0.24, 0.2),
     ("knee_lift_diff", -0.3, -0.2), ("side_lean_deg", 14.0, 14.0), ("side_lean_deg", 17.0, 15.0),
     ("side_lean_deg", -20.0, -15.0)],
)  # fmt: skip
def test_a_signed_signal_rests_near_zero(signal: str, rest: float, expected: float) -> None:
    even = rest + np.sin(np.linspace(0, 40 * np.pi, 4001))
    assert middle(even, signal) == pytest.approx(expected, abs=1e-3)


def of_21(low: float, fifth: float, half: float, high: float) -> Floats:
    """Samples whose 5th, 20th, 50th and 95th percentile are these; beyond lie extremes."""
    at = [0, 1, 3, 4, 5, 10, 19, 20]
    values = [low - 9, low, fifth - 0.25, fifth, fifth + 0.25, half, high, high + 9]
    return np.interp(np.arange(21), at, values)


@pytest.mark.parametrize(
    ("high", "rest"),
    [
        # The middle lies at 0, the low end at -2: a set to one side rests where its fifth is.
        (5.6, -1.0), (5.1, -1.0), (5.0, 1.5), (4.4, 1.2), (2.0, 0.0),
    ],
)  # fmt: skip
def test_a_set_to_one_side_rests_at_its_other_end(high: float, rest: float) -> None:
    values = of_21(-2.0, -1.0, 0.0, high)
    assert middle(values, "side_lean_deg") == pytest.approx(rest)
    assert middle(-values, "side_lean_deg") == pytest.approx(-rest)


def test_a_swing_is_as_large_as_the_way_to_it() -> None:
    x = np.array([0.5, 2.0, -1.0, -3.0, 0.0, 4.0, -9.0])
    there = [Peak(5, 1.0, "left", x), Peak(1, 1.0, "left", x), Peak(3, 1.0, "right", -x)]
    assert [(p.index, p.side, p.size) for p in sized_by_rise(there)] == [
        (1, "left", 1.5), (3, "right", 5.0), (5, "left", 7.0),
    ]  # fmt: skip
