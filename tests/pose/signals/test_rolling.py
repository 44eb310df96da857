"""Rolling quantiles against NumPy's, window by window."""

from __future__ import annotations

import numpy as np
import pytest

from pose.signals.rolling import MAX_WINDOW_SAMPLES, rolling_quantile

RATE_HZ = 30.0


@pytest.mark.parametrize("quantile", [0.05, 0.5, 0.9])
def test_a_short_window_is_exact(quantile: float) -> None:
    x = np.random.default_rng(0).normal(size=100)
    x[20:23] = np.nan
    out = rolling_quantile(x, RATE_HZ, 0.5, quantile)  # 15 samples
    expected = [np.nanquantile(x[max(0, i - 7) : i + 8], quantile) for i in range(len(x))]
    assert out == pytest.approx(np.array(expected))


def test_a_long_window_is_near_enough() -> None:
    t = np.arange(900) / RATE_HZ
    x = np.sin(2 * np.pi * t / 2.5) + 0.1 * t
    out = rolling_quantile(x, RATE_HZ, 6.0)
    half = round(3 * RATE_HZ)
    exact = [np.median(x[i - half : i + half + 1]) for i in range(half, len(x) - half)]
    assert 6.0 * RATE_HZ > MAX_WINDOW_SAMPLES
    assert np.abs(out[half:-half] - exact).max() < 0.1


def test_a_hole_longer_than_the_window_stays_open() -> None:
    x = np.ones(100)
    x[30:60] = np.nan
    out = rolling_quantile(x, RATE_HZ, 0.5)
    assert (
        np.isnan(out[40:50]).all() and np.isfinite(out[:30]).all() and np.isfinite(out[60:]).all()
    )


def test_every_column_has_its_own() -> None:
    x = np.random.default_rng(1).normal(size=(400, 3, 2))
    out = rolling_quantile(x, RATE_HZ, 6.0)
    assert out.shape == x.shape
    np.testing.assert_array_equal(out[:, 2, 1], rolling_quantile(x[:, 2, 1], RATE_HZ, 6.0))


def test_nothing_gives_nothing() -> None:
    assert rolling_quantile(np.empty((0, 2)), RATE_HZ, 6.0).shape == (0, 2)
