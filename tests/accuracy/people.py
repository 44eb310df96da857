"""Scenes with several people, small ones and cut off bodies: who is followed, what is claimed.

python -m tests.accuracy.people [develop|report] [--only NAME]

The report half is looked at once, at the end. Films of people (the folder of real footage) are
reported with the develop half: nothing may be counted or named in them.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from annotate import review_track
from annotate.review.model import Review
from clips.scene_set import Half, SetScene, scene_set
from clips.scenes import film_scene
from pose import landmarks as lm
from pose.cache import cache_dir
from pose.extract.parallel import extract
from pose.track import PoseTrack
from tests.real import REAL

# Joints that are compared; hands and feet are worse found.
_JOINTS = tuple(
    f"{side}_{joint}" for joint in ("shoulder", "hip", "knee") for side in ("left", "right")
)
# Landmarks this near to a figure's joints, at the median and in its trunk lengths, are on it. Left
# and right may be exchanged: that is measured elsewhere.
_ON_FIGURE = 0.35
# An exchange this near to a notice is announced.
_ANNOUNCED_S = 5.0


@dataclass(frozen=True)
class Followed:
    """Fractions of the samples in which the first figure is in the picture."""

    right: float
    wrong: float
    nobody: float
    unannounced: int


def followed(
    track: PoseTrack, truth: dict[str, NDArray[np.float64]], *, anybody: bool = False
) -> Followed:
    """On whom the landmarks were, sample by sample."""
    on = _who(track, truth)
    main = int(np.bincount(on[on >= 0]).argmax()) if anybody and (on >= 0).any() else 0
    there = _in_picture(track, truth)
    exchanges = [
        float(track.times_s[b])
        for a, b in zip(np.flatnonzero(on >= 0)[:-1], np.flatnonzero(on >= 0)[1:], strict=True)
        if on[a] != on[b]
    ]
    doubts_s = track.people.doubts_s if track.people else ()
    silent = [t for t in exchanges if not any(abs(t - d) < _ANNOUNCED_S for d in doubts_s)]
    return Followed(
        right=float((on[there] == main).mean()),
        wrong=float(((on[there] >= 0) & (on[there] != main)).mean()),
        nobody=float((~track.present[there]).mean()),
        unannounced=len(silent),
    )


def _who(track: PoseTrack, truth: dict[str, NDArray[np.float64]]) -> NDArray[np.int64]:
    """(n,) number of the figure that was followed; -1 nobody or none of them."""
    rows = [int(np.abs(truth["times_s"] - t).argmin()) for t in track.times_s]
    names = [str(n) for n in truth["joint_names"]]
    order = [names.index(n) for n in _JOINTS]
    joints = truth["joints_px"][:, rows][:, :, order].astype(float)
    found = track.xy_px[:, [lm.INDEX[n] for n in _JOINTS]]
    swapped = found[:, [1, 0, 3, 2, 5, 4]]
    trunk = np.linalg.norm(joints[:, :, :2].mean(axis=2) - joints[:, :, 2:4].mean(axis=2), axis=2)
    off = np.minimum(
        *(np.median(np.linalg.norm(joints - f, axis=3), axis=2) for f in (found, swapped))
    )
    off = np.where(np.isfinite(off), off / trunk, np.inf)
    nearest = off.argmin(axis=0)
    return np.where(off.min(axis=0) < _ON_FIGURE, nearest, -1)


def _in_picture(track: PoseTrack, truth: dict[str, NDArray[np.float64]]) -> NDArray[np.bool_]:
    rows = [int(np.abs(truth["times_s"] - t).argmin()) for t in track.times_s]
    return np.asarray(np.isfinite(truth["joints_px"][0, rows, 0, 0]))


def _claims(review: Review) -> tuple[int, list[str], list[str]]:
    """Repetitions counted, movements named, and the reasons and notices given."""
    counts = [p.reps.count for p in review.periods if p.reps]
    counted = sum(count for count in counts if count is not None)
    named = sorted({p.movement for p in review.periods if p.movement})
    reasons = sorted({p.not_assessable for p in review.periods if p.not_assessable})
    return counted, named, [*reasons, *(n.code for n in review.notices if n.origin == "footage")]


def main() -> None:
    """Film the scenes that are not in the cache, follow and review them, print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("half", nargs="?", choices=get_args(Half), default="develop")
    parser.add_argument("--only", help="scenes whose name begins like this")
    asked = parser.parse_args()
    console = Console()
    columns = ("scene", "right", "wrong", "nobody", "silent", "true", "counted", "named", "told")
    table = Table(*columns, title=f"{asked.half} half")
    sums: list[Followed] = []
    for one in scene_set(asked.half):
        if asked.only and not one.scene.name.startswith(asked.only):
            continue
        seen, row = _measure(one)
        sums.append(seen)
        table.add_row(*row)
    console.print(table)
    right = np.mean([s.right for s in sums])
    console.print(
        f"right person {right:.3f}, wrong {np.mean([s.wrong for s in sums]):.3f}, unannounced "
        f"exchanges {sum(s.unannounced for s in sums)}"
    )
    if asked.half == "develop" and REAL.is_dir() and not asked.only:
        films = Table("film of people", "counted", "named", "told")
        for path in sorted((REAL / "people").glob("*.mp4")):
            counted, named, told = _claims(review_track(extract(path)))
            films.add_row(path.name, str(counted), ", ".join(named), ", ".join(told))
        console.print(films)


def _measure(one: SetScene) -> tuple[Followed, list[str]]:
    scene = one.scene
    folder = cache_dir() / "rendered" / "scenes"
    path = folder / f"{scene.name}.mp4"
    if not path.with_suffix(".truth.npz").exists():
        film_scene(scene, folder)
    track = extract(path, cache=False)
    with np.load(path.with_suffix(".truth.npz")) as data:
        truth = {key: data[key] for key in data.files}
    seen = followed(track, truth, anybody=one.anybody)
    counted, named, told = _claims(review_track(track))
    true = len(truth["peaks_s"]) if one.movement else 0
    row = [
        Path(scene.name).name, f"{seen.right:.3f}", f"{seen.wrong:.3f}", f"{seen.nobody:.3f}",
        str(seen.unannounced), str(true), str(counted), ", ".join(named) or "-", ", ".join(told),
    ]  # fmt: skip
    return seen, row


if __name__ == "__main__":
    main()
