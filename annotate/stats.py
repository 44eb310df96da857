"""Is there a trend in a row of repetitions, and how large: the statistics behind drift.

Both methods ask only for order, so that a single odd repetition weighs little: the Theil-Sen
slope (Sen 1968, J Am Stat Assoc 63:1379-89) says how much, the Mann-Kendall test (Mann 1945,
Econometrica 13:245-59; Kendall's rank correlation against time) how surely. Rows that must not be
compared with each other, such as the rounds of a block with a rest between, are tested together
by adding up their scores (Hirsch, Slack & Smith 1982, Water Resour Res 18:107-21).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, theilslopes

Floats = NDArray[np.float64]

CONFIDENCE = 0.95


@dataclass(frozen=True)
class Slope:
    """Change per step and its 95 % interval."""

    per_step: float
    low: float
    high: float


def theil_sen(values: Floats) -> Slope:
    """Median of all pairwise slopes of a row of at least two values, one step apart."""
    found = theilslopes(values, np.arange(len(values)), alpha=CONFIDENCE)
    return Slope(float(found[0]), float(found[2]), float(found[3]))


def mann_kendall_p(rows: Sequence[Floats]) -> float:
    """Two-sided p of no trend in any of the rows, each in its own order.

    Normal approximation with ties and continuity corrected; for a single row it is the usual
    Mann-Kendall test. 1 where nothing can be compared.
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
