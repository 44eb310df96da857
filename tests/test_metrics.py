"""The measures themselves, against the libraries and published arithmetic they are taken from."""

from __future__ import annotations

import numpy as np
import pytest
import ruptures.metrics
from scipy.stats import mannwhitneyu

from tests.accuracy.metrics import (
    area_under_curve,
    count_score,
    matched_errors_s,
    precision_recall,
)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("margin", [2, 5])
def test_precision_and_recall_of_boundaries_are_those_of_ruptures(seed: int, margin: int) -> None:
    # Truong, Oudre, Vayatis 2020, Signal Processing 167: ruptures.metrics.precision_recall.
    rng = np.random.default_rng(seed)
    true = np.cumsum(rng.integers(20, 60, 8))
    found = np.sort(np.unique(true[rng.random(8) < 0.8] + rng.integers(-6, 7)))
    end = int(max(true.max(), found.max())) + 40
    theirs = ruptures.metrics.precision_recall(
        [*true.tolist(), end], [*found.tolist(), end], margin=margin + 1
    )
    ours = precision_recall([float(t) for t in true], [float(f) for f in found], margin)
    assert ours == pytest.approx(theirs)


def test_each_true_boundary_is_matched_once() -> None:
    assert matched_errors_s([10.0], [9.9, 10.2], 0.5) == pytest.approx([-0.1])
    assert precision_recall([10.0], [9.9, 10.2], 0.5) == (0.5, 1.0)


@pytest.mark.parametrize("seed", range(3))
def test_area_under_the_curve_is_the_mann_whitney_statistic(seed: int) -> None:
    rng = np.random.default_rng(seed)
    positive, negative = rng.normal(1, 1, 30), rng.normal(0, 1, 40)
    u = mannwhitneyu(positive, negative).statistic
    assert area_under_curve(positive.tolist(), negative.tolist()) == pytest.approx(u / (30 * 40))


def test_the_published_examples_of_relative_count_error_come_out() -> None:
    # TransRAC's log (SvipRepetitionCounting/TransRAC#43): 3 for 13, 10 for 15, 6 for 4. Its code
    # divides by true + 0.1; the definition, as here, divides by true.
    score = count_score([13, 15, 4], [3, 10, 6])
    assert score.mae == pytest.approx((10 / 13 + 5 / 15 + 2 / 4) / 3)
    assert score.within_one == 0.0
    assert score.bias == pytest.approx((-10 - 5 + 2) / 3)


def test_periods_without_repetitions_are_kept_apart() -> None:
    score = count_score([0, 0, 10], [0, 2, 10])
    assert (score.periods, score.exact, score.false_in_empty) == (1, 1.0, 2)
