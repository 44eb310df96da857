"""Drift is said when it is there, and only then, on sets of numbers with known drift."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.form.drift import find_drift
from annotate.review.model import (
    BackAssessed,
    BackNotAssessable,
    Drift,
    Period,
    Rep,
    RepSet,
    Side,
    ViewSpan,
)
from tests.known import known

ROUNDS, REPS = 3, 12
DEPTH_DEG = 95.0
# From one repetition to the next; rendered squats with an even depth vary by about this much.
NOISE_DEG = 4.0


def rounds(
    depths: NDArray[np.float64],
    *,
    movement: str = "squat",
    seconds: NDArray[np.float64] | None = None,
    backs: NDArray[np.float64] | None = None,
    sides: tuple[Side, ...] = ("both",),
) -> list[Period]:
    """Periods of work whose repetitions have these depths, (rounds, repetitions)."""
    out = []
    for i, row in enumerate(depths):
        each = []
        for j, depth in enumerate(row):
            start = 60.0 * i + 2.0 * j
            length = 1.6 if seconds is None else float(seconds[i, j])
            each.append(
                Rep(
                    start_s=start, peak_s=start + 0.8, end_s=start + length, complete=True,
                    side=sides[j % len(sides)], depth=float(depth), trunk_deg=40.0,
                    back=BackNotAssessable(reason="upright") if backs is None else
                    BackAssessed(arc_change_deg=float(backs[i, j]), rounded=False),
                )
            )  # fmt: skip
        reps = RepSet(count=len(each), confidence=1.0, each=tuple(each))
        out.append(
            Period(
                index=i, kind="work", start_s=60.0 * i, end_s=60.0 * i + 30, duration_s=30.0,
                confidence=1.0, movement=movement, movement_confidence=1.0, intensity=None,
                reps=reps,
            )
        )  # fmt: skip
    return out


def noisy(seed: int, drift_share: float, like_neighbours: float = 0.0) -> NDArray[np.float64]:
    """Depths of a set that falls evenly by a share of its level; the first one settles in."""
    rng = np.random.default_rng(seed)
    n = ROUNDS * REPS
    noise = np.zeros(n)
    for k in range(n):
        fresh = rng.normal(0, NOISE_DEG * np.sqrt(1 - like_neighbours**2))
        noise[k] = (like_neighbours * noise[k - 1] if k else 0.0) + fresh
    row = DEPTH_DEG * (1 - drift_share * np.arange(n) / (n - 1)) + noise
    grid = row.reshape(ROUNDS, REPS)
    grid[0, 0] -= 12.0
    return grid


def said(periods: list[Period]) -> list[Drift]:
    return [d for d in find_drift(periods) if d.statement]


@pytest.mark.parametrize("like_neighbours", [0.0, 0.4])
def test_of_100_sets_without_drift_at_most_5_are_said_to_drift(like_neighbours: float) -> None:
    assert sum(bool(said(rounds(noisy(seed, 0.0, like_neighbours)))) for seed in range(100)) <= 5


@pytest.mark.parametrize("like_neighbours", [0.0, 0.4])
def test_of_100_sets_with_15_percent_drift_at_least_95_are_said_to(like_neighbours: float) -> None:
    found = [said(rounds(noisy(seed, 0.15, like_neighbours))) for seed in range(100)]
    assert sum(any(d.measure == "depth" for d in each) for each in found) >= 95


def test_the_sentence_names_movement_measure_amount_and_rounds() -> None:
    depths = np.repeat([[100.0], [93.0], [86.0]], REPS, axis=1) + np.tile([0.5, -0.5], (3, 6))
    (drift,) = said(rounds(depths))
    assert drift.statement == "Squat: depth (knee bend) fell by 14 deg from round 1 to round 3."
    assert drift.per_round == (100.0, 93.0, 86.0)
    assert len(drift.per_rep) == 36
    assert "36" not in drift.evidence  # the first of each round is left out
    assert drift.evidence.startswith("33 repetitions; from first to last -1")


def test_a_fall_that_comes_back_after_each_rest_is_said_of_the_rounds() -> None:
    depths = np.tile(np.linspace(100, 86, REPS), (3, 1))
    (drift,) = said(rounds(depths))
    assert "within a round" in known(drift.statement) and "fell by 13 deg" in known(drift.statement)


def test_a_lower_side_is_no_drift() -> None:
    rng = np.random.default_rng(4)
    depths = 90 + rng.normal(0, 2, (3, REPS)) + np.tile([0.0, -25.0], (3, REPS // 2))
    assert not said(rounds(depths, sides=("left", "right"), movement="side-lunge"))


def test_slower_repetitions_are_not_called_tiring() -> None:
    seconds = np.linspace(1.2, 1.9, ROUNDS * REPS).reshape(ROUNDS, REPS)
    (drift,) = said(rounds(np.full((ROUNDS, REPS), 95.0), seconds=seconds))
    assert drift.measure == "time" and "no sign of tiring" in known(drift.statement)


def test_a_back_line_that_grows_rounder_is_said_above_10_degrees_only() -> None:
    flat = np.full((ROUNDS, REPS), 95.0)
    for end, expected in ((8.0, False), (22.0, True)):
        backs = np.linspace(0, end, ROUNDS * REPS).reshape(ROUNDS, REPS)
        found = said(rounds(flat, backs=backs))
        assert bool(found) == expected
    assert "back line became rounder by" in known(found[0].statement)


def test_rounds_seen_from_different_directions_are_not_compared() -> None:
    depths = np.repeat([[100.0], [93.0], [80.0]], REPS, axis=1)
    view = [
        ViewSpan(start_s=0, end_s=100, yaw_deg=90, facing="left"),
        ViewSpan(start_s=100, end_s=200, yaw_deg=0, facing="camera"),
    ]
    (depth,) = [d for d in find_drift(rounds(depths), view) if d.measure == "depth"]
    assert depth.statement is None and "different directions" in depth.evidence


def test_few_repetitions_make_no_trend() -> None:
    depths = np.array([[100.0, 95, 90, 85, 80]])
    (depth,) = [d for d in find_drift(rounds(depths)) if d.measure == "depth"]
    assert depth.statement is None and "too few" in depth.evidence


def test_rest_and_unknown_movements_have_no_drift() -> None:
    depths = np.linspace(100, 70, ROUNDS * REPS).reshape(ROUNDS, REPS)
    resting = [p.model_copy(update={"kind": "recovery"}) for p in rounds(depths)]
    assert find_drift(resting) == ()
    assert find_drift(rounds(depths, movement="dance")) == ()
