"""Is there a trend in a row of repetitions, and how large: the statistics behind drift.

Both methods are robust: one odd repetition has little weight. The Theil-Sen slope (Sen 1968, J Am
Stat Assoc 63:1379-89) says how large the trend is, the Mann-Kendall test (Mann 1945, Econometrica
13:245-59; Kendall's rank correlation against time) how sure. Rows whose values must not be
compared across rows, such as the rounds of a block with a rest between, are tested together by
adding up their scores and variances (Hirsch, Slack & Smith 1982, Water Resour Res 18:107-21).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, theilslopes

Floats = NDArray[np.float64]

# The usual level of a confidence interval; the texts say "95 %".
CONFIDENCE = 0.95


@dataclass(frozen=True)
class Slope:
    """A slope and its 95 % confidence interval.

    Attributes
    ----------
    per_step : float
        Change from one value to the next, in the unit of the values.
    low, high : float
        Lower and upper bound of the slope.
    """

    per_step: float
    low: float
    high: float


def theil_sen(values: Floats) -> Slope:
    """Median of all pairwise slopes of a row.

    Parameters
    ----------
    values : (n,) float64
        At least two values, one step apart, without NaN.
    """
    found = theilslopes(values, np.arange(len(values)), alpha=CONFIDENCE)
    return Slope(float(found[0]), float(found[2]), float(found[3]))


def mann_kendall_p(rows: Sequence[Floats]) -> float:
    """Two-sided p-value of "no trend in any row".

    Normal approximation, corrected for ties and continuity. With one row it is the usual
    Mann-Kendall test.

    Parameters
    ----------
    rows : sequence of (n,) float64
        Each in time order, without NaN; lengths may differ.

    Returns
    -------
    float
        0-1; 1 where no two values can be compared.
    """
    score, variance = 0.0, 0.0
    for row in rows:
        n = len(row)
        score += float(np.sign(row[None, :] - row[:, None])[np.triu_indices(n, 1)].sum())
        _, ties = np.unique(row, return_counts=True)
        variance += (
            n * (n - 1) * (2 * n + 5) - float((ties * (ties - 1) * (2 * ties + 5)).sum())
        ) / 18
    if score == 0 or variance <= 0:
        return 1.0
    z = (abs(score) - 1) / np.sqrt(variance)
    return float(2 * norm.sf(z))
