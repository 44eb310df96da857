"""What good means, as figures.

Counting: share of periods exact and within one; normalised mean absolute error |found - true| /
true over periods with a true count above zero (as in the published work on counting, whose
definitions differ in small print); signed bias; error of the peaks in time. Boundaries: precision
and recall within a margin, each true boundary matched once. Back: area under the curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import rankdata


@dataclass(frozen=True)
class CountScore:
    """Counting over many periods."""

    periods: int
    exact: float
    within_one: float
    mae: float
    bias: float
    false_in_empty: int


def count_score(true: Sequence[int], found: Sequence[int]) -> CountScore:
    """Score counts; periods with a true count of zero are kept apart."""
    t, f = np.asarray(true), np.asarray(found)
    some = t > 0
    if not some.any():
        return CountScore(0, np.nan, np.nan, np.nan, np.nan, int(f[~some].sum()))
    diff = f[some] - t[some]
    return CountScore(
        periods=int(some.sum()),
        exact=float((diff == 0).mean()),
        within_one=float((np.abs(diff) <= 1).mean()),
        mae=float((np.abs(diff) / t[some]).mean()),
        bias=float(diff.mean()),
        false_in_empty=int(f[~some].sum()),
    )


def matched_errors_s(
    true_s: Sequence[float], found_s: Sequence[float], margin_s: float
) -> list[float]:
    """Signed errors (found minus true) of one-to-one matches within a margin, nearest first."""
    pairs = sorted(
        (abs(f - t), i, j)
        for i, t in enumerate(true_s)
        for j, f in enumerate(found_s)
        if abs(f - t) <= margin_s
    )
    taken_true: set[int] = set()
    taken_found: set[int] = set()
    errors = []
    for _, i, j in pairs:
        if i not in taken_true and j not in taken_found:
            taken_true.add(i)
            taken_found.add(j)
            errors.append(found_s[j] - true_s[i])
    return errors


def precision_recall(
    true_s: Sequence[float], found_s: Sequence[float], margin_s: float
) -> tuple[float, float]:
    """Share of found boundaries that are true, and of true ones that were found."""
    hits = len(matched_errors_s(true_s, found_s, margin_s))
    precision = hits / len(found_s) if found_s else 1.0
    recall = hits / len(true_s) if true_s else 1.0
    return precision, recall


def area_under_curve(positive: Sequence[float], negative: Sequence[float]) -> float:
    """Chance that a positive scores above a negative (Mann-Whitney U over its largest value)."""
    if not positive or not negative:
        return float("nan")
    ranks = rankdata([*positive, *negative])
    n = len(positive)
    u = ranks[:n].sum() - n * (n + 1) / 2
    return float(u / (n * len(negative)))
