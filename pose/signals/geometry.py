"""Angles and directions of the body, from landmark positions.

Directions: the camera looks along +z, the picture's x runs right and y runs down, as in
:class:`pose.track.PoseTrack`. All angles are degrees; NaN in gives NaN out.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm

Floats = NDArray[np.float64]
Facing = Literal["left", "right", "camera", "away"]

# RULA (McAtamney & Corlett 1993) and REBA (Hignett & McAtamney 2000) divide trunk inclination at
# these angles. Only the bands are taken from there: they rate working postures, not exercise.
TRUNK_BAND_EDGES_DEG = (20.0, 60.0)


def midpoint(points: Floats, pair: tuple[int, int]) -> Floats:
    """Midpoint of a left/right pair of landmarks, (n, 33, d) -> (n, d)."""
    return 0.5 * (points[:, pair[0]] + points[:, pair[1]])


def joint_angle_deg(a: Floats, b: Floats, c: Floats) -> Floats:
    """Angle at `b` between the directions to `a` and to `c`, 0-180; last axis is space."""
    u, v = a - b, c - b
    # atan2 of sine and cosine keeps its precision near 0 and 180, where arccos loses it.
    cosine = (u * v).sum(axis=-1)
    square = (u * u).sum(axis=-1) * (v * v).sum(axis=-1) - cosine**2
    return np.asarray(np.degrees(np.arctan2(np.sqrt(np.maximum(square, 0.0)), cosine)))


def flexion_deg(points: Floats, upper: int, joint: int, lower: int) -> Floats:
    """Bend of a joint: 0 when the three landmarks lie on a straight line."""
    return 180.0 - joint_angle_deg(points[:, upper], points[:, joint], points[:, lower])


def trunk_inclination_deg(points: Floats) -> Floats:
    """Angle of the hips-to-shoulders line from vertical, 0-180, (n, 33, 2 or 3) -> (n,).

    With two coordinates this is the inclination seen in the picture; a trunk leaning at
    ``t`` in a plane turned ``w`` from the picture then reads ``atan(tan t * cos w)``.
    """
    line = midpoint(points, lm.SHOULDERS) - midpoint(points, lm.HIPS)
    sideways = np.linalg.norm(np.delete(line, 1, axis=1), axis=1)
    return np.asarray(np.degrees(np.arctan2(sideways, -line[:, 1])))


def trunk_band(trunk_deg: float) -> str:
    """Band of trunk inclination by the published edges: 0-20, 20-60, above 60 degrees."""
    low, high = TRUNK_BAND_EDGES_DEG
    if trunk_deg <= low:
        return "upright"
    return "inclined" if trunk_deg <= high else "strongly inclined"


def left_axis(world_m: Floats) -> Floats:
    """Horizontal unit vector from the person's right to left, (n, 33, 3) -> (n, 2) as (x, z).

    Hips and shoulders are averaged: either alone twists in many exercises.
    """
    hips = world_m[:, lm.HIPS[0]] - world_m[:, lm.HIPS[1]]
    shoulders = world_m[:, lm.SHOULDERS[0]] - world_m[:, lm.SHOULDERS[1]]
    axis = np.asarray((hips + shoulders)[:, [0, 2]], dtype=np.float64)
    return unit_vectors(axis)


def unit_vectors(vectors: Floats) -> Floats:
    """Vectors along the last axis scaled to length 1; NaN where there is no length."""
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    scaled = np.full_like(vectors, np.nan)
    np.divide(vectors, length, out=scaled, where=length > 1e-9)
    return scaled


def yaw_deg(axis_xz: Floats) -> Floats:
    """Camera direction around the body from :func:`left_axis`.

    0: the camera looks at the front; 90: at the person's left side; -90: at the right side;
    180: at the back.
    """
    return np.asarray(np.degrees(np.arctan2(-axis_xz[..., 1], axis_xz[..., 0])))


def off_side_view_deg(yaw: float) -> float:
    """How far a view is from a pure side view: 0 from either side, 90 from front or back."""
    folded = abs((yaw + 180.0) % 360.0 - 180.0)
    return abs(90.0 - folded)


def facing(yaw: float) -> Facing:
    """The way a person faces in the picture, within 45 degrees."""
    wrapped = (yaw + 180.0) % 360.0 - 180.0
    if abs(wrapped) <= 45:
        return "camera"
    if abs(wrapped) >= 135:
        return "away"
    return "left" if wrapped > 0 else "right"
