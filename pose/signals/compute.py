"""From a track to its movement signals: repaired, put on an even grid, filtered, scaled."""

from __future__ import annotations

import numpy as np

from pose import landmarks as lm
from pose.signals.body import body_signals
from pose.signals.feet import foot_signals
from pose.signals.filters import MAX_GAP_S, RATE_HZ, even_grid, low_pass, resample
from pose.signals.geometry import midpoint, yaw_deg
from pose.signals.left_right import repair_swaps
from pose.signals.model import Signals
from pose.signals.scale import body_scale
from pose.signals.seen import parts_on_grid, without_own_body
from pose.signals.travel import travel_signals
from pose.signals.view import steady_left_axis
from pose.track import PoseTrack

# The usual cut-off for films of human movement (named as the standard in Appl. Sci. 2025, 15(4),
# 2177, for the same filter: Butterworth, fourth order over both passes). It also is what the
# samples allow: 15 a second carry up to 7.5 Hz, and the filter needs room to fall off.
CUTOFF_HZ = 6.0


def movement_signals(track: PoseTrack, *, mirrored: bool = False) -> Signals:
    """Compute all signals of a track, those of :mod:`pose.signals.names`.

    Parameters
    ----------
    track : PoseTrack
        Raw samples. Short swaps of left and right are repaired, then the samples are put on an
        even grid, short gaps filled, and filtered zero-lag.
    mirrored : bool
        The footage is a mirror image: left and right are swapped back.
    """
    track = repair_swaps(track)
    grid = even_grid(track.times_s, RATE_HZ)
    xy = low_pass(resample(track.times_s, track.xy_px, grid, MAX_GAP_S), RATE_HZ, CUTOFF_HZ)
    world = low_pass(resample(track.times_s, track.world_m, grid, MAX_GAP_S), RATE_HZ, CUTOFF_HZ)
    if mirrored:
        xy, world = xy[:, lm.MIRROR], world[:, lm.MIRROR]
        world = world * np.array([-1.0, 1.0, 1.0])
        xy = xy * np.array([-1.0, 1.0])

    hips_px = midpoint(xy, lm.HIPS)
    shape_px = xy - hips_px[:, None]
    depth, trunk_px, near = body_scale(shape_px, world)
    body = np.concatenate([shape_px / trunk_px[:, None, None], depth[..., None]], axis=2)

    axis = steady_left_axis(world, RATE_HZ)
    values = body_signals(body, axis)
    values |= travel_signals(hips_px, trunk_px, near, axis)
    values |= foot_signals(body, xy, trunk_px, values["hip_height"], values["stance_length"])
    parts = without_own_body(parts_on_grid(track, grid), values, axis)
    return Signals(grid, RATE_HZ, values, yaw_deg(axis), trunk_px, body, hips_px, parts)
