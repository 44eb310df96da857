"""Slope and trend test against SciPy, pymannkendall and numbers worked out by hand."""

from __future__ import annotations

import numpy as np
import pymannkendall  # type: ignore[import-untyped]  # has none
import pytest
from numpy.typing import NDArray
from scipy.stats import kendalltau

from annotate.stats import mann_kendall_p, theil_sen

RNG = np.random.default_rng(3)


@pytest.mark.parametrize("ties", [False, True])
@pytest.mark.parametrize("slope", [0.0, 0.05, -0.2])
@pytest.mark.parametrize("n", [8, 15, 40])
def test_trend_of_one_row_as_pymannkendall_has_it(n: int, slope: float, ties: bool) -> None:
    row: NDArray[np.float64] = slope * np.arange(n) + RNG.normal(0, 1, n)
    row = np.round(row) if ties else row
    reference = pymannkendall.original_test(row)
    assert mann_kendall_p([row]) == pytest.approx(reference.p, rel=1e-9)
    assert theil_sen(row).per_step == pytest.approx(reference.slope)


def test_trend_of_several_rows_as_pymannkendall_adds_them_up() -> None:
    rows = [0.08 * np.arange(12) + RNG.normal(0, 1, 12) for _ in range(3)]
    reference = pymannkendall.regional_test(np.stack(rows, axis=1))
    assert mann_kendall_p(rows) == pytest.approx(reference.p, rel=1e-9)


def test_trend_agrees_with_kendalls_tau_on_a_long_row() -> None:
    row = 0.01 * np.arange(200) + RNG.normal(0, 1, 200)
    tau = kendalltau(np.arange(200), row, method="asymptotic")
    assert mann_kendall_p([row]) == pytest.approx(tau.pvalue, rel=0.05)


def test_score_worked_out_by_hand() -> None:
    # Five rising values: S = 10, Var S = 5 * 4 * 15 / 18 = 16.67, z = 9 / 4.08 = 2.205.
    assert mann_kendall_p([np.arange(5.0)]) == pytest.approx(0.0275, abs=2e-4)


def test_one_odd_repetition_does_not_turn_the_slope() -> None:
    row = 100.0 - np.arange(20.0)
    row[4] = 10.0
    slope = theil_sen(row)
    assert slope.per_step == pytest.approx(-1.0, abs=0.1)
    assert slope.low <= -1.0 <= slope.high


def test_nothing_to_compare_is_no_trend() -> None:
    assert mann_kendall_p([]) == 1.0
    assert mann_kendall_p([np.ones(9)]) == 1.0
    assert mann_kendall_p([np.array([3.0])]) == 1.0
