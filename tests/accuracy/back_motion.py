"""The back line on squats of real people: their recorded motion, carried out by a rendered figure.

python -m tests.accuracy.back_motion

Each recorded squat segment is filmed from the side with a flat spine twice and then with the
spine flexion that was measured on the person; the change read is set against that flexion. Needs
the folder of real motion beside the checkout.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.form.back_arc import back_arc
from annotate.form.back_line import judge_backs
from clips.body import load_body
from clips.camera import Camera
from clips.grounding import Footing, stand_on_floor
from clips.looks import LOOKS
from clips.outfit import with_shoes
from clips.posture import ANGLES, COLUMN, NEUTRAL
from clips.renderer import Renderer
from clips.video import write_video
from pose.cache import cache_dir
from pose.extract.parallel import extract
from pose.signals.compute import movement_signals
from tests.real import REAL, circuit_truth

Floats = NDArray[np.float64]

FRAME_RATE = 15.0
RECORDED_HZ = 30.0
JOIN_FRAMES = 9
SIZE_PX = (640, 360)
CAMERA = Camera(yaw_deg=90, height_m=1.0, distance_m=3.8, aim_m=(0.0, 0.0, 0.95))
FIGURES = (("woman-a", "teal"), ("man-b", "ochre"), ("woman-b", "coral"))
LIMBS = {"thigh": ("hip", "knee"), "shank": ("knee", "ankle"), "arm": ("shoulder", "elbow"),
         "forearm": ("elbow", "wrist")}  # fmt: skip


def postures(table: pd.DataFrame, flexed: bool) -> Floats:
    """Angles of the figure for every row of a recording."""

    def joint(name: str) -> Floats:
        return table[[f"{name}_{axis}" for axis in "xyz"]].to_numpy()

    left = joint("l_hip") - joint("r_hip")
    left[:, 1] = 0.0
    left /= np.linalg.norm(left, axis=1, keepdims=True)
    up = np.array([0.0, 1.0, 0.0])
    front = np.cross(left, up)
    rows = np.tile(NEUTRAL, (len(table), 1))

    def put(angle: str, values: Floats) -> None:
        rows[:, COLUMN[angle]] = values

    for side, letter, outward in (("left", "l", 1.0), ("right", "r", -1.0)):
        for limb, (near, far) in LIMBS.items():
            line = joint(f"{letter}_{far}") - joint(f"{letter}_{near}")
            line /= np.linalg.norm(line, axis=1, keepdims=True)
            forward, across = (line * front).sum(axis=1), (line * left).sum(axis=1)
            put(f"{side}_{limb}_forward", np.degrees(np.arctan2(forward, -line[:, 1])))
            put(f"{side}_{limb}_out", np.degrees(np.arcsin(np.clip(outward * across, -1, 1))))
    trunk = 0.5 * (joint("l_shoulder") + joint("r_shoulder") - joint("l_hip") - joint("r_hip"))
    put("trunk_lean", np.degrees(np.arctan2((trunk * front).sum(axis=1), trunk[:, 1])))
    flexion = table["lowerback_flex_deg"].to_numpy()
    upper = table["upperback_flex_deg"].to_numpy() + table["thorax_flex_deg"].to_numpy()
    put("lumbar", flexion if flexed else np.zeros(len(table)))
    put("thoracic", upper if flexed else np.zeros(len(table)))
    return rows[:: round(RECORDED_HZ / FRAME_RATE)]


def joined(parts: list[Floats]) -> Floats:
    """Parts one after the other, each led into over half a second."""
    out = [parts[0]]
    for part in parts[1:]:
        share = np.linspace(0, 1, JOIN_FRAMES + 2)[1:-1, None]
        out += [(1 - share) * out[-1][-1] + share * part[0], part]
    return np.concatenate(out)


def change_read(name: str, body_name: str, look: str) -> tuple[list[str], float]:
    """What is said of each repetition, and the largest measured flexion."""
    (segment,) = [s for s in circuit_truth()[name] if s["label"] == "Squat"]
    table = pd.read_csv(REAL / "circuits" / f"{name}_joints_m_30hz.csv.gz")
    inside = table["time_s"].between(segment["start_s"], segment["end_s"])
    flat, flexed = (postures(table[inside], flexed) for flexed in (False, True))
    rows = joined([flat, flat, flexed])
    assert rows.shape[1] == len(ANGLES)
    path = cache_dir() / "accuracy" / f"motion-{name}-{body_name}-{look}.mp4"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        body = with_shoes(load_body(body_name))
        feet = np.tile([True, True, False, False], (len(rows), 1))
        bones = stand_on_floor(body, rows, Footing(feet, np.zeros(len(rows))), FRAME_RATE)
        renderer = Renderer([(body, LOOKS[look])], CAMERA, *SIZE_PX)
        poses = zip(bones.rotations, bones.heads_m, strict=True)
        frames = [renderer.draw([pose]) for pose in poses]
        renderer.close()
        write_video(path, iter(frames), *SIZE_PX, FRAME_RATE, None)
    track = extract(path)
    signals = movement_signals(track)
    reps = count_reps(signals, catalogue()["squat"], 0.0, track.clip.duration_s).reps
    (backs,) = judge_backs(back_arc(track, signals), signals, [reps]).backs
    said = [
        f"{b.arc_change_deg:+.0f}{'!' if b.rounded else ''}" if b.assessable else b.reason
        for b in backs
    ]
    return said, float(segment["max_spine_flex_sum_deg"])


def main() -> None:
    """Print the table."""
    table = Table(title="Squats of real people, carried out by a figure (! is flagged)")
    for column in ("recording", "figure", "measured flexion", "four flat, then as measured"):
        table.add_column(column)
    for name in ("13_29", "13_30", "14_14"):
        for body, look in FIGURES:
            said, true = change_read(name, body, look)
            table.add_row(name, f"{body}, {look}", f"{true:.0f}", ", ".join(said))
    Console(width=160).print(table)


if __name__ == "__main__":
    main()
