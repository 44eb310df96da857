"""Exchanges of left and right, made on purpose, are taken back; true crossings are left alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from clips.session import Period
from pose import landmarks as lm
from pose.signals.compute import movement_signals
from pose.signals.left_right import LIMBS, repair_swaps
from pose.track import PoseTrack
from tests.film import film

LEGS = LIMBS[0]


def exchanged(track: PoseTrack, share: float, seed: int) -> PoseTrack:
    """Legs exchanged in bursts of one to three samples, `share` of the time."""
    rng = np.random.default_rng(seed)
    rows = np.zeros(len(track), dtype=bool)
    while rows.mean() < share:
        start = int(rng.integers(2, len(track) - 5))
        rows[start : start + int(rng.integers(1, 4))] = True
    xy, world = track.xy_px.copy(), track.world_m.copy()
    for left, right in LEGS:
        for values, raw in ((xy, track.xy_px), (world, track.world_m)):
            values[rows, left], values[rows, right] = raw[rows, right], raw[rows, left]
    return replace(track, xy_px=xy, world_m=world)


@pytest.mark.parametrize("movement", ["march", "hamstring-curl", "jog", "mountain-climber"])
def test_sides_survive_exchanges_in_side_view(movement: str) -> None:
    track, truth = film((Period("work", movement, 12.0),), seed=5, yaw_deg=88)
    signals = movement_signals(exchanged(track, 0.06, 1))
    found = count_reps(signals, catalogue()[movement], 0, 12).reps
    assert [r.side for r in found] == [r["side"] for r in truth["reps"]]


@pytest.mark.parametrize("yaw_deg", [0, 45, 90])
@pytest.mark.parametrize("movement", ["march", "high-knees", "lateral-leap", "walk", "punch"])
def test_limbs_that_pass_each_other_are_left_alone(movement: str, yaw_deg: int) -> None:
    track, _ = film((Period("work", movement, 10.0),), yaw_deg=yaw_deg)
    np.testing.assert_array_equal(repair_swaps(track).xy_px, track.xy_px)


def test_a_track_with_holes_and_a_short_one_pass_through() -> None:
    track, _ = film((Period("work", "march", 4.0),))
    holed = replace(
        track, xy_px=np.where(np.arange(len(track))[:, None, None] % 7, track.xy_px, np.nan)
    )
    np.testing.assert_array_equal(repair_swaps(holed).xy_px, holed.xy_px)
    assert len(repair_swaps(track.between(0, 0.3))) == len(track.between(0, 0.3))
    assert lm.KNEES in LEGS


def test_nobody_seen_passes_through() -> None:
    track, _ = film((Period("work", "march", 4.0),))
    nobody = replace(track, xy_px=np.full_like(track.xy_px, np.nan))
    assert repair_swaps(nobody) is nobody
