"""Everything made from a review: whole or not at all, belonging to it, and no hand edit lost."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from annotate import review_track
from annotate.plan.model import ClassPlan
from annotate.review.model import Note, Review
from api.errors import OutputError
from api.work.folder import Inputs, ReviewFolder
from api.work.produce import bring_up_to_date, is_up_to_date, produce
from pose.track import PoseTrack
from tests import stick
from tests.annotate.reviews import block
from tests.api.conftest import squats

PLAN = ClassPlan(
    title="Harbour intervals",
    blocks=(
        block(name="Squat", movement="squat", rounds=2, work=(30, 25), recovery=15, reps=(14, 11),
              last_recovery=False),
    ),
)  # fmt: skip
OWN_PHRASES = "halfway: Half the harbour is behind you.\n"


@pytest.fixture(scope="module")
def track() -> PoseTrack:
    return squats()


@pytest.fixture(scope="module")
def review(track: PoseTrack) -> Review:
    return review_track(track, PLAN)


@pytest.fixture
def folder(tmp_path: Path) -> ReviewFolder:
    return ReviewFolder(tmp_path / "take.review")


def noted(review: Review, text: str) -> Review:
    """The same review with a note, which the script carries."""
    return review.model_copy(update={"notes": (Note(at_s=5, tag="", text=text),)})


def test_all_files_are_made_and_belong_to_the_review(
    folder: ReviewFolder, review: Review, track: PoseTrack
) -> None:
    produced = produce(folder, review, track=track)
    assert {p.name for p in folder.path.iterdir()} == {*produced.names, "derived.json"}
    assert folder.review() == produced.review == review
    assert is_up_to_date(folder) and produced.edited_copies == ()


def test_phrases_given_once_are_used_from_then_on(folder: ReviewFolder, review: Review) -> None:
    produce(folder, review, inputs=Inputs(phrases=OWN_PHRASES))
    assert "Half the harbour" in folder.file("script.md").read_text()
    produce(folder, noted(review, "wind"))
    script = folder.file("script.md").read_text()
    assert "Half the harbour" in script and "wind" in script
    produce(folder, review, inputs=Inputs())
    assert "Half the harbour" not in folder.file("script.md").read_text()


class Killed(BaseException):
    """The program ends here."""


@pytest.mark.parametrize("renames", range(1, 9))
def test_a_kill_between_two_renames_is_repaired(
    folder: ReviewFolder, review: Review, monkeypatch: pytest.MonkeyPatch, renames: int
) -> None:
    produce(folder, noted(review, "heron"))
    left = renames
    replace = os.replace

    def until_killed(ready: Path, target: Path) -> None:
        nonlocal left
        if left == 0:
            raise Killed
        left -= 1
        replace(ready, target)

    with monkeypatch.context() as patched, pytest.raises(Killed):
        patched.setattr("api.work.files.os.replace", until_killed)
        produce(folder, noted(review, "gull"))
    assert not is_up_to_date(folder)
    bring_up_to_date(folder)
    assert is_up_to_date(folder)
    texts = [folder.file(n).read_text() for n in ("review.json", "script.md", "script.json")]
    assert all("gull" in text and "heron" not in text for text in texts)
    assert not list(folder.path.glob("*.edited*"))


def test_what_belongs_is_left_alone(folder: ReviewFolder, review: Review) -> None:
    produce(folder, review)
    before = {p.name: p.stat().st_mtime_ns for p in folder.path.iterdir()}
    bring_up_to_date(folder)
    assert {p.name: p.stat().st_mtime_ns for p in folder.path.iterdir()} == before


def test_a_missing_script_is_made_again(folder: ReviewFolder, review: Review) -> None:
    produce(folder, review)
    folder.file("script.srt").unlink()
    bring_up_to_date(folder)
    assert folder.file("script.srt").exists()


def test_a_script_edited_by_hand_is_kept_under_another_name(
    folder: ReviewFolder, review: Review
) -> None:
    produce(folder, review)
    folder.file("script.md").write_text("My own words.\n")
    produced = produce(folder, review)
    assert produced.edited_copies == (("script.md", "script.edited.md"),)
    assert folder.file("script.edited.md").read_text() == "My own words.\n"
    assert "Harbour intervals" in folder.file("script.md").read_text()
    folder.file("script.md").write_text("Other words.\n")
    assert produce(folder, review).edited_copies == (("script.md", "script.edited-2.md"),)
    assert folder.file("script.edited.md").read_text() == "My own words.\n"


def test_a_hand_edit_in_another_encoding_is_kept_byte_by_byte(
    folder: ReviewFolder, review: Review
) -> None:
    produce(folder, review)
    folder.file("sheet.csv").write_bytes("Größe".encode("utf-16"))
    produce(folder, review)
    assert folder.file("sheet.edited.csv").read_bytes() == "Größe".encode("utf-16")


def test_a_full_disk_leaves_everything_as_it_was(
    folder: ReviewFolder, review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    produce(folder, review, inputs=Inputs(phrases=OWN_PHRASES))
    before = {p.name: p.read_bytes() for p in folder.path.iterdir()}

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("api.work.files.os.fsync", full)
    with pytest.raises(OutputError, match="no space left"):
        produce(folder, noted(review, "gull"), inputs=Inputs())
    assert {p.name: p.read_bytes() for p in folder.path.iterdir()} == before


def test_the_record_is_ignored_when_broken(folder: ReviewFolder, review: Review) -> None:
    produce(folder, review)
    folder.file("derived.json").write_text("[not json")
    assert not is_up_to_date(folder)
    bring_up_to_date(folder)
    assert is_up_to_date(folder) and not list(folder.path.glob("*.edited*"))
    folder.file("derived.json").write_text(json.dumps(["a list"]))
    assert not is_up_to_date(folder)


def test_the_wrong_track_is_refused(folder: ReviewFolder, review: Review) -> None:
    from dataclasses import replace

    from annotate.errors import CorrectionError

    other = stick.track(2.0, lambda t: stick.Stance())
    other = replace(other, clip=replace(other.clip, sha256="f" * 64))
    produce(folder, review, track=other)
    with pytest.raises(CorrectionError, match="of two clips"):
        folder.take(folder.review())
