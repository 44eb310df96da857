"""Counting what the catalogue does not know: what repeats, on which signal, and walking about."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from annotate.counting.unknown import count_unknown, is_walking, periodicity
from tests.annotate.counting.waves import RATE_HZ, Floats, bumps, signals, times_s

NAN = float("nan")


# --- how well a signal repeats -----------------------------------------------------------------


def by_definition(x: Floats, rate_hz: float) -> tuple[float, float]:
    """Unbiased autocorrelation, sum by sum, and its peaks between 0.5 and 8 s."""
    n = len(x)
    t = np.arange(n)
    slope = ((t - t.mean()) * (x - x.mean())).sum() / ((t - t.mean()) ** 2).sum()
    c = x - x.mean() - slope * (t - t.mean())
    square = float((c * c).mean())
    r = [float((c[: n - k] * c[k:]).mean()) / square for k in range(n)]
    first, last = int(0.5 * rate_hz), min(int(8.0 * rate_hz), n // 2)
    tops = [k for k in range(first, last + 1) if r[k - 1] < r[k] >= r[k + 1] and r[k] > 0]
    if not tops:
        return 0.0, NAN
    highest = max(r[k] for k in tops)
    period = next(k for k in tops if r[k] >= 0.9 * highest)
    return min(highest, 1.0), period / rate_hz


def sine(period_s: float, lasts_s: float, rate_hz: float = RATE_HZ) -> Floats:
    wave: Floats = np.sin(2 * np.pi * times_s(lasts_s, rate_hz) / period_s)
    return wave


def mixtures() -> list[Floats]:
    """Drifting, noisy, uneven, and hardly periodic signals of 3 to 12 s at 20 Hz."""
    out = []
    for seed in range(24):
        rng = np.random.default_rng(seed)
        t = times_s(float(rng.uniform(3, 12)), 20.0)
        x = rng.uniform(-1, 1) * t + rng.uniform(-0.3, 0.3) * t**2
        for _ in range(3):
            x += rng.uniform(0, 1) * np.sin(2 * np.pi * t / rng.uniform(0.4, 5) + rng.uniform(0, 6))
        out.append(x + rng.normal(0, 0.2 * (seed % 3), len(t)))
    return out


@pytest.mark.parametrize("x", mixtures())
def test_periodicity_is_the_highest_peak_of_the_autocorrelation(x: Floats) -> None:
    assert periodicity(x, 20.0) == pytest.approx(by_definition(x, 20.0), nan_ok=True)


@pytest.mark.parametrize(
    ("period_s", "lasts_s"),
    [(0.52, 6), (0.58, 6), (0.45, 6), (5.8, 20), (7.8, 20), (8.5, 30), (2.0, 4.1), (2.0, 3.9),
     (1.0, 60), (241 / 30, 40)],
)  # fmt: skip
def test_periods_from_half_a_second_to_eight_seconds_are_looked_for(
    period_s: float, lasts_s: float
) -> None:
    x = sine(period_s, lasts_s)
    strength, found_s = periodicity(x, RATE_HZ)
    assert (strength, found_s) == pytest.approx(by_definition(x, RATE_HZ), nan_ok=True)
    if 0.5 < period_s < 8 and lasts_s > 2 * period_s:
        assert found_s == pytest.approx(period_s, rel=0.03)


@pytest.mark.parametrize(("small", "period_s"), [(1.0, 1.0), (0.8, 1.0), (0.5, 2.0), (0.4, 2.0)])
def test_of_periods_nearly_as_good_the_shortest_is_taken(small: float, period_s: float) -> None:
    # Every other excursion is smaller: where it is much smaller, only pairs repeat.
    x = bumps(16, [0.0 + k for k in range(16)], 1.0, [1.0, small] * 8)
    assert periodicity(x, RATE_HZ)[1] == pytest.approx(period_s, abs=0.04)
    assert periodicity(x, RATE_HZ) == pytest.approx(by_definition(x, RATE_HZ))


def test_a_signal_without_any_peak_does_not_repeat() -> None:
    for x in (np.zeros(90), np.linspace(0, 5, 90), np.linspace(-1, 1, 90) ** 2):
        assert periodicity(x, RATE_HZ) == pytest.approx((0.0, NAN), nan_ok=True)


@pytest.mark.parametrize(("square", "repeats"), [(1.02e-12, True), (0.98e-12, False)])
def test_noise_of_the_last_bits_does_not_repeat(square: float, repeats: bool) -> None:
    x = np.cos(2 * np.pi * np.arange(120) / 30)
    t = np.arange(120)
    x -= np.polyval(np.polyfit(t, x, 1), t)
    strength, _ = periodicity(x * np.sqrt(square / (x @ x)), RATE_HZ)
    assert (strength > 0.9) is repeats


def test_a_second_of_the_signal_must_be_known() -> None:
    x = sine(0.5, 1.0)
    assert periodicity(x, RATE_HZ)[0] > 0.7
    assert periodicity(x[:-1], RATE_HZ)[0] == 0.0
    # At 60 samples a second it is as long.
    assert periodicity(sine(0.5, 1.0, 60.0), 60.0)[0] > 0.7
    assert periodicity(sine(0.5, 1.0, 60.0)[:-1], 60.0)[0] == 0.0
    # 28 and 32 known samples of 40.
    x = sine(0.5, 40 / RATE_HZ)
    x[1:33:4] = NAN
    assert periodicity(x, RATE_HZ)[0] > 0.7
    x[2:18:4] = NAN
    assert periodicity(x, RATE_HZ)[0] == 0.0


@pytest.mark.parametrize(("unknown", "repeats"), [(60, True), (61, False)])
def test_three_tenths_may_be_unknown_and_are_bridged(unknown: int, repeats: bool) -> None:
    x = 2 + 0.5 * np.arange(200) / 200 + sine(2.0, 20.0, 10.0)
    x[np.arange(unknown) * 3 + 1] = NAN
    strength, _ = periodicity(x, 10.0)
    assert (strength > 0.9) is repeats
    assert repeats or strength == 0.0


# --- which signal is counted -------------------------------------------------------------------

# Signals with the least excursion that is a repetition: trunk lengths, or degrees.
CARRIERS = [
    ("hip_height", -1, 0.12), ("shoulder_height", -1, 0.25), ("trunk_deg", 1, 20.0),
    ("wrist_height", 1, 0.45), ("stance_width", 1, 0.3), ("elbow_deg", 1, 45.0),
    ("knee_lift_diff", 0, 0.15), ("foot_lift_diff", 0, 0.15), ("knee_diff_deg", 0, 30.0),
    ("travel", 0, 0.2), ("side_lean_deg", 0, 10.0), ("elbow_diff_deg", 0, 45.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "way", "size"), CARRIERS)
def test_each_signal_has_a_least_excursion(name: str, way: int, size: float) -> None:
    # Up or down from rest, or to both sides of it in turn.
    starts = [1.0 + 2.0 * k for k in range(7)]
    turns = [way] * 7 if way else [1, -1] * 3 + [1]
    for share, count in ((0.9, 0), (1.1, 7)):
        wave = bumps(16, starts, 2.0, [share * size * turn for turn in turns])
        found = count_unknown(signals({name: wave}), 0, 16)
        assert found.count == count
        assert found.signal == (name if count else None)
        if count and not way:
            assert (found.of("left"), found.of("right")) == (4, 3)


def test_the_signal_that_moves_most_for_its_size_is_counted() -> None:
    starts = [1.0 + 2.0 * k for k in range(7)]

    def of_sizes(trunk: float, wrist: float) -> str | None:
        moving = {
            "trunk_deg": bumps(16, starts, 2.0, [20.0 * trunk] * 7),
            "wrist_height": bumps(16, starts, 2.0, [0.45 * wrist] * 7),
        }
        return count_unknown(signals(moving), 0, 16).signal

    assert of_sizes(2.0, 1.5) == "trunk_deg"
    assert of_sizes(1.5, 2.0) == "wrist_height"
    # As much for its size: the one that comes first.
    turns = bumps(16, starts, 2.0, [0.4, -0.4] * 3 + [0.4])
    same = {"foot_lift_diff": turns, "knee_lift_diff": turns}
    assert count_unknown(signals(same), 0, 16).signal == "knee_lift_diff"


def test_a_single_wild_movement_does_not_decide_on_the_signal() -> None:
    starts = [1.0 + 2.0 * k for k in range(7)]
    trunk = bumps(16, starts, 2.0, [40.0] * 7)
    wrist = bumps(16, starts, 2.0, [0.7] * 7)
    # Less than a twentieth of the time, five times as far.
    wrist += bumps(16, [15.2], 0.6, [4.0])
    found = count_unknown(signals({"trunk_deg": trunk, "wrist_height": wrist}), 0, 16)
    assert found.signal == "trunk_deg"


def test_of_the_better_signal_the_better_rhythm_counts_too() -> None:
    # The arms go as far for their size, but the trunk keeps time better.
    rng = np.random.default_rng(2)
    starts = [1.0 + 2.0 * k for k in range(7)]
    uneven = [s + float(d) for s, d in zip(starts, rng.uniform(-0.3, 0.3, 7), strict=True)]
    trunk = bumps(16, starts, 2.0, [40.0] * 7)
    hips = -bumps(16, uneven, 1.6, [0.26] * 7)
    found = count_unknown(signals({"trunk_deg": trunk, "hip_height": hips}), 0, 16)
    assert found.signal == "trunk_deg"


@pytest.mark.parametrize(("reps", "count"), [(5, 5), (4, 4), (3, 0)])
def test_three_may_be_a_coincidence(reps: int, count: int) -> None:
    lasts_s = 1.0 + 2.5 * reps
    wave = bumps(lasts_s, [0.5 + 2.5 * k for k in range(reps)], 2.5, [40.0] * reps)
    assert count_unknown(signals({"trunk_deg": wave}), 0, lasts_s).count == count


def test_uneven_repetitions_are_none_even_where_they_repeat() -> None:
    even = [40.0] * 8
    starts = [0.5 + 2.0 * k for k in range(8)]
    assert count_unknown(signals({"trunk_deg": bumps(17, starts, 2.0, even)}), 0, 17).count == 8
    # Large and small in turn repeat as pairs, but the sizes are not even.
    uneven = [40.0, 80.0] * 4
    wave = bumps(17, starts, 2.0, uneven)
    assert periodicity(wave, RATE_HZ)[0] > 0.6
    assert count_unknown(signals({"trunk_deg": wave}), 0, 17).count == 0


def strengths(name: str, way: float) -> dict[float, int]:
    """Counts of a wave with more and more uneven intervals, by how well it repeats."""
    out = {}
    for seed in range(80):
        rng = np.random.default_rng(seed)
        starts = [0.7 + 2.0 * k + float(rng.uniform(-1, 1)) * seed / 100 for k in range(9)]
        x = bumps(19, starts, 1.2, [way] * 9)
        out[periodicity(x, RATE_HZ)[0]] = count_unknown(signals({name: x}), 0, 19).count
    return out


@pytest.mark.parametrize(
    ("name", "way", "least"),
    [("trunk_deg", 60.0, 0.5), ("wrist_height", 1.4, 0.6), ("elbow_deg", 130.0, 0.6)],
)
def test_what_hardly_repeats_is_not_counted_and_the_arms_must_repeat_better(
    name: str, way: float, least: float
) -> None:
    told = strengths(name, way)
    assert min(told) < least - 0.1
    assert not any(count for strength, count in told.items() if strength < least)
    # Just above it is counted, somewhere.
    assert any(count for strength, count in told.items() if least <= strength < least + 0.06)


def test_the_confidence_is_less_where_the_signal_repeats_less() -> None:
    starts, sizes = [0.5 + 2.0 * k for k in range(8)], [40.0, 34.0, 40.0, 40.0, 30.0, 40.0, 36, 40]
    wave = bumps(17, starts, 2.0, sizes)
    strength = periodicity(wave, RATE_HZ)[0]
    found = count_unknown(signals({"trunk_deg": wave}), 0, 17)
    assert 0.8 < strength < 0.98
    assert found.confidence == round(strength, 2) != round(strength, 1)


# --- walking about -----------------------------------------------------------------------------


def walking(
    advance: float = 1.5, trunk_deg: float = 5.0, knee_deg: float = 30.0, known: bool = True
) -> bool:
    """Whether this is walking about: the spread of each signal over the middle nine tenths."""
    ramp = np.linspace(0, 1, 401)

    def spread(low: float, high: float) -> Floats:
        """From `low` at the 5th to `high` at the 95th percentile, and far beyond at the ends."""
        x = low + (high - low) * (ramp - 0.05) / 0.9
        x[ramp < 0.049] = low - 3 * (high - low)
        x[ramp > 0.951] = high + 3 * (high - low)
        return x

    moving = {"advance": spread(2.0, 2.0 + advance), "trunk_deg": spread(0.0, trunk_deg),
              "knee_deg": spread(0.0, knee_deg)}  # fmt: skip
    if not known:
        moving["trunk_deg"][:] = NAN
        moving["knee_deg"][::7] = NAN
    return is_walking(signals(moving), 0, 401 / RATE_HZ)


@pytest.mark.parametrize(("advance", "walks"), [(1.1, False), (1.19, False), (1.21, True)])
def test_who_goes_to_and_fro_walks_about(advance: float, walks: bool) -> None:
    assert walking(advance) is walks


@pytest.mark.parametrize(("trunk_deg", "walks"), [(19.5, True), (20.5, False), (60.0, False)])
def test_who_bends_does_not_walk(trunk_deg: float, walks: bool) -> None:
    assert walking(trunk_deg=trunk_deg) is walks


@pytest.mark.parametrize(("knee_deg", "walks"), [(49.0, True), (51.0, False), (90.0, False)])
def test_who_sinks_does_not_walk(knee_deg: float, walks: bool) -> None:
    assert walking(knee_deg=knee_deg) is walks


def test_just_as_far_as_the_limit_is_not_beyond_it() -> None:
    there_and_back = np.repeat([0.0, 1.2], 200)
    moving = {"advance": there_and_back, "trunk_deg": np.full(400, 20.0),
              "knee_deg": np.full(400, 50.0)}  # fmt: skip
    assert not is_walking(signals(moving), 0, 14)
    moving["advance"] = 2 * there_and_back
    assert is_walking(signals(moving), 0, 14)


def test_what_is_not_known_is_no_bending_and_what_is_known_may_be() -> None:
    assert walking(known=False)
    assert not walking(knee_deg=60.0, known=False)


def test_a_signal_that_repeats_is_not_counted_while_walking_about() -> None:
    starts = [1.0 + 2.0 * k for k in range(7)]
    moving = {"wrist_height": bumps(16, starts, 2.0, [0.9] * 7)}
    assert count_unknown(signals(moving), 0, 16).count == 7
    moving["advance"] = 2 * np.sin(times_s(16) / 3)
    assert count_unknown(signals(moving), 0, 16).count == 0


def test_waves_are_as_long_as_they_say() -> None:
    assert [b - a for a, b in pairwise(np.flatnonzero(bumps(9, [1, 4], 2, [1, 1]) > 0.99))]
