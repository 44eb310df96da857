"""Where a review's clip is found again, and what of the inputs is kept."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from pathlib import Path

import pytest

from annotate.plan.model import ClassPlan
from annotate.review.model import Review
from api.work.folder import Inputs, ReviewFolder
from pose.video.source import StoredClip
from tests.annotate.reviews import block
from tests.api.conftest import made_review


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    path = tmp_path / "films" / "take.mp4"
    path.parent.mkdir()
    path.write_bytes(b"moving pictures")
    return path


@pytest.fixture
def folder(tmp_path: Path, clip: Path) -> ReviewFolder:
    folder = ReviewFolder(tmp_path / "reviews" / "take.mp4.review")
    folder.keep(Inputs(clip=clip))
    return folder


@pytest.fixture
def review(clip: Path) -> Review:
    made = made_review(None)
    sha256 = hashlib.sha256(clip.read_bytes()).hexdigest()
    return made.model_copy(update={"clip": made.clip.model_copy(update={"sha256": sha256})})


def test_the_clip_is_found_where_it_was(folder: ReviewFolder, review: Review, clip: Path) -> None:
    assert folder.source(review) == clip.resolve()


def test_the_place_kept_names_no_folder_above_the_two(folder: ReviewFolder, tmp_path: Path) -> None:
    kept = json.loads((folder.path / "clip.json").read_text())
    assert kept["clip"] == os.path.join("..", "..", "films", "take.mp4")
    assert str(tmp_path) not in json.dumps(kept)


def test_clip_and_folder_may_be_moved_together(
    folder: ReviewFolder, review: Review, tmp_path: Path
) -> None:
    shutil.move(tmp_path / "films", tmp_path / "disk" / "films")
    shutil.move(tmp_path / "reviews", tmp_path / "disk" / "reviews")
    moved = ReviewFolder(tmp_path / "disk" / "reviews" / "take.mp4.review")
    assert moved.source(review) == (tmp_path / "disk" / "films" / "take.mp4").resolve()


def test_the_clip_is_found_beside_the_folder(
    folder: ReviewFolder, review: Review, clip: Path
) -> None:
    shutil.move(clip, folder.path.parent / "take.mp4")
    assert folder.source(review) == folder.path.resolve().parent / "take.mp4"


def test_another_clip_of_the_same_name_is_not_taken_for_it(
    folder: ReviewFolder, review: Review, clip: Path
) -> None:
    clip.write_bytes(b"another take altogether")
    assert folder.source(review) is None


def test_a_clip_that_was_copied_back_is_found_by_its_content(
    folder: ReviewFolder, review: Review, clip: Path
) -> None:
    os.utime(clip, (1, 1))
    assert folder.source(review) == clip.resolve()


def test_the_services_own_copy_comes_first_and_goes_by_the_owners_name(
    folder: ReviewFolder, review: Review
) -> None:
    folder.clip.write_bytes(b"moving pictures")
    assert folder.source(review) == StoredClip(folder.clip, "take.mp4")


def test_inputs_come_back_as_given(folder: ReviewFolder, review: Review, clip: Path) -> None:
    plan = ClassPlan(blocks=(block(name="Squat", movement="squat", work=30),))
    given = Inputs(
        plan=plan,
        plan_text="blocks: ...",
        captions="WEBVTT\n\n00:01.000 --> 00:02.000\nHalfway\n",
        phrases="halfway: Half.\n",
        clip=clip.resolve(),
    )
    folder.keep(given)
    assert folder.inputs(review) == given
    assert [w.text for w in folder.words()] == ["halfway"]
    assert folder.captions is not None and folder.captions.suffix == ".vtt"


def test_what_is_not_given_any_more_goes(folder: ReviewFolder, review: Review) -> None:
    subrip = "1\n00:00:01,000 --> 00:00:02,000\nHalfway\n"
    folder.keep(Inputs(captions=subrip, phrases="halfway: Half.\n"))
    assert folder.captions is not None and folder.captions.suffix == ".srt"
    folder.keep(Inputs())
    assert folder.captions is None and folder.words() == () and folder.plan() is None
    assert folder.inputs(review) == Inputs()
