"""Movement signals: what the limbs do, scaled to the body, on an even time grid.

Lengths are trunk lengths (hips to shoulders), so that size and distance drop out; angles are
degrees. A signal named ``..._diff`` is left minus right: positive when the left side is the
higher, further or more bent one. Signals of one name mean the same from every view, but not
every view carries them equally well; the catalogue of movements says which to use.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.signals.filters import even_grid, low_pass, resample
from pose.signals.geometry import (
    flexion_deg,
    left_axis,
    middle,
    trunk_inclination_deg,
    unit,
    yaw_deg,
)
from pose.signals.left_right import untangled
from pose.track import PoseTrack

Floats = NDArray[np.float64]

RATE_HZ = 30.0
# Human whole-body movement lies below about 6 Hz (Winter, from memory); the model's samples
# come at 15 a second, which just carries it.
CUTOFF_HZ = 6.0
# Longer holes are left open: half a repetition of a fast movement could hide in them.
MAX_GAP_S = 0.4
# The body turns slowly against the noise of the model's depth.
VIEW_WINDOW_S = 2.0
SCALE_WINDOW_S = 6.0
FLOOR_WINDOW_S = 6.0
FLIGHT_WINDOW_S = 1.2
# In the air the legs hang: the hips are this share of their standing height above the feet.
UPRIGHT_SHARE = 0.6
# A camera that shows the whole body stands about 4 m away: 8 trunk lengths. Only the size of
# steps towards the camera hangs on it, not their time.
USUAL_DISTANCE = 8.0
NEAR_CUTOFF_HZ = 2.5
# Of a window's samples so many tell its quantiles well enough.
ENOUGH_SAMPLES = 45
# Within 20 degrees of a side view, steps to the side hardly show across the picture.
SIDE_VIEW_AXIS = math.sin(math.radians(20.0))


@dataclass(frozen=True, eq=False)
class Signals:
    """Movement signals of one clip.

    Attributes
    ----------
    times_s : (m,) float64
        Even grid, `rate_hz` samples a second.
    values : dict of str to (m,) float64
        NaN where the person or the limb was not seen.
    yaw_deg : (m,) float64
        Camera direction around the body, smoothed (see :func:`pose.signals.geometry.yaw_deg`).
    trunk_px : (m,) float64
        Length of the trunk in the picture if it lay in the picture's plane.
    body : (m, 33, 3) float64
        Filtered landmarks around the middle of the hips, trunk lengths; x, y from the picture,
        depth from the model.
    hips_px : (m, 2) float64
        Middle of the hips in the picture.
    """

    times_s: Floats
    rate_hz: float
    values: dict[str, Floats]
    yaw_deg: Floats
    trunk_px: Floats
    body: Floats
    hips_px: Floats

    def __getitem__(self, name: str) -> Floats:
        return self.values[name]

    @property
    def present(self) -> NDArray[np.bool_]:
        """(m,) True where a person was seen."""
        return np.asarray(np.isfinite(self.hips_px[:, 0]))

    def index(self, time_s: float) -> int:
        """Nearest sample, held inside the grid."""
        return 0 if len(self.times_s) == 0 else int(self.nearest(np.array([time_s]))[0])

    def nearest(self, times_s: Floats) -> NDArray[np.intp]:
        """Nearest sample of each time, held inside the grid."""
        at = np.rint((times_s - self.times_s[0]) * self.rate_hz).astype(np.intp)
        return np.asarray(np.clip(at, 0, len(self.times_s) - 1))

    def slice(self, start_s: float, end_s: float) -> slice:
        """Samples with ``start_s <= time < end_s``."""
        lo, hi = np.searchsorted(self.times_s, [start_s - 1e-9, end_s - 1e-9])
        return slice(int(lo), int(hi))


def rolling(values: Floats, rate_hz: float, window_s: float, quantile: float = 0.5) -> Floats:
    """Centred rolling quantile along the first axis; NaN are skipped.

    Of a long window some samples stand for all: it is worked out at every few samples from every
    few, and runs straight between them.
    """
    step = max(1, int(window_s * rate_hz) // ENOUGH_SAMPLES)
    window = max(3, int(window_s * rate_hz / step) | 1)
    frame = pd.DataFrame(values[::step].reshape(-1, math.prod(values.shape[1:])))
    out = frame.rolling(window, center=True, min_periods=1).quantile(quantile).to_numpy()
    if step > 1 and len(values):
        at = np.arange(len(values))
        coarse = at[::step]
        out = np.stack([np.interp(at, coarse, column) for column in out.T], axis=1)
    return np.asarray(out, dtype=np.float64).reshape(values.shape)


def movement_signals(track: PoseTrack, *, mirrored: bool = False) -> Signals:
    """Compute all signals of a track.

    Parameters
    ----------
    track : PoseTrack
        Raw samples; momentary exchanges of left and right are taken back, then the samples are
        put on an even grid, short gaps filled, filtered zero-lag.
    mirrored : bool
        The footage is a mirror image: left and right are exchanged back.
    """
    track = untangled(track)
    grid = even_grid(track.times_s, RATE_HZ)
    xy = low_pass(resample(track.times_s, track.xy_px, grid, MAX_GAP_S), RATE_HZ, CUTOFF_HZ)
    world = low_pass(resample(track.times_s, track.world_m, grid, MAX_GAP_S), RATE_HZ, CUTOFF_HZ)
    if mirrored:
        xy, world = xy[:, lm.MIRROR], world[:, lm.MIRROR]
        world = world * np.array([-1.0, 1.0, 1.0])
        xy = xy * np.array([-1.0, 1.0])

    hips_px = middle(xy, lm.HIPS)
    shape_px = xy - hips_px[:, None]
    depth, trunk_px, near = _scale(shape_px, world)
    body = np.concatenate([shape_px / trunk_px[:, None, None], depth[..., None]], axis=2)

    axis = _steady_axis(world)
    values = _body_signals(body, axis)
    values |= _travel_signals(hips_px, trunk_px, near, axis)
    values |= _foot_signals(xy, trunk_px, values["hip_height"], values["stance_length"])
    return Signals(grid, RATE_HZ, values, yaw_deg(axis), trunk_px, body, hips_px)


def _scale(shape_px: Floats, world: Floats) -> tuple[Floats, Floats, Floats]:
    """Depth in trunk lengths, trunk length in pixels, and how near the camera the body comes.

    Where the model gives metres, pixels per metre follow from the whole figure at once, so a
    trunk bent towards the camera does not look like a smaller person. Their short-term changes
    tell steps towards the camera and away from it (trunk lengths, at a usual distance).
    """
    if np.isfinite(world).any():
        flat = world[..., :2]
        per_metre = np.nansum(shape_px * flat, axis=(1, 2)) / np.maximum(
            np.nansum(flat * flat, axis=(1, 2)), 1e-12
        )
        per_metre[~np.isfinite(shape_px[:, lm.HIPS[0], 0])] = np.nan
        trunk_m = np.nanmedian(
            np.linalg.norm(middle(world, lm.SHOULDERS) - middle(world, lm.HIPS), axis=1)
        )
        trunk_px = rolling(per_metre, RATE_HZ, SCALE_WINDOW_S) * trunk_m
        near = low_pass(np.log(np.maximum(per_metre, 1e-6)), RATE_HZ, NEAR_CUTOFF_HZ)
        return world[..., 2] / trunk_m, trunk_px, USUAL_DISTANCE * near
    chord = np.linalg.norm(middle(shape_px, lm.SHOULDERS), axis=1)
    flat_px = rolling(chord, RATE_HZ, SCALE_WINDOW_S, 0.9)
    return np.zeros(shape_px.shape[:2]), flat_px, np.zeros(len(chord))


def _steady_axis(world: Floats) -> Floats:
    """Person's right-to-left direction (x, z), smoothed as a vector so that angles can wrap."""
    return unit(rolling(left_axis(world), RATE_HZ, VIEW_WINDOW_S))


def _body_signals(body: Floats, axis: Floats) -> dict[str, Floats]:
    up = -body[..., 1]
    known = np.isfinite(axis[:, :1])
    # Without depth (2-D joints) the picture's x is the best guess of both directions.
    left = np.where(known, axis, [[1.0, 0.0]])
    front = np.where(known, np.stack([axis[:, 1], -axis[:, 0]], axis=1), [[1.0, 0.0]])

    def along(points: Floats, direction: Floats) -> Floats:
        return np.asarray((points[..., [0, 2]] * direction).sum(axis=-1))

    knees = [flexion_deg(body, lm.HIPS[s], lm.KNEES[s], lm.ANKLES[s]) for s in (0, 1)]
    hips = [flexion_deg(body, lm.SHOULDERS[s], lm.HIPS[s], lm.KNEES[s]) for s in (0, 1)]
    elbows = [flexion_deg(body, lm.SHOULDERS[s], lm.ELBOWS[s], lm.WRISTS[s]) for s in (0, 1)]
    feet = body[:, lm.ANKLES[0]] - body[:, lm.ANKLES[1]]
    ankle_up = up[:, list(lm.ANKLES)]
    # The nearer foot stands lower in the picture: each foot is measured from its own floor.
    lifted = ankle_up - rolling(ankle_up, RATE_HZ, FLOOR_WINDOW_S, 0.2)
    wrist_up = up[:, list(lm.WRISTS)]
    shoulder_mid = middle(body, lm.SHOULDERS)
    shoulder_up = -shoulder_mid[:, 1]
    trunk_deg = trunk_inclination_deg(body)
    forward = along(shoulder_mid, front)
    feet_mid = middle(body, lm.ANKLES)
    return {
        "trunk_deg": trunk_deg,
        "trunk_forward": forward,
        "side_lean_deg": np.degrees(np.arctan2(along(shoulder_mid, left), shoulder_up)),
        "knee_left_deg": knees[0],
        "knee_right_deg": knees[1],
        "knee_deg": 0.5 * (knees[0] + knees[1]),
        "knee_diff_deg": knees[0] - knees[1],
        "hip_deg": 0.5 * (hips[0] + hips[1]),
        "hip_diff_deg": hips[0] - hips[1],
        "elbow_deg": 0.5 * (elbows[0] + elbows[1]),
        "elbow_diff_deg": elbows[0] - elbows[1],
        "hip_height": -ankle_up.min(axis=1),
        "shoulder_height": shoulder_up - ankle_up.min(axis=1),
        "knee_lift_diff": up[:, lm.KNEES[0]] - up[:, lm.KNEES[1]],
        "knee_lift": up[:, list(lm.KNEES)].max(axis=1),
        "foot_lift": np.abs(lifted[:, 0] - lifted[:, 1]),
        "foot_lift_diff": lifted[:, 0] - lifted[:, 1],
        "stance_width": along(feet, left),
        "stance_length": along(feet, front),
        "hip_shift": -along(feet_mid, left),
        "wrist_height": wrist_up.mean(axis=1) - shoulder_up,
        "wrist_height_diff": wrist_up[:, 0] - wrist_up[:, 1],
        "wrist_forward": along(middle(body, lm.WRISTS) - shoulder_mid, front),
        "wrist_forward_diff": along(body[:, lm.WRISTS[0]] - body[:, lm.WRISTS[1]], front),
        "wrist_floor": wrist_up.min(axis=1) - ankle_up.min(axis=1),
    }


def _travel_signals(
    hips_px: Floats, trunk_px: Floats, near: Floats, axis: Floats
) -> dict[str, Floats]:
    """Movement of the whole body, against where it was around that time.

    Steps to the person's side are seen in the picture, or from the side as coming nearer.
    """
    usual = rolling(hips_px[:, 1], RATE_HZ, SCALE_WINDOW_S)
    across = _off_middle(hips_px[:, 0]) / trunk_px
    nearer = _off_middle(near)
    to_left = np.where(np.isfinite(axis), axis, [1.0, 0.0])
    place = _centred(hips_px[:, 0]) / trunk_px
    return {
        "rise": -(hips_px[:, 1] - usual) / trunk_px,
        "near": nearer,
        # Forward on the floor; the person's front lies a quarter turn from the left.
        "advance": across * to_left[:, 1] + nearer * to_left[:, 0],
        "travel": _to_the_left(across, nearer, axis),
        "place": _to_the_left(place, _centred(near), axis),
    }


def _centred(x: Floats) -> Floats:
    known = x[np.isfinite(x)]
    return x - np.median(known) if len(known) else x


def _to_the_left(across: Floats, nearer: Floats, axis: Floats) -> Floats:
    """Way to the person's left, from the ways across the picture and towards the camera."""
    seen = ~(np.abs(axis[:, 0]) < SIDE_VIEW_AXIS)
    return np.where(
        seen,
        across * np.where(axis[:, 0] < 0, -1.0, 1.0),
        nearer * np.where(axis[:, 1] < 0, 1.0, -1.0),
    )


def _off_middle(x: Floats) -> Floats:
    """Way from the middle between the ends: who goes to and fro is mostly at either end."""
    return x - 0.5 * (_steady_ends(x, 0.05) + _steady_ends(x, 0.95))


def _foot_signals(
    xy: Floats, trunk_px: Floats, hip_height: Floats, stance_length: Floats
) -> dict[str, Floats]:
    """Feet against the floor and their usual place."""
    feet = xy[:, list(lm.ANKLES)] / trunk_px[:, None, None]
    # Toes leave the floor last; where they are not given, ankles stand for them.
    toes = xy[:, list(lm.TOES), 1] / trunk_px[:, None]
    toes = np.where(np.isfinite(toes), toes, feet[..., 1])
    # Each foot has its own floor, the nearer one lower in the picture; a step to another place
    # moves it, and a flight is over before the short window is.
    floor = np.minimum(
        rolling(toes, RATE_HZ, FLOOR_WINDOW_S, 0.8), rolling(toes, RATE_HZ, FLIGHT_WINDOW_S, 0.8)
    )
    above = floor - toes
    # With the hands down the feet go to another part of the floor, which is no flight.
    upright = hip_height > UPRIGHT_SHARE * rolling(hip_height, RATE_HZ, FLOOR_WINDOW_S, 0.9)
    away = np.linalg.norm(feet - rolling(feet, RATE_HZ, FLOOR_WINDOW_S), axis=2)
    return {
        "air": np.where(upright | ~np.isfinite(hip_height), above.min(axis=1), 0.0),
        "front_step": (away[:, 0] - away[:, 1]) * np.where(stance_length < 0, -1.0, 1.0),
    }


def _steady_ends(x: Floats, quantile: float) -> Floats:
    """Rolling quantile whose window keeps its length at the start and the end of the clip."""
    out = rolling(x, RATE_HZ, SCALE_WINDOW_S, quantile).copy()
    half = min(int(0.5 * SCALE_WINDOW_S * RATE_HZ), len(x) // 2)
    if half:
        out[:half], out[-half:] = out[half], out[-half - 1]
    return out
