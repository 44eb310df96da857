"""Recorded motion of real people on the rendered figure: a video of human timing and posture.

python -m tests.accuracy.recorded

Directions of limbs and trunk, flexion of the spine and the way of the hips are taken from the
recording frame by frame; counts are compared with the recording's labels. The joints are those of
the circuits in the folder of real motion; without it nothing is measured.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.counting.recognise import recognise
from clips.body import Body, load_body
from clips.camera import Camera
from clips.film import Shot, draw, with_noise
from clips.kinematics import Bones, middle_m, pose_bones, turn_about
from clips.outfit import with_shoes
from clips.posture import ANGLES, COLUMN, SIDES
from clips.video import write_video
from pose.cache import cache_dir
from pose.extract.parallel import extract
from pose.signals.compute import movement_signals
from tests.accuracy.metrics import count_score, matched_errors_s
from tests.real import REAL, circuit_truth

Floats = NDArray[np.float64]

FRAME_RATE = 15.0
RECORDINGS = (("13_29", "woman-a", "teal", 20.0), ("14_14", "man-a", "ochre", -50.0))
LABELS = {
    "JumpJack": "jumping-jack",
    "Squat": "squat",
    "KneeRaise": "knee-lift",
    "ToeTouchOneHand": "toe-touch",
    "Jog": "jog",
}
LIMBS = {
    "thigh": ("hip", "knee"),
    "shank": ("knee", "ankle"),
    "arm": ("shoulder", "elbow"),
    "forearm": ("elbow", "wrist"),
}


def recorded_joints(name: str) -> tuple[Floats, dict[str, Floats]]:
    """Times, and joints (n, 3) as left, up, front of the room, at the frame rate of the film."""
    table = pd.read_csv(REAL / "circuits" / f"{name}_joints_m_30hz.csv.gz")
    times = np.arange(0.0, float(table["time_s"].iloc[-1]), 1 / FRAME_RATE)
    at = {c: np.interp(times, table["time_s"], table[c]) for c in table.columns}
    names = {c[:-2] for c in table.columns if c.endswith("_x")}
    joints = {n: np.stack([at[f"{n}_{axis}"] for axis in "xyz"], axis=1) for n in names}
    return times, joints | {
        "spine_deg": np.stack([at[f"{part}_flex_deg"] for part in
                               ("lowerback", "upperback", "thorax")], axis=1)
    }  # fmt: skip


def postures_and_heading(joints: dict[str, Floats]) -> tuple[Floats, Floats]:
    """Angles of the figure (n, len(ANGLES)), and its turn about the vertical, degrees."""
    left = joints["l_hip"] - joints["r_hip"]
    heading = np.degrees(np.unwrap(np.arctan2(-left[:, 2], left[:, 0])))
    cosine, sine = np.cos(np.radians(heading)), np.sin(np.radians(heading))

    def own(vector: Floats) -> tuple[Floats, Floats, Floats]:
        """A vector as left, up, front of the person."""
        x, y, z = vector.T
        return x * cosine - z * sine, y, x * sine + z * cosine

    rows = np.zeros((len(left), len(ANGLES)))

    def put(name: str, degrees: Floats) -> None:
        rows[:, COLUMN[name]] = degrees

    middle = {k: 0.5 * (joints[f"l_{k}"] + joints[f"r_{k}"]) for k in ("hip", "shoulder")}
    to_left, up, front = own(middle["shoulder"] - middle["hip"])
    put("trunk_lean", np.degrees(np.arctan2(front, up)))
    put("trunk_side", np.degrees(np.arctan2(to_left, np.hypot(up, front))))
    across = own(joints["l_shoulder"] - joints["r_shoulder"])
    put("trunk_turn", np.degrees(np.arctan2(-across[2], across[0])))
    put("lumbar", joints["spine_deg"][:, 0])
    put("thoracic", joints["spine_deg"][:, 1:].sum(axis=1))
    for side in SIDES:
        outward = 1.0 if side == "left" else -1.0
        for limb, (near, far) in LIMBS.items():
            along = joints[f"{side[0]}_{far}"] - joints[f"{side[0]}_{near}"]
            to_left, up, front = own(along / np.linalg.norm(along, axis=1, keepdims=True))
            put(f"{side}_{limb}_out", np.degrees(np.arcsin(np.clip(outward * to_left, -1, 1))))
            put(f"{side}_{limb}_forward", np.degrees(np.arctan2(front, -up)))
        _, up, front = own(joints[f"{side[0]}_toe"] - joints[f"{side[0]}_ankle"])
        pitch = np.degrees(np.arctan2(-up, np.abs(front)))
        put(f"{side}_foot_down", pitch - np.median(pitch))
        put(f"{side}_finger_curl", np.full(len(left), 40.0))
    return rows, heading


def placed(body: Body, joints: dict[str, Floats]) -> Bones:
    """Bones in the room: turned as the person was, hips on their way, feet on the floor."""
    rows, heading = postures_and_heading(joints)
    bones = pose_bones(body, rows)
    turn = turn_about(np.array([0.0, 0.0, 1.0]), heading)
    hips = middle_m(body, bones, "upperleg01")
    heads = np.einsum("nij,nbj->nbi", turn, bones.heads_m - hips[:, None])
    leg_m = np.linalg.norm(body.head_m("upperleg01.L") - body.head_m("foot.L"))
    recorded_m = np.median(
        np.linalg.norm(joints["l_hip"] - joints["l_knee"], axis=1)
        + np.linalg.norm(joints["l_knee"] - joints["l_ankle"], axis=1)
    )
    way = 0.5 * (joints["l_hip"] + joints["r_hip"]) * leg_m / recorded_m
    root = np.stack([way[:, 0], -way[:, 2], way[:, 1]], axis=1)
    root[:, :2] -= np.median(root[:, :2], axis=0)
    heads = heads + root[:, None]
    feet = [body.bone(f"toe2-1.{letter}") for letter in "LR"]
    floor = np.quantile(heads[:, feet, 2].min(axis=1), 0.2)
    above_sole = body.head_m("toe2-1.L")[2] - body.vertices[:, 2].min()
    heads[..., 2] -= floor - above_sole
    return Bones(np.einsum("nij,nbjk->nbik", turn, bones.rotations), heads)


def recorded_film(name: str, body: str, look: str, yaw_deg: float) -> Path:
    """The recording as a film of the figure, from the cache if it is there."""
    path = cache_dir() / "rendered" / f"recorded-{name}-{body}-{yaw_deg:.0f}.mp4"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        _, joints = recorded_joints(name)
        camera = Camera(yaw_deg=yaw_deg, height_m=1.1, distance_m=4.8, aim_m=(0.0, 0.0, 0.95))
        shot = Shot(name, (), body, look, camera, frame_rate=FRAME_RATE)
        bones = placed(with_shoes(load_body(body)), joints)
        partial = path.with_suffix(".part.mp4")
        write_video(partial, with_noise(draw(shot, bones), shot), 640, 360, FRAME_RATE, None)
        partial.replace(path)
    return path


def main() -> None:
    """Count every labelled stretch of the films."""
    console = Console(width=110)
    if not REAL.is_dir():
        console.print("Not measured: the folder of real motion is not here.")
        return
    table = Table(title="Recorded motion of real people, filmed on the figure")
    for column in ("recording", "view", "label", "true", "found", "peak error s", "named"):
        table.add_column(column)
    true: list[int] = []
    found: list[int] = []
    errors: list[float] = []
    for name, body, look, yaw in RECORDINGS:
        signals = movement_signals(extract(recorded_film(name, body, look, yaw)))
        for segment in _segments(name):
            movement, peaks = LABELS[segment["label"]], segment["rep_peak_s"]
            start_s, end_s = segment["start_s"], segment["end_s"]
            reps = count_reps(signals, catalogue()[movement], start_s, end_s).reps
            off = matched_errors_s(peaks, [r.peak_s for r in reps], 1.0)
            named = recognise(signals, start_s, end_s).movement or "unknown"
            true, found, errors = [*true, len(peaks)], [*found, len(reps)], [*errors, *off]
            mean = f"{np.mean(np.abs(off)):.2f}" if off else "-"
            table.add_row(name, f"{yaw:.0f}", segment["label"], str(len(peaks)), str(len(reps)),
                          mean, named)  # fmt: skip
    console.print(table)
    score = count_score(true, found)
    console.print(
        f"{score.periods} stretches: exact {score.exact:.2f}, within one {score.within_one:.2f}, "
        f"MAE {score.mae:.3f}, bias {score.bias:+.2f}, peaks {np.mean(np.abs(errors)):.2f} s"
    )


def _segments(name: str) -> list[dict[str, Any]]:
    return [s for s in circuit_truth()[name] if s["label"] in LABELS]


if __name__ == "__main__":
    main()
