"""Where a cut goes, and which cuts are taken back, on stick figures whose changes are known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from annotate.periods.segment import Segment, cut, refine
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick
from tests.annotate.periods.doings import (
    bump,
    marching,
    reaching,
    signals_of,
    squats,
    standing,
)

# A change between two movements is one of posture within a sample or a few.
SHARP_S = 0.15


def starts(segments: tuple[Segment, ...]) -> list[float]:
    return [s.start_s for s in segments]


# --- moved to the moment of change ------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after"),
    [(squats(), marching()), (squats(), reaching), (reaching, marching()), (standing, marching())],
)
def test_a_cut_goes_to_the_moment_of_change(
    before: Callable[[float], stick.Stance], after: Callable[[float], stick.Stance]
) -> None:
    # Averages over two seconds alone put it 0.3 to 0.9 s beside.
    found = cut(signals_of((19.5, before), (20, after)))
    assert starts(found) == pytest.approx([0, 19.5], abs=SHARP_S)


@pytest.mark.parametrize("off_s", [-1.6, -0.8, 0.8, 1.6])
def test_a_boundary_beside_the_change_is_moved_there_from_either_side(off_s: float) -> None:
    signals = signals_of((19.5, squats()), (20, marching()))
    assert refine(signals, [0, 19.5 + off_s, 39.5]) == pytest.approx([0, 19.5, 39.5], abs=SHARP_S)


@pytest.mark.parametrize(("at_s", "moved_to_s"), [(22.5, 20.7), (16.5, 18.3)])
def test_a_boundary_moves_by_less_than_two_seconds(at_s: float, moved_to_s: float) -> None:
    signals = signals_of((19.5, squats()), (20, marching()))
    assert refine(signals, [0, at_s, 39.5])[1] == pytest.approx(moved_to_s, abs=0.04)


@pytest.mark.parametrize("pair", [(21.1, 21.6), (20.0, 20.6), (19.7, 21.3), (18.5, 19.1)])
def test_a_boundary_moves_no_further_than_half_way_to_the_next_one(
    pair: tuple[float, float],
) -> None:
    # Both would go to the change, one of them past the other.
    signals = signals_of((19.5, squats()), (20, marching()))
    _, first, second, _ = refine(signals, [0, *pair, 39.5])
    half_way_s = sum(pair) / 2
    assert first <= half_way_s + 0.04 and second >= half_way_s - 0.04


def test_only_what_lies_near_the_boundary_is_looked_at() -> None:
    # The same marching long before the squats does not make them alike.
    signals = signals_of((10, marching()), (30, squats()), (20, marching()))
    assert refine(signals, [0, 41, 60])[1] == pytest.approx(40, abs=0.1)


def test_a_boundary_stays_where_postures_are_missing() -> None:
    track = stick.track(40, lambda t: squats()(t) if t < 19.5 else marching()(t))
    gone = (track.times_s > 19.0) & (track.times_s < 20.2)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    assert refine(movement_signals(track), [0, 20.6, 40]) == [0, 20.6, 40]


def test_a_hole_away_from_the_boundary_does_not_matter() -> None:
    track = stick.track(40, lambda t: squats()(t) if t < 19.5 else marching()(t))
    for from_s in (12.0, 24.0):
        gone = (track.times_s > from_s) & (track.times_s < from_s + 1)
        track.xy_px[gone] = np.nan
        track.world_m[gone] = np.nan
    assert refine(movement_signals(track), [0, 20.6, 40])[1] == pytest.approx(19.5, abs=SHARP_S)


def test_the_ends_of_a_stretch_are_no_boundaries() -> None:
    signals = signals_of((19.5, squats()), (20, marching()))
    assert refine(signals, [18.5, 39.5]) == [18.5, 39.5]


# --- taken back where nothing changes ---------------------------------------------------------


@pytest.mark.parametrize(("depth", "pieces"), [(0.85, 1), (0.84, 2)])
def test_squats_a_little_less_deep_are_the_same_squats(depth: float, pieces: int) -> None:
    assert len(cut(signals_of((20, squats()), (20, squats(depth))))) == pieces
    assert len(cut(signals_of((20, squats(depth)), (20, squats())))) == pieces


def test_the_unclear_cut_is_taken_back_and_the_clear_one_stays() -> None:
    found = cut(signals_of((20, squats()), (20, squats(0.9)), (20, marching())))
    assert starts(found) == pytest.approx([0, 40], abs=SHARP_S)


def test_two_small_steps_close_together_are_one_change() -> None:
    # Each alone parts nothing; without the less clear one the other does.
    found = cut(signals_of((20, squats()), (4, squats(0.9)), (20, squats(0.8))))
    assert starts(found) == pytest.approx([0, 24], abs=SHARP_S)
    found = cut(signals_of((20, squats(0.78)), (4, squats(0.89)), (20, squats())))
    assert starts(found) == pytest.approx([0, 20], abs=SHARP_S)


def test_a_change_is_judged_by_what_lies_next_to_it_not_by_the_whole_set() -> None:
    # Long before, the squats were somewhat less deep: that blurs nothing.
    found = cut(signals_of((20, squats(0.91)), (20, squats()), (20, squats(0.82))))
    assert starts(found) == pytest.approx([0, 40], abs=SHARP_S)
    found = cut(signals_of((20, squats(0.82)), (20, squats()), (20, squats(0.91))))
    assert starts(found) == pytest.approx([0, 20], abs=SHARP_S)


def test_how_clear_a_change_is_stands_on_both_sides_of_it() -> None:
    found = cut(signals_of((20, squats()), (20, squats(0.8)), (20, marching())))
    small, large = found[1].start_clear, found[2].start_clear
    assert 0.5 <= small < 0.9 < large <= 1.0
    assert [(s.start_clear, s.end_clear) for s in found] == [
        (1.0, small), (small, large), (large, 1.0)
    ]  # fmt: skip


def test_what_changes_more_is_clearer() -> None:
    def clear(depth: float) -> float:
        return cut(signals_of((20, squats()), (20, squats(depth))))[1].start_clear

    assert clear(0.83) < clear(0.8) < clear(0.75) <= 1.0


def test_one_limb_alone_however_far_it_goes_is_no_perfectly_clear_change() -> None:
    found = cut(signals_of((20, standing), (20, lambda t: stick.Stance(arms_out=170))))
    assert len(found) == 2
    assert 0.5 <= found[1].start_clear < 0.9


# --- short stretches, absence, ends -----------------------------------------------------------


@pytest.mark.parametrize(("each_s", "pieces"), [(3.9, 1), (4.1, 2)])
def test_nothing_shorter_than_four_seconds_is_cut_off(each_s: float, pieces: int) -> None:
    assert len(cut(signals_of((each_s, squats()), (each_s, marching())))) == pieces


def missing(from_s: float, to_s: float) -> Signals:
    """Thirty seconds of squats, but nobody in the picture for a while."""
    track = stick.track(30, lambda t: stick.squatting(bump(t, 2.0)), rate_hz=10)
    gone = (track.times_s > from_s - 0.01) & (track.times_s < to_s - 0.01)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    return movement_signals(track)


@pytest.mark.parametrize(("lasts_s", "pieces"), [(1.8, 1), (2.3, 3)])
def test_two_seconds_out_of_the_picture_are_an_absence(lasts_s: float, pieces: int) -> None:
    assert len(cut(missing(12, 12 + lasts_s))) == pieces


def test_coming_and_going_is_perfectly_clear() -> None:
    found = cut(missing(12, 16))
    assert [s.absent for s in found] == [False, True, False]
    assert {c for s in found for c in (s.start_clear, s.end_clear)} == {1.0}


@pytest.mark.parametrize(
    ("from_s", "to_s", "absent"), [(0, 4, [True, False]), (26, 30, [False, True])]
)
def test_who_comes_late_or_leaves_early_is_absent_at_the_end(
    from_s: int, to_s: int, absent: list[bool]
) -> None:
    found = cut(missing(from_s, to_s))
    assert [s.absent for s in found] == absent
    assert found[0].end_s == found[1].start_s == pytest.approx(from_s or to_s, abs=0.15)


def test_segments_cover_the_clip_to_its_last_sample_in_hundredths() -> None:
    signals = signals_of((19.5, squats()), (20, marching()))
    found = cut(signals)
    assert found[0].start_s == 0.0
    assert found[-1].end_s == round(float(signals.times_s[-1]) + 1 / signals.rate_hz, 2)
    assert all(s.start_s == round(s.start_s, 2) and s.end_s == round(s.end_s, 2) for s in found)
    assert found[0].duration_s == found[0].end_s
