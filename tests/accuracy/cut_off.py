"""Films with parts cut off or covered: counted right, refused, or wrong.

``python -m tests.accuracy.cut_off [CLIP...]`` cuts the pictures of the short clips (and of the film
of a person, where it is at hand) in twelve ways and reviews each without a plan. A review is right
where every period is counted and named as it was done, or named not at all; refused where nothing
is counted and the reason is told; anything else is wrong. Five to ten minutes for all.
"""

from __future__ import annotations

import json
import sys
import warnings
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

import av
import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from annotate import review_clip
from annotate.review.model import Review
from clips.video import write_video
from pose import landmarks as lm
from pose.extract.parallel import extract
from tests.real import REAL

SHORT = Path(__file__).parents[2] / "clips" / "short"
NAMES = (
    "squat-front", "squat-side", "squat-oblique", "knee-lift-oblique", "jack-front",
    "push-up-side", "hamstring-curl-oblique", "hinge-flat-side", "march-oblique",
    "side-lunge-front",
)  # fmt: skip
FILM = REAL / "pose_squats.mp4"

Picture = NDArray[np.uint8]
Change = Callable[[Picture], Picture]
Levels = dict[str, float]
Outcome = Literal["right", "refused", "wrong"]


@cache
def levels(clip: Path) -> Levels:
    """Heights of the body in the first half second, and its middle, as fractions of the picture."""
    track = extract(clip)
    height, width = track.clip.height, track.clip.width
    first = np.nanmedian(track.xy_px[track.times_s < 0.5], axis=0)
    joints = {
        "shoulders": lm.SHOULDERS, "hips": lm.HIPS, "knees": lm.KNEES, "ankles": lm.ANKLES,
        "nose": (lm.NOSE,),
    }  # fmt: skip
    found = {name: float(first[list(at), 1].mean()) / height for name, at in joints.items()}
    found["toes"] = float(first[list(lm.TOES), 1].max()) / height
    found["middle"] = float(first[list(lm.HIPS), 0].mean()) / width
    found["right"] = float(np.nanmax(track.xy_px[..., 0])) / width
    highest = track.xy_px[:, list(lm.WRISTS), 1].min(axis=1)
    found["hands"] = float(np.nanquantile(highest, 0.02)) / height
    return found


def shown(left: float = 0, top: float = 0, right: float = 1, bottom: float = 1) -> Change:
    """Only this part of the picture, as fractions of its size."""

    def change(whole: Picture) -> Picture:
        height, width = whole.shape[:2]
        part = whole[int(max(top, 0) * height) : int(min(bottom, 1) * height)]
        part = part[:, int(left * width) : int(min(right, 1) * width)]
        return part[: part.shape[0] // 2 * 2, : part.shape[1] // 2 * 2]

    return change


def covered(top: float, bottom: float) -> Change:
    """A brown board before the picture, from one fraction of its height to another."""

    def change(whole: Picture) -> Picture:
        out = whole.copy()
        out[int(top * len(out)) : int(min(bottom, 1) * len(out))] = (120, 80, 40)
        return out

    return change


CUTS: dict[str, Callable[[Levels], Change]] = {
    "legs cut at the hips": lambda at: shown(bottom=at["hips"]),
    "legs cut at the knees": lambda at: shown(bottom=at["knees"]),
    "legs cut at the shins": lambda at: shown(bottom=0.5 * (at["knees"] + at["ankles"])),
    "legs cut at the ankles": lambda at: shown(bottom=at["ankles"] - 0.01),
    "one half cut": lambda at: shown(right=at["middle"]),
    "one side cut": lambda at: shown(right=0.5 * (at["middle"] + at["right"])),
    "head cut": lambda at: shown(top=0.5 * (at["nose"] + at["shoulders"])),
    "cut above the hips": lambda at: shown(top=at["hips"] - 0.02),
    "raised hands cut": lambda at: shown(top=at["hands"] + 0.06),
    "behind a table": lambda at: covered(0.5 * (at["hips"] + at["knees"]), at["toes"] + 0.05),
    "caption over the feet": lambda at: covered(at["ankles"] - 0.02, at["toes"] + 0.06),
    "broad caption": lambda at: covered(0.5 * (at["knees"] + at["ankles"]), at["toes"] + 0.06),
}


def review_changed(clip: Path, cut: str, folder: Path) -> Review:
    """Review a clip whose pictures are all changed in one way."""
    change = CUTS[cut](levels(clip))
    with av.open(str(clip)) as container:
        stream = container.streams.video[0]
        rate = float(stream.average_rate or 25)
        pictures = [change(f.to_ndarray(format="rgb24")) for f in container.decode(stream)]
    path = folder / f"{clip.stem}, {cut}.mp4"
    write_video(path, pictures, pictures[0].shape[1], pictures[0].shape[0], rate)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return review_clip(path)


def truth_of(clip: Path) -> tuple[str, int]:
    """The movement of a clip, and how often it is done."""
    if clip == FILM:
        return "squat", 3
    truth = json.loads(clip.with_name(f"{clip.stem}.truth.json").read_text())
    return truth["periods"][0]["movement"], sum(p["reps"] for p in truth["periods"])


def outcome(review: Review, movement: str, reps: int) -> Outcome:
    """Whether a review is right, refused or wrong."""
    counts = [p.reps.count for p in review.periods if p.reps.count is not None]
    named = {p.movement for p in review.periods} - {None}
    if not counts:
        return "wrong" if named else "refused"
    whole = len(counts) == len(review.periods)
    return "right" if whole and sum(counts) == reps and named <= {movement} else "wrong"


def main(names: list[str]) -> None:
    """Print a row for each way of cutting."""
    clips = [SHORT / f"{name}.mp4" for name in names or NAMES]
    if not names and FILM.exists():
        clips.append(FILM)
    table = Table("what is missing", "right", "refused", "wrong", title=f"{len(clips)} films each")
    console = Console()
    with TemporaryDirectory() as folder:
        for cut in CUTS:
            found: dict[Outcome, list[str]] = {"right": [], "refused": [], "wrong": []}
            for clip in clips:
                review = review_changed(clip, cut, Path(folder))
                found[outcome(review, *truth_of(clip))].append(clip.stem)
            wrong = ", ".join([str(len(found["wrong"])), *found["wrong"]])
            table.add_row(cut, str(len(found["right"])), str(len(found["refused"])), wrong)
    console.print(table)


if __name__ == "__main__":
    main(sys.argv[1:])
