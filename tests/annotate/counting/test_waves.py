"""Counting on waves made by hand: every threshold from both sides.

Excursions of size 1 on a signal in trunk lengths, sampled 30 times a second, so that tops and
feet lie on samples.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest

from annotate.catalogue.model import Carrier, Movement, SideRule
from annotate.counting.count import Counted, FoundRep, count_reps, is_even, is_side_view
from tests.annotate.counting.waves import RATE_HZ, Floats, bumps, signals, times_s

NAN = float("nan")
NAME = "wrist_height"


def movement(
    *carriers: Carrier, alternating: bool = False, held: bool = False,
    tempo: tuple[float, float] = (4, 240),
) -> Movement:  # fmt: skip
    return Movement(
        id="wave", name="Wave", repetition="one", sides="alternating" if alternating else "both",
        counts=carriers, tempo=tempo, intensity="easy", held=held,
    )  # fmt: skip


UP = movement(Carrier(signal=NAME, peak="high", size=0.1))


def counted(
    wave: Floats, entry: Movement = UP, start_s: float = 0.0, end_s: float | None = None
) -> Counted:
    lasts_s = len(wave) / RATE_HZ
    return count_reps(signals({NAME: wave}), entry, start_s, lasts_s if end_s is None else end_s)


def every_2_s(*sizes: float) -> Floats:
    """Excursions of 1.6 s, one in two seconds, the first at its top at 1.8 s."""
    starts = [1.0 + 2.0 * k for k in range(len(sizes))]
    return bumps(2.0 * len(sizes) + 2, starts, 1.6, list(sizes))


# --- which excursions count --------------------------------------------------------------------


@pytest.mark.parametrize(("size", "count"), [(0.40, 4), (0.42, 5), (0.44, 5), (0.5, 5)])
def test_how_small_among_others_a_repetition_may_be(size: float, count: int) -> None:
    assert counted(every_2_s(1, 1, size, 1, 1)).count == count


@pytest.mark.parametrize(("size", "count"), [(0.18, 5), (0.2, 6), (0.22, 6), (0.3, 6)])
def test_how_weak_one_on_the_beat_may_be(size: float, count: int) -> None:
    assert counted(every_2_s(1, 1, 1, size, 1, 1)).count == count


@pytest.mark.parametrize(("size", "count"), [(0.24, 0), (0.25, 4), (0.26, 4)])
def test_the_catalogue_says_how_large_a_repetition_is_at_least(size: float, count: int) -> None:
    entry = movement(Carrier(signal=NAME, peak="high", size=0.25))
    assert counted(every_2_s(size, size, size, size), entry).count == count


@pytest.mark.parametrize(
    ("size", "confidence"),
    [(0.2, 1.0), (0.24, 1.0), (0.25, 0.83), (0.26, 0.83), (0.5, 0.83), (0.58, 0.83), (0.6, 1.0),
     (0.62, 1.0)],
)  # fmt: skip
def test_between_a_wobble_and_a_repetition_the_count_is_less_sure(
    size: float, confidence: float
) -> None:
    # One of five is doubtful: a sixth of the confidence.
    assert counted(every_2_s(1, 1, size, 1, 1)).confidence == confidence


def test_what_is_doubtful_is_so_in_any_size() -> None:
    for size, confidence in ((0.24, 1.0), (0.5, 0.83), (0.62, 1.0)):
        assert counted(3 * every_2_s(1, 1, size, 1, 1)).confidence == confidence


def test_one_doubtful_repetition_of_two_takes_a_third_of_the_confidence() -> None:
    assert counted(every_2_s(1, 0.5)).confidence == 0.67


def test_what_was_not_seen_makes_the_count_less_sure() -> None:
    wave = every_2_s(1, 1, 1, 1)
    wave[:15] = wave[-15:] = NAN
    assert counted(wave).confidence == 0.9
    assert counted(wave[:-15], start_s=0.5).confidence == 1.0
    # A period of a second: its first sample is its own, the one at its end is not.
    wave = every_2_s(1)
    wave[40] = NAN
    assert counted(wave, start_s=40 / RATE_HZ, end_s=70 / RATE_HZ).confidence == 0.97
    assert counted(wave, start_s=41 / RATE_HZ, end_s=71 / RATE_HZ).confidence == 1.0
    wave[40], wave[70] = 0.0, NAN
    assert counted(wave, start_s=40 / RATE_HZ, end_s=70 / RATE_HZ).confidence == 1.0


def test_low_points_count_where_the_movement_goes_down() -> None:
    down = movement(Carrier(signal=NAME, peak="low", size=0.1))
    assert counted(-every_2_s(1, 1, 1), down).count == 3


@pytest.mark.parametrize(("fastest", "count"), [(60, 4), (70, 4), (80, 8)])
def test_repetitions_faster_than_the_movement_can_be_are_one(fastest: float, count: int) -> None:
    # One at every 0.4 s: half of the shortest interval is 0.5, 0.43 and 0.375 s.
    wave = bumps(5, [1.0 + 0.4 * k for k in range(8)], 0.4, [1.0, 0.9] * 4)
    found = counted(wave, movement(Carrier(signal=NAME, peak="high", size=0.1), tempo=(4, fastest)))
    assert found.count == count


def test_four_known_samples_are_too_few() -> None:
    wave = every_2_s(1, 1)
    wave[45:] = NAN
    # From 1.3333 s on there are five, and no top among them; up to 1.9 s there is one.
    assert counted(wave, start_s=40 / 30).count == 0
    known = np.full(len(wave), NAN)
    known[50:55] = [0.0, 0.5, 1.0, 0.5, 0.0]
    assert counted(known).count == 1
    known[54] = NAN
    assert counted(known).count == 0


# --- where a repetition lies -------------------------------------------------------------------


def test_a_repetition_begins_and_ends_at_its_foot() -> None:
    # A smooth bump of 4 s is above 0.15 from 0.506 s on, and for as long before its end.
    (rep,) = counted(bumps(8, [2.0], 4.0, [1.0])).reps
    assert (rep.start_s, rep.peak_s, rep.end_s) == pytest.approx((2.5, 4.0, 5.5), abs=0.001)
    assert rep.size == pytest.approx(1.0)


def test_a_foot_is_the_lower_one_on_each_side() -> None:
    # From 0 up to 1, and down to 0.6 only: the feet are at 0.15, and at 0.66.
    x = np.interp(times_s(8), [0, 2, 4, 6, 8], [0, 0, 1, 0.6, 0.6])
    (rep,) = counted(x).reps
    assert rep.start_s == pytest.approx(2.3, abs=0.04)
    assert rep.end_s == pytest.approx(5.7, abs=0.04)


def test_a_foot_lies_between_its_peak_and_the_next() -> None:
    # Three that touch at 0.5: none begins before the one before it is done.
    x = np.interp(times_s(8), [0, 1, 2, 3, 4, 5, 6, 7, 8], [0, 0, 1, 0.5, 1, 0.5, 1, 0, 0])
    reps = counted(x).reps
    assert [r.start_s for r in reps] == pytest.approx([1.15, 3.15, 5.15], abs=0.05)
    assert [r.end_s for r in reps] == pytest.approx([2.85, 4.85, 6.85], abs=0.05)


@pytest.mark.parametrize("from_s", [1.9, 2.5, 3.5])
def test_the_signal_is_read_two_seconds_beyond_the_period(from_s: float) -> None:
    # Straight up from 1 to 6 s and down to 11 s; of what is read 0.15 are below its foot.
    slow = np.interp(times_s(12), [0, 1, 6, 11, 12], [0, 0, 1, 0, 0])
    foot_s = from_s + 0.15 * (6 - from_s)
    (rep,) = counted(slow, start_s=from_s + 2, end_s=6.4).reps
    assert rep.start_s == pytest.approx(foot_s, abs=0.04)
    (rep,) = counted(slow, start_s=5.7, end_s=10 - from_s).reps
    assert rep.end_s == pytest.approx(12 - foot_s, abs=0.04)


@pytest.mark.parametrize(("held", "peak_s"), [(False, 3.13), (True, 3.35)])
def test_of_a_held_movement_the_peak_is_the_middle_of_its_low_phase(
    held: bool, peak_s: float
) -> None:
    # Up at once, level for a second, then slowly down: 0.6 is reached after another 0.6 s.
    x = np.interp(times_s(9), [0, 2.4, 2.5, 3.5, 5, 9], [0, 0, 1, 1, 0, 0])
    entry = movement(Carrier(signal=NAME, peak="high", size=0.1), held=held)
    (rep,) = counted(x, entry).reps
    assert rep.peak_s == pytest.approx(peak_s, abs=0.07)


def test_the_top_within_a_twelfth_is_one_top() -> None:
    # Two points level within 0.05 of the top, 2 s apart; at 0.12 below they are two things.
    for dip, peak_s in ((0.04, 4.0), (0.3, 3.15)):
        x = np.interp(times_s(9), [0, 2, 3, 4, 5, 6, 9], [0, 0, 1, 1 - dip, 0.98, 0, 0])
        found = counted(x, movement(Carrier(signal=NAME, peak="high", size=0.5)))
        assert found.reps[0].peak_s == pytest.approx(peak_s, abs=0.12)


@pytest.mark.parametrize(("start_s", "inside"), [(1.75, True), (1.8, True), (1.85, False)])
def test_a_top_at_the_very_start_of_a_period_is_in_it(start_s: float, inside: bool) -> None:
    wave = every_2_s(1, 1, 1)
    assert counted(wave, start_s=start_s, end_s=8).count == (3 if inside else 2)


@pytest.mark.parametrize(("end_s", "inside"), [(5.75, False), (5.8, False), (5.85, True)])
def test_a_top_at_the_very_end_of_a_period_is_not(end_s: float, inside: bool) -> None:
    assert counted(every_2_s(1, 1, 1), end_s=end_s).count == (3 if inside else 2)


def saw(up: int, down: int, high: float = 4.0, rest: int = 40) -> Floats:
    """One tooth: so many samples up and down."""
    return np.interp(
        np.arange(2 * rest + up + down), [rest, rest + up, rest + up + down], [0.0, high, 0.0]
    )


def test_the_top_of_a_quick_repetition_is_not_smoothed_away() -> None:
    # Within 0.08 of its size lies the highest sample alone.
    for up, down in ((4, 4), (3, 9)):
        assert counted(saw(up, down)).reps[0].peak_s == pytest.approx((40 + up) / RATE_HZ)


def test_a_sample_just_at_the_foot_is_its_start() -> None:
    # 0.15 of 5 is 0.75, three samples from the foot.
    (rep,) = counted(saw(20, 20, high=5.0)).reps
    assert (rep.start_s, rep.end_s) == pytest.approx((43 / RATE_HZ, 77 / RATE_HZ))


def test_the_feet_of_several_differ() -> None:
    # Down to 0.2 first and to 0.5 then, and the other way round.
    t = times_s(8)
    x = np.interp(t, [0, 1, 2, 3, 4, 5, 6, 7, 8], [0, 0, 1, 0.2, 1, 0.5, 1, 0, 0])
    assert counted(x).reps[2].start_s == pytest.approx(5.15, abs=0.04)
    assert counted(x[::-1]).reps[0].end_s == pytest.approx(2.85, abs=0.04)


def test_the_first_sample_of_a_clip_may_be_a_foot() -> None:
    x = np.interp(times_s(4), [0, 1, 2, 4], [0, 1, 0, 0])
    assert counted(x).reps[0].start_s == pytest.approx(4 / RATE_HZ)


# --- complete ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("level", "complete"), [(0.35, True), (0.38, True), (0.43, False)])
def test_six_tenths_of_the_way_make_a_repetition_complete(level: float, complete: bool) -> None:
    # Straight up in 4 s and down in 4 s; the period begins, or ends, where it stands at a level.
    x = np.interp(times_s(12), [0, 2, 6, 10, 12], [0, 0, 1, 0, 0])
    begins_s = 2 + 4 * level
    assert counted(x, start_s=begins_s, end_s=11).reps[0].complete is complete
    assert counted(x, start_s=0, end_s=12 - begins_s).reps[0].complete is complete
    # The same where the clip begins or ends.
    cut = round(begins_s * RATE_HZ)
    assert counted(x[cut:]).reps[0].complete is complete
    assert counted(x[: len(x) - cut + 1]).reps[0].complete is complete


@pytest.mark.parametrize(("first", "complete"), [(1.6, True), (1.59, True), (1.62, False)])
def test_the_very_first_and_last_sample_make_a_repetition_complete(
    first: float, complete: bool
) -> None:
    # 0.6 of 4 below the top is 1.6; the second sample is above.
    x = np.concatenate([[first], np.linspace(1.7, 4, 24), np.linspace(3.9, 0, 40), np.zeros(60)])
    assert counted(x).reps[0].complete is complete
    assert counted(x[::-1]).reps[0].complete is complete
    # The last sample of a period is the one at its end.
    whole = np.concatenate([np.zeros(60), x[::-1], np.zeros(60)])
    last = 60 + len(x) - 1
    assert counted(whole, end_s=last / RATE_HZ).reps[0].complete is complete


def test_a_fall_right_after_the_top_is_no_way_up() -> None:
    # The clip begins half way up; the way down is a sample long.
    x = np.concatenate([np.linspace(2, 4, 30), np.zeros(90)])
    assert not counted(x).reps[0].complete


# --- the end of the clip -----------------------------------------------------------------------


@pytest.mark.parametrize(("stays", "count"), [(7, 1), (8, 1), (9, 2), (10, 2)])
def test_who_stays_for_a_quarter_of_a_second_as_the_clip_ends_has_arrived(
    stays: int, count: int
) -> None:
    # So many samples on the last twentieth of the way, still rising a little.
    rise = np.linspace(0, 0.9, 30)
    end = np.linspace(0.95, 1.0, stays)
    assert counted(np.concatenate([every_2_s(1), rise, end])).count == count


# --- of several signals the clearest -----------------------------------------------------------

FIRST, SECOND = (
    Carrier(signal=NAME, peak="high", size=0.1),
    Carrier(signal="trunk_deg", peak="high", size=10.0),
)


@pytest.mark.parametrize(
    ("clearer", "signal"), [(1.0, NAME), (1.2, NAME), (1.25, NAME), (1.3, "trunk_deg")]
)
def test_a_later_signal_must_be_clearer_by_a_quarter(clearer: float, signal: str) -> None:
    # Four times the least size of the first.
    moving = {NAME: every_2_s(0.4, 0.4, 0.4), "trunk_deg": every_2_s(*[40.0 * clearer] * 3)}
    found = count_reps(signals(moving), movement(FIRST, SECOND), 0, 8)
    assert found.signal == signal
    assert found.count == 3


@pytest.mark.parametrize(
    "first",
    [
        np.full(240, NAN),  # not known
        np.zeros(240),  # no excursion
        bumps(8, [0.0], 1.6, [0.2]),  # none in the period
    ],
)
def test_a_signal_that_counts_nothing_does_not_stand_in_the_way(first: Floats) -> None:
    moving = {NAME: first, "trunk_deg": every_2_s(11.0, 11.0, 11.0)}
    found = count_reps(signals(moving), movement(FIRST, SECOND), 1.7, 8)
    assert (found.signal, found.count) == ("trunk_deg", 3)


@pytest.mark.parametrize("third_is", [1.3, 1.5, 1.6])
def test_a_third_signal_must_be_clearer_than_the_best(third_is: float) -> None:
    third = Carrier(signal="elbow_deg", peak="high", size=10.0)
    moving = {NAME: every_2_s(0.4, 0.4, 0.4), "trunk_deg": every_2_s(*[52.0] * 3),
              "elbow_deg": every_2_s(*[40.0 * third_is] * 3)}  # fmt: skip
    found = count_reps(signals(moving), movement(FIRST, SECOND, third), 0, 8)
    assert found.signal == "trunk_deg"


@pytest.mark.parametrize(
    ("yaw_deg", "side"), [(61, True), (60, False), (59, False), (-61, True), (121, False)]
)
def test_within_30_degrees_it_is_a_side_view(yaw_deg: float, side: bool) -> None:
    seen = signals({NAME: every_2_s(1)}, yaw_deg=yaw_deg)
    assert is_side_view(seen, 0, 4) is side


def test_a_view_is_that_of_most_of_the_time_and_unknown_is_no_side_view() -> None:
    seen = signals({NAME: every_2_s(1, 1, 1, 1)})
    seen.yaw_deg[:] = 90.0
    seen.yaw_deg[: 4 * 30] = 0.0
    assert is_side_view(seen, 0, 10)
    assert not is_side_view(seen, 0, 6)
    seen.yaw_deg[: 8 * 30] = NAN
    assert is_side_view(seen, 0, 10)
    assert not is_side_view(seen, 0, 8)


def test_a_side_view_counts_on_what_it_shows_and_else_on_what_it_hides() -> None:
    # The width of the stance is clearer, but lies in the depth of a side view.
    entry = movement(Carrier(signal="stance_width", peak="high", size=0.1), FIRST)
    both = {"stance_width": every_2_s(0.9, 0.9, 0.9), NAME: every_2_s(0.2, 0.2, 0.2)}
    assert count_reps(signals(both), entry, 0, 8).signal == "stance_width"
    assert count_reps(signals(both, yaw_deg=90), entry, 0, 8).signal == NAME
    hidden = {"stance_width": both["stance_width"]}
    found = count_reps(signals(hidden, yaw_deg=90), entry, 0, 8)
    assert (found.signal, found.count) == ("stance_width", 3)


# --- left and right ----------------------------------------------------------------------------

TURNS = movement(Carrier(signal=NAME, peak="high", size=0.1), alternating=True)


def sides(found: Counted) -> str:
    return "".join(r.side[0] for r in found.reps)


def test_a_signed_signal_is_left_above_its_middle_and_right_below() -> None:
    wave = every_2_s(1, -1, 1, 1, -1)
    assert sides(counted(wave, TURNS)) == "lrllr"
    low = movement(Carrier(signal=NAME, peak="low", size=0.1), alternating=True)
    assert sides(counted(wave, low)) == "rlrrl"
    # The way back through the middle is no excursion of the other side.
    assert [r.size for r in counted(wave, TURNS).reps] == pytest.approx([1.0] * 5, abs=0.04)


def test_the_middle_of_a_signed_signal_is_that_of_the_period() -> None:
    # Before it the person stood to one side.
    wave = every_2_s(1, -1, 1, -1) + 0.15
    found = counted(np.concatenate([np.full(300, 2.0), wave]), TURNS, start_s=10.0)
    assert sides(found) == "lrlr"
    assert [r.size for r in found.reps] == pytest.approx([1.0] * 4, abs=0.02)


def test_a_signal_may_have_sides_of_its_own() -> None:
    both_ways = movement(
        Carrier(signal=NAME, peak="high", size=0.1, sides="alternating"), alternating=False
    )
    one_way = movement(Carrier(signal=NAME, peak="high", size=0.1, sides="both"), alternating=True)
    wave = every_2_s(1, -1, 1)
    assert sides(counted(wave, both_ways)) == "lrl"
    assert sides(counted(wave, one_way)) == "bb"


SWINGS = movement(Carrier(signal=NAME, peak="high", size=0.1, swing=True), alternating=True)


@pytest.mark.parametrize(("to", "kept"), [(0.25, False), (0.35, True)])
def test_a_swing_goes_most_of_the_way(to: float, kept: bool) -> None:
    # From side to side, 2 long; the third one only to here: 0.625 or 0.675 of the way.
    x = np.interp(times_s(12), [0, 1, 2, 4, 6, 8, 10, 12], [0, 0, 1, -1, to, -1, 1, 1])
    found = counted(x, SWINGS)
    assert any(abs(r.peak_s - 6.0) < 0.2 for r in found.reps) is kept
    assert all(abs(r.peak_s - 1.0) > 0.5 for r in found.reps)


# Named by another signal: the sides of three repetitions, at 1.8, 3.8 and 5.8 s.


def named(
    by: Floats, when: Literal["at", "after", "change"] = "at", *, least: float = 0.0,
    left: Literal["high", "low"] = "high", end_s: float = 8.0, signal: str = "travel",
    yaw_deg: float = 0.0,
) -> str:  # fmt: skip
    rule = SideRule(signal=signal, left=left, when=when, least=least)
    entry = movement(Carrier(signal=NAME, peak="high", size=0.1, side=rule), alternating=True)
    moving = {NAME: every_2_s(1, 1, 1), signal: by}
    return sides(count_reps(signals(moving, yaw_deg=yaw_deg), entry, 0, end_s))


def steps(*levels: tuple[float, float]) -> Floats:
    """A level from each time on."""
    t = times_s(8)
    out = np.zeros(len(t))
    for from_s, level in levels:
        out[t >= from_s - 1e-9] = level
    return out


def test_the_side_at_the_peak() -> None:
    by = steps((1.5, 1.0), (3.5, -1.0), (5.5, 0.3), (6.0, 0.0))
    assert named(by) == "lrl"
    assert named(by, left="low") == "rlr"
    assert named(by, least=0.5) == "lrb"
    assert named(by, least=0.3) == "lrl"
    gone = by.copy()
    gone[80:150] = NAN
    assert named(gone) == "lbl"


def around(peak: int, signs: dict[int, float]) -> Floats:
    """Levels at so many samples from a peak."""
    out = np.zeros(240)
    for off, level in signs.items():
        out[peak + off] = level
    return out


def test_the_side_at_the_peak_is_that_of_most_samples_around_it() -> None:
    # The second peak is sample 114; 0.15 s are four samples before it and four after.
    inner = dict.fromkeys((-2, -1, 0, 1, 2), 1.0)
    outer = dict.fromkeys((-5, -4, -3, 3, 4, 5), -1.0)
    assert named(around(114, inner | outer))[1] == "l"
    inner = dict.fromkeys((0, 1, 2, 3), -1.0)
    outer = dict.fromkeys((-4, -3, -2, -1, 4), 1.0)
    assert named(around(114, inner | outer))[1] == "l"


def test_the_side_after_the_peak_is_that_of_its_largest_value_before_the_next() -> None:
    # Small to the right, then large to the left, each time after the peak; large at the end.
    by = steps((0.0, -9.0), (1.8, -0.3), (2.5, 0.8), (2.7, 0.0), (4.5, -0.5), (4.7, 0.0),
               (6.5, 0.4), (6.6, 0.0))  # fmt: skip
    assert named(by, "after") == "lrl"
    assert named(by, "after", left="low") == "rlr"
    assert named(by, "after", least=0.45) == "lrb"
    # What comes after the next peak belongs to that.
    later = by.copy()
    later[117:130] = -5.0
    assert named(later, "after") == "lrl"


def test_the_side_after_the_last_peak_is_looked_for_two_seconds_long() -> None:
    # The last repetition ends at 6.4 s.
    for at_s, side in ((8.0, "l"), (8.3, "l"), (8.5, "b")):
        by = np.zeros(360)
        by[round(at_s * 30)] = 1.0
        rule = SideRule(signal="travel", left="high", when="after", least=0.5)
        entry = movement(Carrier(signal=NAME, peak="high", size=0.1, side=rule), alternating=True)
        wave = np.concatenate([every_2_s(1, 1, 1), np.zeros(120)])
        seen = signals({NAME: wave, "travel": by})
        assert sides(count_reps(seen, entry, 0, 12))[-1] == side
        # Not beyond the period.
        assert sides(count_reps(seen, entry, 0, 7.9))[-1] == "b"


def test_the_side_a_repetition_goes_to_is_the_change_from_its_start_to_its_end() -> None:
    t = times_s(8)
    there = np.interp(t, [0, 1, 2.5, 3, 4.5, 5, 6.5, 8], [1, 1, 2, 2, 1, 1, 1.5, 1.5])
    assert named(there, "change") == "lrl"
    assert named(there, "change", left="low") == "rlr"
    assert named(there, "change", least=0.6) == "lrb"


def test_the_change_is_that_of_the_first_and_the_last_moment() -> None:
    rep = counted(every_2_s(1, 1, 1)).reps[0]
    first, last = round(rep.start_s * RATE_HZ), round(rep.end_s * RATE_HZ) - 1
    for at, levels in ((first, -1.0), (last, 1.0)):
        by = np.zeros(240)
        by[at] = levels
        assert named(by, "change", least=0.5)[0] == "l"


def test_a_side_that_the_view_hides_is_not_told() -> None:
    by = steps((1.5, 1.0), (3.5, -1.0), (5.5, 1.0))
    assert named(by, signal="hip_shift") == "lrl"
    assert named(by, signal="hip_shift", yaw_deg=90) == "bbb"
    assert named(by, signal="travel", yaw_deg=90) == "lrl"


# --- even --------------------------------------------------------------------------------------


def reps_at(peaks_s: list[float], sizes: list[float]) -> list[FoundRep]:
    return [FoundRep(p, p, p, "both", s, True) for p, s in zip(peaks_s, sizes, strict=True)]


@pytest.mark.parametrize(
    ("gaps", "yes"),
    [((1.0, 1.0, 1.0), True), ((0.76, 1.0, 1.24), True), ((0.75, 1.0, 1.25), True),
     ((0.74, 1.0, 1.26), False), ((1.0, 1.0, 9.0), True)],
)  # fmt: skip
def test_intervals_may_stray_by_a_quarter(gaps: tuple[float, ...], yes: bool) -> None:
    peaks_s = [0.0]
    for gap in gaps:
        peaks_s.append(peaks_s[-1] + gap)
    assert is_even(reps_at(peaks_s, [1.0] * 4)) is yes


@pytest.mark.parametrize(
    ("sizes", "yes"),
    [((10, 10, 10), True), ((7.1, 10, 12.9), True), ((7, 10, 13), True), ((6.9, 10, 13.1), False),
     ((10, 10, 90), True)],
)  # fmt: skip
def test_sizes_may_stray_by_three_tenths(sizes: tuple[float, ...], yes: bool) -> None:
    assert is_even(reps_at([0.0, 1.0, 2.0], list(sizes))) is yes


def test_the_cadence_is_that_of_the_middle_interval() -> None:
    found = Counted(tuple(reps_at([0.0, 1.0, 3.0, 5.0, 9.0], [1.0] * 5)), NAME, 1.0)
    assert found.cadence_per_min == 30.0
    assert Counted(found.reps[:3], NAME, 1.0).cadence_per_min == 40.0
    assert Counted(found.reps[:2], NAME, 1.0).cadence_per_min is None
