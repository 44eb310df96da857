"""Sets that reach over the edges of their period: each repetition belongs to where its peak is."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from annotate.catalogue.model import catalogue
from annotate.counting.count import Counted, count_reps
from annotate.periods.segment import cut
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick
from tests.annotate.periods.doings import marching, signals_of, squats

SQUAT, KNEE_LIFT = catalogue()["squat"], catalogue()["knee-lift"]
# Squats last two seconds and are deepest at every odd second; knees come up in turn, at every
# whole second and a half.
CLIP_S = 20.0


@cache
def squatting() -> Signals:
    return signals_of((CLIP_S, squats()))


@cache
def lifting() -> Signals:
    return signals_of((CLIP_S, marching()))


def squats_in(start_s: float, end_s: float) -> Counted:
    return count_reps(squatting(), SQUAT, start_s, end_s)


# --- the peak decides -------------------------------------------------------------------------


def test_a_set_over_both_edges_is_counted_by_its_peaks() -> None:
    found = squats_in(4.5, 13.5)
    assert [r.peak_s for r in found.reps] == pytest.approx([5, 7, 9, 11, 13], abs=0.05)


@pytest.mark.parametrize(("start_s", "count"), [(4.9, 5), (5.1, 4)])
def test_a_peak_just_before_the_period_is_not_its_own(start_s: float, count: int) -> None:
    assert squats_in(start_s, 14.0).count == count


@pytest.mark.parametrize(("end_s", "count"), [(12.9, 4), (13.1, 5)])
def test_a_peak_just_after_the_period_is_not_its_own(end_s: float, count: int) -> None:
    assert squats_in(4.0, end_s).count == count


@pytest.mark.parametrize("at_s", np.arange(8.0, 12.0, 0.25).round(2).tolist())
def test_wherever_two_periods_part_no_repetition_is_lost_or_counted_twice(at_s: float) -> None:
    before, after = squats_in(0.0, at_s), squats_in(at_s, CLIP_S)
    assert before.count + after.count == squats_in(0.0, CLIP_S).count == 10
    assert [r.peak_s for r in (*before.reps, *after.reps)] == pytest.approx(
        np.arange(1, 20, 2), abs=0.05
    )


@pytest.mark.parametrize("at_s", np.arange(9.0, 11.0, 0.2).round(2).tolist())
def test_wherever_two_periods_part_each_side_keeps_its_own(at_s: float) -> None:
    def sides(start_s: float, end_s: float) -> list[str]:
        return [r.side for r in count_reps(lifting(), KNEE_LIFT, start_s, end_s).reps]

    assert sides(0.0, at_s) + sides(at_s, CLIP_S) == ["left", "right"] * 10


@pytest.mark.parametrize("at_s", np.arange(9.0, 11.0, 0.2).round(2).tolist())
def test_wherever_two_periods_part_a_held_repetition_is_in_one_of_them(at_s: float) -> None:
    def holding(t: float) -> stick.Stance:
        # Down at once, then slowly a little up again: the deepest sample is not the middle.
        depth = np.interp(t % 4.0, [0, 1.0, 1.3, 2.9, 3.2, 4.0], [0, 0, 1.0, 0.95, 0, 0])
        return stick.squatting(float(depth))

    signals = signals_of((CLIP_S, holding))
    before = count_reps(signals, SQUAT, 0.0, at_s)
    after = count_reps(signals, SQUAT, at_s, CLIP_S)
    assert [r.peak_s for r in (*before.reps, *after.reps)] == pytest.approx(
        np.arange(2.07, 20, 4), abs=0.05
    )
    # A short period around the held squat has it, wherever its deepest sample lies.
    if at_s < 10.0:
        assert count_reps(signals, SQUAT, at_s, 11.5).count == 1


def test_a_period_between_two_peaks_has_no_repetition() -> None:
    assert squats_in(5.2, 6.8).count == 0


# --- what is complete -------------------------------------------------------------------------


def complete(start_s: float, end_s: float) -> list[bool]:
    return [r.complete for r in squats_in(start_s, end_s).reps]


def test_inside_a_period_all_are_complete() -> None:
    assert complete(4.0, 14.0) == [True] * 5


@pytest.mark.parametrize(("start_s", "whole"), [(4.4, True), (4.6, False), (4.9, False)])
def test_a_repetition_cut_off_on_its_way_down_is_not_complete(start_s: float, whole: bool) -> None:
    assert complete(start_s, 14.0) == [whole, True, True, True, True]


@pytest.mark.parametrize(("end_s", "whole"), [(13.6, True), (13.4, False), (13.1, False)])
def test_a_repetition_cut_off_on_its_way_up_is_not_complete(end_s: float, whole: bool) -> None:
    assert complete(4.0, end_s) == [True, True, True, True, whole]


def test_one_repetition_may_be_cut_off_at_both_ends() -> None:
    assert complete(4.7, 5.3) == [False]


def test_cut_off_where_the_clip_ends_is_not_complete_either() -> None:
    signals = signals_of((9.4, squats()))
    found = count_reps(signals, SQUAT, 0.0, 60.0)
    assert [r.complete for r in found.reps] == [True] * 4 + [False]


# --- the whole shape --------------------------------------------------------------------------


def test_a_repetition_at_an_edge_keeps_the_shape_it_has_in_the_middle() -> None:
    whole = squats_in(0.0, CLIP_S).reps[2:7]  # deepest at 5 to 13
    for cut_off, same in zip(squats_in(4.95, 13.05).reps, whole, strict=True):
        assert (cut_off.start_s, cut_off.peak_s, cut_off.end_s) == pytest.approx(
            (same.start_s, same.peak_s, same.end_s), abs=0.04
        )
        assert cut_off.size == pytest.approx(same.size, rel=0.02)
    first, last = whole[0], whole[-1]
    assert first.start_s < 4.5 and last.end_s > 13.5


def test_repetitions_follow_one_another_without_overlap() -> None:
    reps = squats_in(4.5, 13.5).reps
    for rep in reps:
        assert rep.start_s < rep.peak_s < rep.end_s
    for a, b in zip(reps, reps[1:], strict=False):
        assert a.end_s <= b.start_s + 0.04


def test_a_deeper_set_beside_the_period_does_not_make_its_own_repetitions_wobbles() -> None:
    def hinges(depth: float) -> Callable[[float], stick.Stance]:
        return lambda t: stick.hinging(depth * (0.5 - 0.5 * np.cos(np.pi * t)))

    signals = signals_of((10, hinges(1.0)), (8, hinges(0.38)), (10, hinges(1.0)))
    hinge = catalogue()["hip-hinge"]
    assert count_reps(signals, hinge, 10.0, 18.0).count == 4
    assert count_reps(signals, hinge, 0.0, 10.0).count == 5


# --- boundaries found in the middle of a repetition -------------------------------------------


@pytest.mark.parametrize(("change_s", "count"), [(18.4, 9), (19.5, 10), (20.0, 10), (20.4, 10)])
def test_a_change_of_movement_in_the_middle_of_a_repetition(change_s: float, count: int) -> None:
    signals = signals_of((change_s, squats()), (20, marching()))
    first, second = cut(signals)
    assert first.end_s == pytest.approx(change_s, abs=0.2)
    assert count_reps(signals, SQUAT, first.start_s, first.end_s).count == count
    lifts = count_reps(signals, KNEE_LIFT, second.start_s, second.end_s)
    assert (lifts.of("left"), lifts.of("right")) == (10, 10)


def test_a_hole_at_the_edge_makes_the_repetition_beside_it_incomplete() -> None:
    track = stick.track(CLIP_S, squats())
    gone = (track.times_s > 13.2) & (track.times_s < 16.0)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    found = count_reps(movement_signals(track), SQUAT, 4.0, 13.2)
    assert [r.complete for r in found.reps] == [True, True, True, True, False]
