"""Stills of a rendered clip whose back rounds."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

import clips
from annotate import review_track
from annotate.form.baseline import EARLIEST, OWN
from annotate.review.model import Review
from api.work.folder import Inputs, ReviewFolder
from api.work.produce import produce, still_file
from api.work.stills import draw_stills
from pose.extract.parallel import extract
from pose.track import PoseTrack

CLIP = Path(clips.__path__[0]) / "short" / "hinge-rounding-side.mp4"


@pytest.fixture(scope="module")
def track() -> PoseTrack:
    return extract(CLIP)


@pytest.fixture(scope="module")
def review(track: PoseTrack) -> Review:
    return review_track(track)


def test_stills_are_pictures_with_both_outlines_drawn(track: PoseTrack, review: Review) -> None:
    drawn = draw_stills(CLIP, track, review)
    assert list(drawn) == [s.file for s in review.stills]
    assert len(drawn) == 4
    for still, data in zip(review.stills, drawn.values(), strict=True):
        picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR).astype(int)
        above_text = picture[:-52]
        blue, green, red = np.moveaxis(above_text, 2, 0)
        sky_blue = (blue > 200) & (green > 150) & (red < 130)
        vermilion = (red > 180) & (green > 60) & (green < 130) & (blue < 60)
        assert sky_blue.sum() > 100
        assert vermilion.sum() > 100
        assert (picture.shape[1] > 1500) == (still.beside_s is not None)


def test_without_stills_the_clip_is_not_opened(track: PoseTrack, review: Review) -> None:
    none = review.model_copy(update={"stills": ()})
    assert draw_stills("no such clip.mp4", track, none) == {}


def test_a_review_names_only_the_stills_that_are_there(
    track: PoseTrack, review: Review, tmp_path: Path
) -> None:
    folder = ReviewFolder(tmp_path)
    with_clip = produce(folder, review, track=track, clip=CLIP)
    assert {p.name for p in (tmp_path / "stills").iterdir()} == {s.file for s in review.stills}
    assert with_clip.review.stills == review.stills and "stills" in with_clip.names
    without = produce(folder, review, track=track)
    assert without.review.stills == folder.review().stills == ()
    assert not (tmp_path / "stills").exists() and "stills" not in without.names


def test_stills_left_for_later_are_drawn_when_asked_for(
    track: PoseTrack, review: Review, tmp_path: Path
) -> None:
    folder = ReviewFolder(tmp_path)
    produce(folder, review, track=track, inputs=Inputs(clip=CLIP), draw_later=True)
    assert folder.review().stills == review.stills and not (tmp_path / "stills").exists()
    name = review.stills[0].file
    assert still_file(folder, name) == tmp_path / "stills" / name
    assert (tmp_path / "stills" / name).read_bytes().startswith(b"\xff\xd8")
    assert still_file(folder, "../review.json") is None


def test_the_caption_says_whose_repetitions_the_dotted_outline_is(
    track: PoseTrack, review: Review
) -> None:
    still = review.stills[0]
    pictures = {}
    for against in (OWN, EARLIEST):
        period = review.periods[still.period]
        each = list(period.reps.each)
        back = each[still.repetition].back.model_copy(update={"compared_with": against})
        each[still.repetition] = each[still.repetition].model_copy(update={"back": back})
        counted = period.reps.model_copy(update={"each": tuple(each)})
        periods = list(review.periods)
        periods[still.period] = period.model_copy(update={"reps": counted})
        labelled = review.model_copy(update={"periods": tuple(periods), "stills": (still,)})
        pictures[against] = draw_stills(CLIP, track, labelled)[still.file]
    assert pictures[OWN] != pictures[EARLIEST]
