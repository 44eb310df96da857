"""Filtering and filling, against SciPy and the textbook correction."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import sosfreqz

from pose.signals.filters import (
    TWO_PASS_CORRECTION,
    even_grid,
    low_pass,
    resample,
    runs,
    zero_lag_sos,
)


@pytest.mark.parametrize("cutoff_hz", [2.0, 5.0, 6.0])
def test_both_passes_together_are_3_db_down_at_the_wanted_cut_off(cutoff_hz: float) -> None:
    # Winter, Biomechanics and Motor Control of Human Movement, 4th edition, p. 69: the design
    # cut-off is the wanted one over (2^(1/2) - 1)^(1/4) = 0.802.
    assert pytest.approx(0.802, abs=0.0005) == TWO_PASS_CORRECTION
    _, response = sosfreqz(zero_lag_sos(cutoff_hz, 30.0), worN=[cutoff_hz], fs=30.0)
    assert abs(response[0]) ** 2 == pytest.approx(0.7071, abs=1e-4)


def test_slow_movement_passes_without_delay_and_fast_noise_does_not() -> None:
    t = np.arange(0, 10, 1 / 30)
    slow, fast = np.sin(2 * np.pi * 0.8 * t), np.sin(2 * np.pi * 12 * t)
    out = low_pass(slow + fast, 30.0, 5.0)
    middle = slice(30, -30)
    assert np.abs(out[middle] - slow[middle]).max() < 0.03


def test_nothing_is_filtered_across_a_gap() -> None:
    x = np.concatenate([np.zeros(40), np.full(10, np.nan), np.ones(40)])
    out = low_pass(x, 30.0, 3.0)
    assert np.isnan(out[40:50]).all()
    assert np.abs(out[:40]).max() < 1e-9
    assert np.abs(out[50:] - 1).max() < 1e-9


def test_short_gaps_are_filled_and_long_ones_stay_open() -> None:
    t = np.arange(0, 4, 0.1)
    x = np.sin(t)
    x[10:12] = np.nan  # 0.3 s between the samples around it
    x[25:31] = np.nan  # 0.7 s
    grid = even_grid(t, 30.0)
    filled = resample(t, x, grid, 0.4)
    short = (grid > 0.95) & (grid < 1.15)
    long = (grid > 2.45) & (grid < 3.05)
    assert np.abs(filled[short] - np.sin(grid[short])).max() < 0.01
    assert np.isnan(filled[long]).all()


def test_uneven_samples_land_on_the_even_grid() -> None:
    rng = np.random.default_rng(3)
    t = np.sort(rng.uniform(0, 10, 200))
    grid = even_grid(t, 30.0)
    assert np.allclose(np.diff(grid), 1 / 30)
    assert np.nanmax(np.abs(resample(t, np.sin(t), grid, 1.0) - np.sin(grid))) < 0.01


def test_runs_are_start_and_stop() -> None:
    assert runs(np.array([True, True, False, True])) == [(0, 2), (3, 4)]
    assert runs(np.array([False])) == []


def test_nothing_gives_an_empty_grid_and_one_sample_a_grid_of_one() -> None:
    assert even_grid(np.empty(0), 30.0).shape == (0,)
    assert even_grid(np.array([2.0]), 30.0).tolist() == [2.0]


def test_a_run_too_short_to_filter_is_left_as_it_is() -> None:
    x = np.array([np.nan, 1.0, 3.0, 2.0, np.nan])
    np.testing.assert_array_equal(low_pass(x, 30.0, 6.0), x)


def test_one_sample_is_not_enough_to_fill_from() -> None:
    out = resample(np.array([0.0, 1.0]), np.array([1.0, np.nan]), np.array([0.0, 0.5]), 2.0)
    assert np.isnan(out).all()
