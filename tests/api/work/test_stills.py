"""Stills of a rendered clip whose back rounds."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

import clips
from annotate import review_track
from api.errors import OutputError
from api.work.stills import FOLDER, write_stills
from pose.extract.parallel import extract

CLIP = Path(clips.__path__[0]) / "short" / "hinge-rounding-side.mp4"


@pytest.fixture(scope="module")
def track():
    return extract(CLIP)


@pytest.fixture(scope="module")
def review(track):
    return review_track(track)


def test_stills_are_pictures_with_both_outlines_drawn(track, review, tmp_path):
    written = write_stills(CLIP, track, review, tmp_path)
    assert [p.name for p in written] == [s.file for s in review.stills]
    assert len(written) == 4
    for still, path in zip(review.stills, written, strict=True):
        assert path.parent == tmp_path / FOLDER
        picture = cv2.imread(str(path)).astype(int)
        above_text = picture[:-52]
        blue, green, red = np.moveaxis(above_text, 2, 0)
        sky_blue = (blue > 200) & (green > 150) & (red < 130)
        vermilion = (red > 180) & (green > 60) & (green < 130) & (blue < 60)
        assert sky_blue.sum() > 100
        assert vermilion.sum() > 100
        assert (picture.shape[1] > 1500) == (still.beside_s is not None)


def test_no_stills_no_folder(track, review, tmp_path):
    write_stills(CLIP, track, review.model_copy(update={"stills": ()}), tmp_path)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_written_is_one_line(track, review, tmp_path):
    (tmp_path / FOLDER).write_text("in the way")
    with pytest.raises(OutputError):
        write_stills(CLIP, track, review, tmp_path)
