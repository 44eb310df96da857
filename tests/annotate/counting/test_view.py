"""Views of the camera: a turn begins a new one, the twist of a repetition does not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from annotate.counting.view import circular_mean_deg, view_spans
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick
from tests.known import known

CLIP_S = 40.0


@cache
def standing() -> Signals:
    return movement_signals(stick.track(CLIP_S, lambda t: stick.Stance()))


def seen(*parts: tuple[float, float]) -> list[tuple[float, float, float]]:
    """Start, end and angle of each view, where the camera is at these angles from these times."""
    yaw = np.full(len(standing().times_s), np.nan)
    for start_s, yaw_deg in parts:
        yaw[standing().times_s >= start_s] = yaw_deg
    spans = view_spans(replace(standing(), yaw_deg=yaw))
    return [(s.start_s, s.end_s, known(s.yaw_deg)) for s in spans]


def test_one_view_is_one_span() -> None:
    assert seen((0, 60)) == [(0, CLIP_S, 60)]


@pytest.mark.parametrize("after_deg", [-10, 100, -160])
def test_a_turn_begins_a_new_view_where_it_happens(after_deg: float) -> None:
    assert seen((0, 30), (20, after_deg)) == [(0, 20, 30), (20, CLIP_S, after_deg)]


def test_a_turn_by_less_than_35_degrees_is_the_same_view() -> None:
    # 10 s at 0 and 30 s at 32 degrees.
    assert seen((0, 0), (10, 32)) == [(0, CLIP_S, 24)]


def test_a_turn_for_less_than_four_seconds_is_the_same_view() -> None:
    assert len(seen((0, 30), (20, 120), (23.5, 30))) == 1
    assert len(seen((0, 30), (20, 120), (24, 30))) == 3
    # The clip ends before it has lasted long enough.
    assert len(seen((0, 30), (37, 120))) == 1


def test_a_turn_over_the_back_is_no_turn_by_a_whole_circle() -> None:
    assert len(seen((0, 175), (20, -175))) == 1


def test_a_stretch_in_which_nobody_is_seen_parts_two_views() -> None:
    assert seen((0, 30), (10, np.nan), (20, 30)) == [(0, 10, 30), (20, CLIP_S, 30)]


def test_the_mean_of_directions_goes_the_short_way() -> None:
    assert abs(circular_mean_deg(np.array([170.0, -170.0]))) == pytest.approx(180)
