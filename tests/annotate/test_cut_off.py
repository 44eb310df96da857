"""Films with legs, head or a side cut off, or something before the legs: counted right or refused.

The pictures of short clips are cut here; where, follows from the body in the first half second of
the whole picture.
"""

from __future__ import annotations

import json
import warnings
from collections.abc import Callable
from functools import cache
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from annotate import review_clip
from annotate.review.model import Review
from clips.video import write_video
from pose import landmarks as lm
from pose.extract.parallel import extract
from tests.real import REAL, needs_real

pytestmark = pytest.mark.slow

SHORT = Path(__file__).parents[2] / "clips" / "short"
Picture = NDArray[np.uint8]

OUT_OF_PICTURE = "legs out of the picture"
CUT_OFF = "body cut off"
HIDDEN = "legs hidden"


@cache
def levels(clip: Path) -> dict[str, float]:
    """Heights of hips, knees, ankles and toes, and the middle, as fractions of the picture."""
    track = extract(clip)
    first = np.nanmedian(track.xy_px[track.times_s < 0.5], axis=0)
    height, width = track.clip.height, track.clip.width
    found = {
        name: float(first[list(pair), 1].mean()) / height
        for name, pair in (("hips", lm.HIPS), ("knees", lm.KNEES), ("ankles", lm.ANKLES))
    }
    found["toes"] = float(first[list(lm.TOES), 1].max()) / height
    found["middle"] = float(first[list(lm.HIPS), 0].mean()) / width
    return found


def lower_edge(at: float) -> Callable[[Picture], Picture]:
    """The picture down to a fraction of its height."""
    return lambda shown: shown[: int(at * len(shown)) // 2 * 2]


def right_edge(at: float) -> Callable[[Picture], Picture]:
    """The picture to a fraction of its width."""
    return lambda shown: shown[:, : int(at * shown.shape[1]) // 2 * 2]


def strip(top: float, bottom: float) -> Callable[[Picture], Picture]:
    """A brown board before the picture, from one fraction of its height to another."""

    def covered(shown: Picture) -> Picture:
        out = shown.copy()
        out[int(top * len(out)) : int(bottom * len(out))] = (120, 80, 40)
        return out

    return covered


def review_changed(clip: Path, change: Callable[[Picture], Picture], folder: Path) -> Review:
    with av.open(str(clip)) as container:
        stream = container.streams.video[0]
        rate = float(stream.average_rate or 25)
        shown = [change(f.to_ndarray(format="rgb24")) for f in container.decode(stream)]
    path = folder / "changed.mp4"
    write_video(path, shown, shown[0].shape[1], shown[0].shape[0], rate)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return review_clip(path)


def reps_of(clip: Path) -> int:
    truth = json.loads(clip.with_suffix("").with_suffix(".truth.json").read_text())
    return sum(int(p["reps"]) for p in truth["periods"])


def refused(review: Review) -> set[str | None]:
    """The reasons of a review in which nothing is named and nothing counted."""
    assert not [p for p in review.periods if p.movement or p.may_be or p.reps.count]
    assert all(p.reps.count is None and p.reps.confidence == 0 for p in review.periods)
    return {p.not_assessable for p in review.periods}


CUTS: dict[str, Callable[[dict[str, float]], Callable[[Picture], Picture]]] = {
    "at the hips": lambda at: lower_edge(at["hips"]),
    "at the knees": lambda at: lower_edge(at["knees"]),
    "at the shins": lambda at: lower_edge(0.5 * (at["knees"] + at["ankles"])),
    "half of it": lambda at: right_edge(at["middle"]),
    "behind a table": lambda at: strip(0.5 * (at["hips"] + at["knees"]), at["toes"] + 0.05),
}


@pytest.mark.parametrize("cut", CUTS)
@pytest.mark.parametrize("name", ["squat-front", "knee-lift-oblique"])
def test_what_is_cut_off_is_not_judged(name: str, cut: str, tmp_path: Path) -> None:
    clip = SHORT / f"{name}.mp4"
    reasons = refused(review_changed(clip, CUTS[cut](levels(clip)), tmp_path))
    assert reasons & {OUT_OF_PICTURE, CUT_OFF, HIDDEN}
    if cut == "behind a table":
        assert HIDDEN in reasons


@pytest.mark.parametrize("name", ["squat-side", "squat-oblique", "jack-front"])
@pytest.mark.parametrize("what", ["cut at the ankles", "caption over the feet"])
def test_without_feet_the_count_is_right_or_refused(name: str, what: str, tmp_path: Path) -> None:
    clip = SHORT / f"{name}.mp4"
    at = levels(clip)
    change = (
        lower_edge(at["ankles"] - 0.01)
        if what == "cut at the ankles"
        else strip(at["ankles"] - 0.02, at["toes"] + 0.06)
    )
    review = review_changed(clip, change, tmp_path)
    counts = [p.reps.count for p in review.periods]
    assert counts in ([reps_of(clip)], [None])
    points = [w for p in review.periods for r in p.reps.each for w in r.watched]
    assert all(w.value is None for w in points if w.point == "heels")
    assert not [n for n in review.notices if n.code == "watch-heels"]
    assert all(p.movement in (None, *name.split("-"), "jumping-jack") for p in review.periods)


@needs_real
@pytest.mark.parametrize("cut", CUTS)
def test_a_real_squat_that_is_cut_off_is_not_judged(cut: str, tmp_path: Path) -> None:
    clip = REAL / "pose_squats.mp4"
    assert refused(review_changed(clip, CUTS[cut](levels(clip)), tmp_path)) <= {
        OUT_OF_PICTURE, CUT_OFF, HIDDEN,
    }  # fmt: skip


@needs_real
def test_real_squats_are_still_counted() -> None:
    (period,) = review_clip(REAL / "pose_squats.mp4").periods
    assert (period.movement, period.reps.count, period.not_assessable) == ("squat", 3, None)


@needs_real
@pytest.mark.parametrize(
    ("name", "reason"),
    [("table", CUT_OFF), ("skateboarding", "not tracked well"), ("handshake", None),
     ("clean_and_jerk", None), ("ta_chi", None)],
)  # fmt: skip
def test_people_who_do_no_exercise_are_not_counted(name: str, reason: str | None) -> None:
    if not (REAL / "people").is_dir():
        pytest.skip("no films of people beside this checkout")
    review = review_clip(REAL / "people" / f"{name}.mp4")
    assert not [p for p in review.periods if p.movement or p.reps.count]
    assert reason in {p.not_assessable for p in review.periods}
