"""What is true of a rendered clip, measured from its bones, and the two files that say it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from clips.body import Body, skin_vertices
from clips.kinematics import SUFFIX, Bones
from clips.posture import COLUMN
from clips.session import Rep, Session

FloatArray = NDArray[np.float64]

_STEMS = {
    "shoulder": "upperarm01",
    "elbow": "lowerarm01",
    "wrist": "wrist",
    "hip": "upperleg01",
    "knee": "lowerleg01",
    "ankle": "foot",
}
_SIDED = (*_STEMS, "heel", "toe")
JOINT_NAMES = ("nose", *(f"{side}_{joint}" for joint in _SIDED for side in ("left", "right")))
NO_PEAK = "none"  # walking has a cycle, but no repetition
STAY = 0.08  # swaying while staying at a side does not leave it
PLATEAU = 0.02  # a peak held still is timed in the middle of this top fraction of its range


@dataclass(frozen=True)
class Measured:
    """Joints and angles of every frame.

    Attributes
    ----------
    joints_m : array, shape (n, J, 3)
        Room coordinates in the order of ``JOINT_NAMES``.
    trunk_deg, knee_left_deg, knee_right_deg, lumbar_deg : array, shape (n,)
        Inclination of the line hips to shoulders from vertical; knee flexion, 0 is straight;
        flexion of the lower back, 0 is flat.
    """

    joints_m: FloatArray
    trunk_deg: FloatArray
    knee_left_deg: FloatArray
    knee_right_deg: FloatArray
    lumbar_deg: FloatArray

    def joint_m(self, name: str) -> FloatArray:
        """One joint over time, (n, 3)."""
        return np.asarray(self.joints_m[:, JOINT_NAMES.index(name)])


def _surface_markers(body: Body) -> dict[str, int]:
    """Vertices that stand for the nose, the heels and the tips of the toes."""
    face = body.vertices_of("head", "neck03")
    central = face[np.abs(body.vertices[face, 0]) < 0.006]
    above_mouth = central[body.vertices[central, 2] > body.head_m("eye.L")[2] - 0.075]
    markers = {"nose": int(above_mouth[body.vertices[above_mouth, 1].argmin()])}
    for side in SUFFIX:
        foot = body.vertices_of("foot", "toe")
        outward = 1.0 if side == "left" else -1.0
        foot = foot[body.vertices[foot, 0] * outward > 0]
        low = foot[body.vertices[foot, 2] < body.vertices[foot, 2].min() + 0.035]
        markers[f"{side}_heel"] = int(low[body.vertices[low, 1].argmax()])
        markers[f"{side}_toe"] = int(low[body.vertices[low, 1].argmin()])
    return markers


def _angle_deg(a: FloatArray, b: FloatArray) -> FloatArray:
    cosine = (a * b).sum(axis=1) / np.linalg.norm(a, axis=1) / np.linalg.norm(b, axis=1)
    return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1, 1))))


def measure(body: Body, bones: Bones, postures: FloatArray) -> Measured:
    """Joints and angles from the bones as they were drawn."""
    markers = _surface_markers(body)
    chosen = np.array(list(markers.values()))
    weights = body.weights[chosen]
    surface = np.array(
        [
            skin_vertices(body.vertices[chosen], weights, body.bone_heads, turns, heads)[0]
            for turns, heads in zip(bones.rotations, bones.heads_m, strict=True)
        ]
    )
    by_name = {name: surface[:, i] for i, name in enumerate(markers)}
    for joint, stem in _STEMS.items():
        for side, letter in SUFFIX.items():
            by_name[f"{side}_{joint}"] = bones.heads_m[:, body.bone(f"{stem}.{letter}")]
    hips = (by_name["left_hip"] + by_name["right_hip"]) / 2
    shoulders = (by_name["left_shoulder"] + by_name["right_shoulder"]) / 2
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0]), hips.shape)
    knees = {
        side: _angle_deg(
            by_name[f"{side}_knee"] - by_name[f"{side}_hip"],
            by_name[f"{side}_ankle"] - by_name[f"{side}_knee"],
        )
        for side in SUFFIX
    }
    return Measured(
        joints_m=np.stack([by_name[name] for name in JOINT_NAMES], axis=1),
        trunk_deg=_angle_deg(shoulders - hips, up),
        knee_left_deg=knees["left"],
        knee_right_deg=knees["right"],
        lumbar_deg=postures[:, COLUMN["lumbar"]].copy(),
    )


def _knee(m: Measured, side: str) -> FloatArray:
    if side == "both":
        return (m.knee_left_deg + m.knee_right_deg) / 2
    return m.knee_left_deg if side == "left" else m.knee_right_deg


def _hips(m: Measured) -> FloatArray:
    return (m.joint_m("left_hip") + m.joint_m("right_hip")) / 2


def _sideways(m: Measured, side: str) -> FloatArray:
    return _hips(m)[:, 0] * (1.0 if side == "left" else -1.0)


def _shoulders_low(m: Measured, side: str) -> FloatArray:
    return -(m.joint_m("left_shoulder") + m.joint_m("right_shoulder"))[:, 2] / 2


def _hand_high(m: Measured, side: str) -> FloatArray:
    if side == "both":
        return (m.joint_m("left_wrist") + m.joint_m("right_wrist"))[:, 2] / 2
    return m.joint_m(f"{side}_wrist")[:, 2]


def _hand_far(m: Measured, side: str) -> FloatArray:
    wrist, shoulder = m.joint_m(f"{side}_wrist"), m.joint_m(f"{side}_shoulder")
    return np.asarray(np.linalg.norm(wrist - shoulder, axis=1))


PEAK_MEASURES: dict[str, Callable[[Measured, str], FloatArray]] = {
    "knee flexion": _knee,
    "trunk inclination": lambda m, side: m.trunk_deg,
    "thigh raise": lambda m, side: (m.joint_m(f"{side}_knee") - m.joint_m(f"{side}_hip"))[:, 2],
    "feet apart": lambda m, side: np.abs(
        (m.joint_m("left_ankle") - m.joint_m("right_ankle"))[:, 0]
    ),
    "hips low": lambda m, side: -_hips(m)[:, 2],
    "shoulders low": _shoulders_low,
    "feet away": lambda m, side: np.linalg.norm(
        (m.joint_m("left_ankle") + m.joint_m("right_ankle")) / 2 - _hips(m), axis=1
    ),
    "sideways": _sideways,
    "hand high": _hand_high,
    "hand far": _hand_far,
}


def peak_frame(signal: FloatArray, first: int, last: int, plateau: float = PLATEAU) -> int:
    """Frame of the greatest value in ``first`` to ``last``; the middle of it if it is held."""
    part = signal[first : last + 1]
    top = int(part.argmax())
    high = part >= part.max() - plateau * max(float(np.ptp(part)), 1e-9)
    start = stop = top
    while start > 0 and high[start - 1]:
        start -= 1
    while stop < len(part) - 1 and high[stop + 1]:
        stop += 1
    return first + (start + stop) // 2


def rep_truth(session: Session, measured: Measured, rep: Rep, peak_measure: str) -> dict[str, Any]:
    """One repetition as it stands in the truth file."""
    first = max(0, round(rep.start_s * session.frame_rate))
    # After coming to a side, the figure stays there until the next repetition leaves it.
    stays = peak_measure == "sideways"
    stays_s = 0.5 * (rep.end_s - rep.start_s) if stays else 0.0
    last = min(len(session.times_s) - 1, round((rep.end_s + stays_s) * session.frame_rate))
    path = PEAK_MEASURES[peak_measure](measured, rep.side)
    peak = peak_frame(path, first, last, STAY if stays else PLATEAU)
    return {
        "period": rep.period,
        "movement": rep.movement,
        "start_s": round(rep.start_s, 3),
        "peak_s": round(float(session.times_s[peak]), 3),
        "end_s": round(rep.end_s, 3),
        "side": rep.side,
        "complete": True,
        "trunk_deg": round(float(measured.trunk_deg[peak]), 1),
        "knee_flexion_deg": round(float(_knee(measured, rep.side)[peak]), 1),
        "lumbar_deg": round(float(measured.lumbar_deg[peak]), 1),
    }


def clip_truth(
    session: Session, measured: Measured, peak_measures: dict[str, str], described: dict[str, Any]
) -> dict[str, Any]:
    """The whole truth file.

    Parameters
    ----------
    peak_measures : dict
        Key of ``PEAK_MEASURES`` by movement.
    described : dict
        Clip name, size, camera, body and look.
    """
    counted = [rep for rep in session.reps if peak_measures[rep.movement] != NO_PEAK]
    periods = []
    for i, (period, start_s) in enumerate(zip(session.periods, session.starts_s, strict=True)):
        sides = [rep.side for rep in counted if rep.period == i]
        periods.append(
            {
                "kind": period.kind,
                "movement": period.movement,
                "start_s": round(start_s, 3),
                "end_s": round(start_s + period.duration_s, 3),
                "reps": len(sides),
                "left": sides.count("left"),
                "right": sides.count("right"),
            }
        )
    return {
        "schema": 1,
        **described,
        "frame_rate": session.frame_rate,
        "duration_s": round(session.duration_s, 3),
        "periods": periods,
        "reps": [rep_truth(session, measured, rep, peak_measures[rep.movement]) for rep in counted],
    }


def write_truth(
    stem: Path,
    truth: dict[str, Any],
    times_s: FloatArray,
    measured: Measured,
    joints_px: FloatArray,
) -> None:
    """Write ``<stem>.truth.json`` and ``<stem>.truth.npz``."""
    stem.with_name(f"{stem.name}.truth.json").write_text(json.dumps(truth, indent=1) + "\n")
    np.savez_compressed(
        stem.with_name(f"{stem.name}.truth.npz"),
        times_s=times_s.astype(np.float32),
        joint_names=np.array(JOINT_NAMES),
        joints_px=np.round(joints_px * 4).astype(np.float16) / np.float16(4),
        joints_m=measured.joints_m.astype(np.float16),
        trunk_deg=measured.trunk_deg.astype(np.float16),
        knee_left_deg=measured.knee_left_deg.astype(np.float16),
        knee_right_deg=measured.knee_right_deg.astype(np.float16),
        lumbar_deg=measured.lumbar_deg.astype(np.float16),
    )


def read_truth(stem: Path) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Read the two truth files of a clip back; ``stem`` is its path without ``.mp4``."""
    truth = json.loads(stem.with_name(f"{stem.name}.truth.json").read_text())
    with np.load(stem.with_name(f"{stem.name}.truth.npz")) as data:
        return truth, {key: data[key] for key in data.files}
