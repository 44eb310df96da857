"""Signals of the body's own shape: bends, heights and distances of its parts from each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.signals.geometry import flexion_deg, midpoint, trunk_inclination_deg

Floats = NDArray[np.float64]


def body_signals(body: Floats, axis: Floats) -> dict[str, Floats]:
    """Signals of posture by name.

    Parameters
    ----------
    body : (m, 33, 3) float64
        Landmarks around the middle of the hips, trunk lengths.
    axis : (m, 2) float64
        Person's right-to-left direction as (x, z), see :mod:`pose.signals.view`.
    """
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
    feet_mid = midpoint(body, lm.ANKLES)
    ankle_up = up[:, list(lm.ANKLES)]
    wrist_up = up[:, list(lm.WRISTS)]
    shoulder_mid = midpoint(body, lm.SHOULDERS)
    shoulder_up = -shoulder_mid[:, 1]
    return {
        "trunk_deg": trunk_inclination_deg(body),
        "trunk_forward": along(shoulder_mid, front),
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
        "stance_width": along(feet, left),
        "stance_length": along(feet, front),
        "hip_shift": -along(feet_mid, left),
        "wrist_height": wrist_up.mean(axis=1) - shoulder_up,
        "wrist_height_diff": wrist_up[:, 0] - wrist_up[:, 1],
        "wrist_forward": along(midpoint(body, lm.WRISTS) - shoulder_mid, front),
        "wrist_forward_diff": along(body[:, lm.WRISTS[0]] - body[:, lm.WRISTS[1]], front),
        "wrist_floor": wrist_up.min(axis=1) - ankle_up.min(axis=1),
    }
