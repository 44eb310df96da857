"""Left and right of what goes to both sides, and which excursions are large enough to count."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from annotate.catalogue.model import catalogue
from annotate.counting.count import Counted, count_reps
from pose.signals.compute import movement_signals
from tests import stick

CLIP_S = 16.0


def counted(
    movement: str, stance: Callable[[float], stick.Stance], *, mirrored: bool = False
) -> Counted:
    signals = movement_signals(stick.track(CLIP_S, stance), mirrored=mirrored)
    return count_reps(signals, catalogue()[movement], 0.0, CLIP_S)


def bending(sides: Sequence[int]) -> Callable[[float], stick.Stance]:
    """One bend in two seconds, to the left for 1 and to the right for -1."""

    def stance(t: float) -> stick.Stance:
        side = sides[int(t // 2)] if t // 2 < len(sides) else 0
        return stick.Stance(lean_left=25 * side * (0.5 - 0.5 * np.cos(np.pi * t)))

    return stance


def running(t: float) -> stick.Stance:
    """To the left and to the right in turn, two seconds each way, the left one first."""
    return stick.Stance(shift_left_m=float(-0.6 * np.cos(np.pi * t / 2)))


@pytest.mark.parametrize("first", [1, -1])
def test_a_bend_to_the_left_is_a_left_one(first: int) -> None:
    found = counted("side-bend", bending([first, -first] * 4))
    names = {1: "left", -1: "right"}
    assert [r.side for r in found.reps] == [names[first], names[-first]] * 4
    assert (found.of("left"), found.of("right")) == (4, 4)


@pytest.mark.parametrize(("side", "counts"), [(1, (6, 0)), (-1, (0, 6))])
def test_bends_to_one_side_only_leave_the_other_without(side: int, counts: tuple[int, int]) -> None:
    found = counted("side-bend", bending([side] * 6))
    assert (found.of("left"), found.of("right")) == counts


def test_in_a_mirror_left_is_right() -> None:
    found = counted("side-bend", bending([1] * 6), mirrored=True)
    assert (found.of("left"), found.of("right")) == (0, 6)


def test_a_run_is_of_the_side_it_goes_to() -> None:
    found = counted("side-jog", running)
    # What becomes of the one that arrives as the clip ends is not the question here.
    whole = found.reps[:7]
    assert [r.side for r in whole] == ["left", "right"] * 3 + ["left"]
    assert [r.peak_s for r in whole] == pytest.approx(np.arange(2, 16, 2), abs=0.1)


# --- large enough -----------------------------------------------------------------------------


def hinges(*depths: float) -> Counted:
    def stance(t: float) -> stick.Stance:
        starts = [1.0 + 2.5 * k for k in range(len(depths))]
        waves = (d * float(stick.wave(np.array([t]), [s], 2.0)[0])
                 for d, s in zip(depths, starts, strict=True))  # fmt: skip
        return stick.hinging(sum(waves))

    return counted("hip-hinge", stance)


@pytest.mark.parametrize(("depth", "count"), [(0.37, 4), (0.47, 5)])
def test_an_excursion_of_less_than_two_fifths_of_the_others_is_no_repetition(
    depth: float, count: int
) -> None:
    assert hinges(1, 1, depth, 1, 1).count == count


@pytest.mark.parametrize(("depth", "sure"), [(0.5, False), (0.7, True)])
def test_a_small_repetition_makes_the_count_less_sure(depth: float, sure: bool) -> None:
    found = hinges(1, 1, depth, 1, 1)
    assert found.count == 5
    assert (found.confidence == 1.0) == sure


def test_a_cadence_takes_three_repetitions() -> None:
    assert hinges(1, 1).cadence_per_min is None
    assert hinges(1, 1, 1).cadence_per_min == pytest.approx(60 / 2.5, abs=0.3)
