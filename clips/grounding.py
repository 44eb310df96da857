"""Stand the figure on the floor: planted feet and hands stay put, jumps fly as bodies fly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d
from scipy.spatial import ConvexHull

from clips.body import Body, skin_vertices
from clips.kinematics import SUFFIX, Bones, pose_bones, reach_limb

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

CONTACTS = ("left foot", "right foot", "left hand", "right hand")
FEET, HANDS = [0, 1], [2, 3]
GRAVITY_M_S2 = 9.81
SETTLE_S = 0.24  # a limb takes this long to come fully onto its planted place
EASE_S = 0.32
EASE_ABOVE_M_S = 0.15
RELEASE_S = 0.112  # in this time the correction of a limb that is let go falls to 1/e
HOMING = 0.15  # fraction of the drift from the starting spot that a landing foot takes back
HOMING_LIMIT_M = 0.012
AIM = (
    0.5  # fraction of the drift from its place that a flight takes back: a leap aims for its place
)
AIM_LIMIT_M = 0.1
AROUND_FLIGHTS = 8


@dataclass(frozen=True)
class Footing:
    """What carries the body, frame by frame.

    Attributes
    ----------
    planted : array of bool, shape (n, 4)
        In the order of ``CONTACTS``; none at all is flight.
    travel_m : array, shape (n,)
        Way to the person's left covered by the flight a frame belongs to.
    """

    planted: BoolArray
    travel_m: FloatArray


def _contact_points(body: Body, bones: Bones) -> FloatArray:
    """Place (n, 4, 3) of each contact: ball of the foot or wrist, at the height of its lowest."""
    n = len(bones.heads_m)
    points = np.empty((n, 4, 3))
    for j, contact in enumerate(CONTACTS):
        side, part = contact.split()
        letter = SUFFIX[side]
        stems = ("foot", "toe") if part == "foot" else ("wrist", "finger", "metacarpal")
        candidates = body.vertices_of(*stems)
        outward = 1.0 if side == "left" else -1.0
        candidates = candidates[body.vertices[candidates, 0] * outward > 0]
        hull = candidates[ConvexHull(body.vertices[candidates]).vertices]
        marker = body.bone(f"toe2-1.{letter}" if part == "foot" else f"wrist.{letter}")
        points[:, j] = bones.heads_m[:, marker]
        weights = body.weights[hull]
        for i in range(n):
            places, _ = skin_vertices(
                body.vertices[hull], weights, body.bone_heads, bones.rotations[i], bones.heads_m[i]
            )
            points[i, j, 2] = places[:, 2].min()
    return points


def _flights(planted: BoolArray) -> list[tuple[int, int]]:
    """First frame, and the frame after the last, of each stretch with nothing planted."""
    flying = np.concatenate([[False], ~planted.any(axis=1), [False]])
    edges = np.flatnonzero(np.diff(flying.astype(int)))
    return [(int(start), int(stop)) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _heights(points: FloatArray, planted: BoolArray, frame_rate: float) -> FloatArray:
    """Height (n,) of the root: on the planted contacts, on a parabola while none is."""
    n = len(points)
    height = np.full(n, np.nan)
    for contacts in (HANDS, FEET):  # feet decide where both carry
        low = np.where(planted[:, contacts], -points[:, contacts, 2], np.inf).min(axis=1)
        height = np.where(np.isfinite(low), low, height)
    height = _eased_down(height, planted, frame_rate)
    for start, stop in _flights(planted):
        before = height[start - 1] if start else -points[start, FEET, 2].min()
        after = height[stop] if stop < n else before
        steps = np.arange(1, stop - start + 1)
        share = steps / (stop - start + 1)
        elapsed = steps / frame_rate
        left = (stop - start + 1) / frame_rate - elapsed
        rise = GRAVITY_M_S2 / 2 * elapsed * left
        height[start:stop] = before + share * (after - before) + rise
    return height


def _eased_down(height: FloatArray, planted: BoolArray, frame_rate: float) -> FloatArray:
    """Spread sudden changes of height, which come with a foot set down or let go.

    The hips sink before a foot lands and rise after one leaves, never the other way round: a leg
    can bend to meet the floor, but it cannot grow.
    """
    eased = height.copy()
    long = max(1, round(EASE_S * frame_rate))
    ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, long + 1) / (long + 1))
    steps = np.diff(height)
    around = np.convolve(np.pad(steps, 1, mode="edge"), [0.5, 0.0, 0.5], mode="valid")
    jumps = np.nan_to_num(steps - around)  # what the movement itself does is no jump
    changed = (planted[1:] != planted[:-1]).any(axis=1)
    for k in np.flatnonzero(changed & (np.abs(jumps) > EASE_ABOVE_M_S / frame_rate)):
        if jumps[k] < 0:
            part = eased[max(0, k + 1 - long) : k + 1]
            part += jumps[k] * ramp[long - len(part) :]
        else:
            part = eased[k + 1 : k + 1 + long]
            part -= jumps[k] * ramp[::-1][: len(part)]
    return eased


def _walk(
    points: FloatArray, footing: Footing, height: FloatArray, frame_rate: float
) -> tuple[FloatArray, FloatArray]:
    """Root path (n, 3) and the correction (n, 4, 3) each contact needs to stay where it is."""
    n = len(points)
    settle_frames = max(1, round(SETTLE_S * frame_rate))
    release = float(np.exp(-1 / (RELEASE_S * frame_rate)))
    root = np.zeros((n, 3))
    root[:, 2] = height
    shift = np.zeros((n, 4, 3))
    target = np.zeros((4, 2))
    age = np.zeros(4, dtype=int)
    here = -points[0, FEET, :2].mean(axis=0)
    slip = np.zeros(2)  # what a change from feet to hands would jump, fading out
    carried_by: list[int] = []
    flights = dict(_flights(footing.planted))
    take_off = dict(zip(flights, _take_offs(footing.travel_m[list(flights)]), strict=True))
    glide = np.zeros(2)  # per frame while flying
    for t in range(n):
        planted = footing.planted[t]
        held = planted & (age > 0)
        carriers = [j for j in FEET if held[j]] or [j for j in HANDS if held[j]]
        if carriers:
            exact = (target[carriers] - points[t, carriers, :2]).mean(axis=0)
            if set(carriers).isdisjoint(carried_by) and carried_by:
                slip = here - exact
            here, carried_by = exact + slip, carriers
            slip = slip * release
        elif t and not planted.any():
            if t in flights:
                astray = here + points[0, FEET, :2].mean(axis=0)
                astray[0] -= take_off[t]
                back = np.clip(AIM * astray, -AIM_LIMIT_M, AIM_LIMIT_M)
                glide = (np.array([footing.travel_m[t], 0.0]) - back) / (flights[t] - t + 1)
            here = here + glide
        root[t, :2] = here
        for j in range(4):
            floor_gap = -(height[t] + points[t, j, 2])
            if planted[j]:
                if age[j] == 0:
                    target[j] = _landing_place(points, here, t, j)
                age[j] += 1
                needed = np.append(target[j] - here - points[t, j, :2], floor_gap)
                share = 1.0 if t < settle_frames else min(1.0, age[j] / settle_frames)
                shift[t, j] = share * needed
            else:
                age[j] = 0
                shift[t, j] = shift[t - 1, j] * release if t else 0.0
                if j in FEET:
                    shift[t, j, 2] = max(shift[t, j, 2], floor_gap)
    return root, shift


def _landing_place(points: FloatArray, here: FloatArray, t: int, j: int) -> FloatArray:
    """Where (2,) contact `j` is set down; a foot takes back some of the drift from the start."""
    place: FloatArray = here + points[t, j, :2]
    if j in FEET and t:
        drift = here + points[0, FEET, :2].mean(axis=0)
        place -= np.clip(HOMING * drift, -HOMING_LIMIT_M, HOMING_LIMIT_M)
    return place


def _take_offs(travel_m: FloatArray) -> FloatArray:
    """Where to the left of the starting spot each flight should begin, metres.

    Leaps and runs to and fro lie evenly about that spot.
    """
    if not len(travel_m):
        return travel_m
    place = np.concatenate([[0.0], np.cumsum(travel_m)])
    middle = uniform_filter1d(0.5 * (place[1:] + place[:-1]), AROUND_FLIGHTS, mode="nearest")
    return np.asarray(place[:-1] - middle)


def stand_on_floor(body: Body, postures: FloatArray, footing: Footing, frame_rate: float) -> Bones:
    """Bones of every frame in room coordinates (floor at z = 0, start at the origin).

    Parameters
    ----------
    postures : array, shape (n, len(ANGLES))
        Degrees.
    """
    free = pose_bones(body, postures)
    points = _contact_points(body, free)
    height = _heights(points, footing.planted, frame_rate)
    root, shift = _walk(points, footing, height, frame_rate)
    limbs: dict[str, FloatArray] = {}
    for j, contact in enumerate(CONTACTS):
        side, part = contact.split()
        if np.abs(shift[:, j]).max() > 1e-4:
            limb = "leg" if part == "foot" else "arm"
            limbs |= reach_limb(body, free, limb, side, shift[:, j])
    bones = pose_bones(body, postures, limbs) if limbs else free
    return Bones(bones.rotations, bones.heads_m + root[:, None, :])
