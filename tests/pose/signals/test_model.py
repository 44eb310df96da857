"""The value that holds the signals: times to samples and back."""

from __future__ import annotations

import numpy as np
import pytest

from pose.signals.model import Signals


def signals(count: int = 31, first_s: float = 2.0, rate_hz: float = 30.0) -> Signals:
    """From 2 s to 3 s; nobody is seen in the last three samples."""
    times_s = first_s + np.arange(count) / rate_hz
    hips_px = np.zeros((count, 2))
    hips_px[-3:] = np.nan
    rise = np.arange(count, dtype=float)
    nothing = np.zeros(count)
    return Signals(
        times_s, rate_hz, {"rise": rise}, nothing, nothing, np.zeros((count, 33, 3)), hips_px
    )


def test_a_signal_is_had_by_its_name() -> None:
    assert (signals()["rise"] == np.arange(31)).all()
    with pytest.raises(KeyError):
        signals()["raise"]


@pytest.mark.parametrize(
    ("time_s", "index"), [(2.0, 0), (2.016, 0), (2.018, 1), (2.5, 15), (0.0, 0), (99.0, 30)]
)
def test_the_nearest_sample_of_a_time(time_s: float, index: int) -> None:
    assert signals().index(time_s) == index
    assert signals().nearest(np.array([time_s, 2.0])).tolist() == [index, 0]


def test_without_samples_the_index_is_the_first() -> None:
    assert signals(0).index(1.0) == 0


@pytest.mark.parametrize(
    ("start_s", "end_s", "samples"),
    [(2.0, 3.0, (0, 30)), (2.1, 2.2, (3, 6)), (0.0, 99.0, (0, 31)), (2.5, 2.5, (15, 15))],
)
def test_a_stretch_has_its_start_and_not_its_end(
    start_s: float, end_s: float, samples: tuple[int, int]
) -> None:
    assert signals().slice(start_s, end_s) == slice(*samples)


def test_who_is_not_seen_is_not_present() -> None:
    assert signals().present.tolist() == [True] * 28 + [False] * 3
