"""What of the body can be seen in each picture, and what is only the model's guess.

The model gives every landmark a place, also where a leg is cut off by the picture's edge or stands
behind a table. Four signs tell such guesses: the place lies beyond the edge; the model itself says
that it is rather hidden; a limb is longer in the picture than this person's is; the whole body
leaps or changes its size at once.

The limits were read off films of figures and people, whole and with legs, head or a side cut off or
covered (docs/measurements.md, "What can be seen").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from pose import landmarks as lm
from pose.body.parts import PARTS, Part, State, States
from pose.track import PoseTrack

Floats = NDArray[np.float64]


_LIMBS: dict[Part, tuple[tuple[tuple[int, int], tuple[int, int]], ...]] = {
    "arms": ((lm.SHOULDERS, lm.ELBOWS), (lm.ELBOWS, lm.WRISTS)),
    "legs": ((lm.HIPS, lm.KNEES), (lm.KNEES, lm.ANKLES)),
}
_JOINTS = (*lm.SHOULDERS, *lm.ELBOWS, *lm.WRISTS, *lm.HIPS, *lm.KNEES, *lm.ANKLES)

# The model's visibility is a probability: below one half it takes the landmark for hidden. Measured
# on the nearer limb: legs behind a table or a broad strip 0.02 to 0.56, seen 0.87 to 1.0.
MIN_VISIBILITY = 0.5
# From here on it is sure. Measured: feet behind a caption 0.5 to 0.78, seen 0.87 to 1.0.
SURE_VISIBILITY = 0.8
# Trunk lengths beyond the edge from which a landmark is out of the picture (7 cm): by less, the
# model puts joints that are just inside.
MIN_OUTSIDE = 0.15
# Trunk lengths inside the edge within which a landmark may be one that was cut off (1 cm).
AT_EDGE = 0.02
# A limb turned out of the picture's plane looks shorter, never longer. Measured on whole bodies: up
# to 1.53 times its own length for single pictures of floor work, else 1.36; on cut ones up to 2.4.
MAX_LIMB_RATIO = 1.5
# The body's size in the picture changes by this fraction a second at most: walking 2 m/s at 2 m
# from the camera. Between close pictures noise is larger; measured up to 0.10, lost bodies to 0.5.
MAX_SIZE_CHANGE_PER_S, MIN_SIZE_CHANGE = 1.0, 0.12
# Median joint's departure from even motion over three pictures, in trunk lengths: three times the
# earth's pull is 60 trunk lengths per second squared. At 15 pictures a second that is below what
# blur does; measured up to 0.45, lost bodies to 2.
MAX_ACCELERATION_PER_S2, MIN_LEAP = 60.0, 0.6
# Pictures over which the size is steady: a third of a second on either side.
_SIZE_WINDOW = 11


@dataclass(frozen=True, eq=False)
class Visible:
    """How each part of the body was seen in each sample.

    Attributes
    ----------
    sides : dict of str to (n, k) int8
        By part, a :class:`State` for left and right (k = 2), or for the whole (k = 1).
    parts : dict of str to (n,) int8
        By part, both sides together: outside if one side is, else as well as the better side was
        seen. From the side one limb hides the other.
    """

    sides: dict[Part, States]
    parts: dict[Part, States]


def visible(track: PoseTrack) -> Visible:
    """Tell for every sample what could be seen.

    Samples without a person, landmarks that were not given and joints of another source, which
    have no picture, are called seen: nothing speaks against them.

    Parameters
    ----------
    track : PoseTrack
    """
    n = len(track)
    sides: dict[Part, States] = {
        part: np.zeros((n, len(groups)), dtype=np.int8) for part, groups in PARTS.items()
    }
    rows = np.flatnonzero(track.present)
    if track.clip.width > 0 and len(rows):
        px_per_m = _px_per_m(track, rows)
        trunk_px = _trunk_px(track, rows, px_per_m)
        found = _landmark_states(track, rows, trunk_px)
        lost = _lost(track, rows, px_per_m, trunk_px)
        too_long = _limbs_too_long(track, rows, px_per_m)
        for part, groups in PARTS.items():
            for side, landmarks in enumerate(groups):
                state = found[:, list(landmarks)].max(axis=1)
                broken = lost | too_long[part][:, side] if part in too_long else lost
                sides[part][rows, side] = np.maximum(state, np.where(broken, State.LOST, 0))
    return Visible(sides, {part: _together(states) for part, states in sides.items()})


def _together(states: States) -> States:
    outside = (states == State.OUTSIDE).any(axis=1)
    return np.where(outside, np.int8(State.OUTSIDE), states.min(axis=1))


def _landmark_states(track: PoseTrack, rows: NDArray[np.intp], trunk_px: Floats) -> States:
    """State (r, 33) of each landmark by its place and the model's own word."""
    xy, sure = track.xy_px[rows], track.visibility[rows]
    size = np.array([track.clip.width, track.clip.height])
    # How far beyond the nearest edge; negative inside.
    beyond = np.maximum(-xy, xy - size).max(axis=2) / trunk_px[:, None]
    states = np.zeros(beyond.shape, dtype=np.int8)
    states[(beyond > -AT_EDGE) | (sure < SURE_VISIBILITY)] = State.UNSURE
    states[sure < MIN_VISIBILITY] = State.HIDDEN
    states[beyond > MIN_OUTSIDE] = State.OUTSIDE
    states[~np.isfinite(xy).all(axis=2)] = State.SEEN
    return states


def _px_per_m(track: PoseTrack, rows: NDArray[np.intp]) -> Floats:
    """Size (r,) of the body in the picture, pixels a metre of the model; NaN without metres."""
    xy, flat = track.xy_px[rows], track.world_m[rows, :, :2]
    xy = xy - xy[:, list(lm.HIPS)].mean(axis=1, keepdims=True)
    flat = flat - flat[:, list(lm.HIPS)].mean(axis=1, keepdims=True)
    square = np.nansum(flat * flat, axis=(1, 2))
    size = np.full(len(rows), np.nan)
    np.divide(np.nansum(xy * flat, axis=(1, 2)), square, out=size, where=square > 1e-12)
    return np.where(size > 0, size, np.nan)


def _trunk_px(track: PoseTrack, rows: NDArray[np.intp], px_per_m: Floats) -> Floats:
    """Length (r,) of the trunk in the picture's plane."""
    length_m = _length(track.world_m[rows], lm.HIPS, lm.SHOULDERS)
    known = length_m[np.isfinite(length_m)]
    if len(known):
        return np.maximum(np.nan_to_num(px_per_m) * float(np.median(known)), 1.0)
    chord = _length(track.xy_px[rows], lm.HIPS, lm.SHOULDERS)
    return np.full(len(rows), max(float(np.nanquantile(chord, 0.9)), 1.0))


def _length(points: Floats, upper: tuple[int, int], lower: tuple[int, int]) -> Floats:
    """Distance (n,) between the middles of two pairs of landmarks."""
    middles = points[:, list(upper)].mean(axis=1) - points[:, list(lower)].mean(axis=1)
    return np.asarray(np.linalg.norm(middles, axis=1))


def _lost(
    track: PoseTrack, rows: NDArray[np.intp], px_per_m: Floats, trunk_px: Floats
) -> NDArray[np.bool_]:
    """(r,) True where the whole body leaps or changes its size as no body can."""
    lost = np.zeros(len(rows), dtype=bool)
    times = track.times_s[rows]
    steps_s = np.diff(times)
    change = np.abs(np.diff(np.log(px_per_m)))
    sudden = change > np.maximum(MAX_SIZE_CHANGE_PER_S * steps_s, MIN_SIZE_CHANGE)
    lost[1:] |= sudden
    lost[:-1] |= sudden
    if len(rows) < 3:
        return lost
    joints = track.xy_px[rows][:, list(_JOINTS)]
    before_s, after_s = steps_s[:-1], steps_s[1:]
    fraction = (before_s / (before_s + after_s))[:, None, None]
    even = joints[:-2] + fraction * (joints[2:] - joints[:-2])
    # Off the even way; the second difference is twice that.
    off = 2 * np.linalg.norm(joints[1:-1] - even, axis=2) / trunk_px[1:-1, None]
    limit = np.maximum(MAX_ACCELERATION_PER_S2 * before_s * after_s, MIN_LEAP)
    lost[1:-1] |= np.nanmedian(np.where(np.isfinite(off), off, 0.0), axis=1) > limit
    return lost


def _limbs_too_long(
    track: PoseTrack, rows: NDArray[np.intp], px_per_m: Floats
) -> dict[Part, NDArray[np.bool_]]:
    """(r, 2) by part: whether a limb of either side is longer in the picture than it is."""
    size = median_filter(np.nan_to_num(px_per_m), _SIZE_WINDOW, mode="nearest")
    found: dict[Part, NDArray[np.bool_]] = {}
    for part, limbs in _LIMBS.items():
        found[part] = np.zeros((len(rows), 2), dtype=bool)
        for upper, lower in limbs:
            for side in (0, 1):
                ends = [upper[side], lower[side]]
                px, world_m = (
                    np.linalg.norm(np.diff(points[rows][:, ends], axis=1)[:, 0], axis=1)
                    for points in (track.xy_px, track.world_m)
                )
                known = world_m[np.isfinite(world_m)]
                if len(known):
                    longest = MAX_LIMB_RATIO * size * float(np.median(known))
                    found[part][:, side] |= px > np.maximum(longest, 1.0)
    return found
