"""Short swaps of left and right are repaired.

Seen from the side, the model now and then takes one leg for the other for one sample or a few. A
limb cannot be there and back in a fifth of a second: where swapping a short burst of samples makes
both paths far smoother, the burst is swapped back. Limbs that pass each other move on smoothly and
are left alone. Swaps that last longer cannot be seen this way.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.track import PoseTrack

Floats = NDArray[np.float64]

# Samples, at about 15 a second: a fifth of a second.
MAX_SWAP_SAMPLES = 3
# Squared second differences around the burst, in trunk lengths: swapping has to save this much,
# and to leave no more than this fraction. Set on figures whose legs were swapped on purpose (see
# docs/measurements.md); tests/pose/signals/test_left_right.py holds them.
MIN_SAVING = 0.15
MAX_REMAINING_FRACTION = 0.35
# A window has two samples on either side of the burst.
_AROUND = 2
# A window with a hole is as rough one way as the other.
_ROUGHNESS_OF_HOLES = 1e9
# The length of the trunk when it is upright, in the picture's plane.
_TRUNK_QUANTILE = 0.9
LIMBS: tuple[tuple[tuple[int, int], ...], ...] = (
    (lm.KNEES, lm.ANKLES, lm.HEELS, lm.TOES),
    (lm.ELBOWS, lm.WRISTS),
)


def repair_swaps(track: PoseTrack) -> PoseTrack:
    """The track with short swaps of legs, and of arms, repaired."""
    if len(track) < MAX_SWAP_SAMPLES + 2 * _AROUND:
        return track
    shoulders = track.xy_px[:, list(lm.SHOULDERS)].mean(axis=1)
    hips = track.xy_px[:, list(lm.HIPS)].mean(axis=1)
    trunks_px = np.linalg.norm(shoulders - hips, axis=1)
    seen_px = trunks_px[np.isfinite(trunks_px)]
    trunk_px = float(np.quantile(seen_px, _TRUNK_QUANTILE)) if len(seen_px) else 0.0
    if trunk_px == 0:
        return track
    xy, world, visibility = track.xy_px.copy(), track.world_m.copy(), track.visibility.copy()
    for limb in LIMBS:
        left, right = [p[0] for p in limb], [p[1] for p in limb]
        ends = np.stack([xy[:, left], xy[:, right]], axis=1) / trunk_px
        swapped = _swapped(ends.reshape(len(xy), 2, -1))
        if swapped.any():
            rows = np.flatnonzero(swapped)[:, None]
            for values in (xy, world, visibility):
                values[rows, left], values[rows, right] = (
                    values[rows, right].copy(),
                    values[rows, left].copy(),
                )
    return replace(track, xy_px=xy, world_m=world, visibility=visibility)


def _swapped(ends: Floats) -> NDArray[np.bool_]:
    """(n,) True where left and right of `ends` (n, 2, d) are swapped for a moment."""
    n = len(ends)
    points = ends.shape[2] / 2
    found: list[tuple[float, int, int]] = []
    for length in range(1, MAX_SWAP_SAMPLES + 1):
        starts = np.arange(_AROUND, n - length - _AROUND + 1)
        window = ends[starts[:, None] + np.arange(-_AROUND, length + _AROUND)]
        burst = slice(_AROUND, _AROUND + length)
        other = window.copy()
        other[:, burst] = window[:, burst, ::-1]
        before, after = _roughness(window) / points, _roughness(other) / points
        better = (before - after > MIN_SAVING) & (after < MAX_REMAINING_FRACTION * before)
        found += [
            (float(before[k] - after[k]), int(starts[k]), length) for k in np.flatnonzero(better)
        ]
    swapped = np.zeros(n, dtype=bool)
    touched = np.zeros(n, dtype=bool)
    for _, start, length in sorted(found, reverse=True):
        around = slice(max(0, start - 1), start + length + 1)
        if not touched[around].any():
            swapped[start : start + length] = True
            touched[around] = True
    return swapped


def _roughness(window: Floats) -> Floats:
    """Sum of squared second differences of each window (k, samples, 2, d)."""
    bends = np.diff(window, n=2, axis=1)
    return np.asarray(np.nan_to_num((bends**2).sum(axis=(1, 2, 3)), nan=_ROUGHNESS_OF_HOLES))
