"""What a review says of its own making."""

from __future__ import annotations

import importlib.metadata
import json
import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import annotate.catalogue
from annotate import pipeline, review_track
from annotate.catalogue import model as catalogue
from annotate.cues.captions import words_of
from annotate.review import provenance
from annotate.review.edits import check_edits
from annotate.review.model import Review
from annotate.review.provenance import PictureSettings, provenance_of, takeproof_version, utc_now
from annotate.review.queries import labelled
from annotate.review.read import read_review
from pose.persons import People
from pose.track import TRACK_VERSION, Extraction, PoseTrack
from tests import stick
from tests.annotate.reviews import period, review

HOW = Extraction("pose.task", "0123456789ab", "runner 1.2", 15.0, 640, 2)
MADE = datetime(2025, 3, 1, 9, 30, tzinfo=UTC)
EDITS = check_edits([{"do": "relabel", "at_s": 1, "kind": "work"}])


@pytest.fixture(scope="module")
def track() -> PoseTrack:
    depth = stick.wave(np.arange(90) / 15, [0.2, 2.2, 4.2], 1.8)
    seen = stick.track(6.0, lambda t: stick.squatting(float(depth[min(89, round(t * 15))])))
    return replace(seen, extraction=HOW)


def test_all_of_it_is_written_down(track: PoseTrack) -> None:
    edited = MADE + timedelta(hours=2)
    track = replace(track, people=People(picked="0.3,0.5@65"))
    found = provenance_of(track, made=MADE, edited=edited, captions="abc", cue_languages=("en",))
    assert json.loads(found.model_dump_json()) == {
        "takeproof": takeproof_version(),
        "made": "2025-03-01T09:30:00Z",
        "edited": "2025-03-01T11:30:00Z",
        "pictures": {
            "landmark_model": "pose.task",
            "landmark_model_id": "0123456789ab",
            "runtime": "runner 1.2",
            "sample_rate_hz": 15.0,
            "max_side_px": 640,
            "look_version": 2,
        },
        "person": "0.3,0.5@65",
        "track_version": TRACK_VERSION,
        "catalogue": catalogue.catalogue_id(),
        "captions": "abc",
        "cue_languages": ["en"],
    }


def test_what_is_not_known_is_null(track: PoseTrack) -> None:
    found = provenance_of(replace(track, extraction=None))
    assert (found.pictures, found.made, found.edited, found.captions) == (None,) * 4
    assert found.cue_languages == ()


def test_the_version_is_the_one_of_the_package() -> None:
    project = Path(annotate.__file__).parents[1] / "pyproject.toml"
    assert takeproof_version() == tomllib.loads(project.read_text())["project"]["version"]


def test_a_version_that_is_not_installed_is_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> str:
        raise importlib.metadata.PackageNotFoundError(name)

    monkeypatch.setattr(provenance, "version", missing)
    assert takeproof_version() == "unknown"


def test_now_is_in_utc_and_to_the_second() -> None:
    now = utc_now()
    assert now.utcoffset() == timedelta(0) and now.microsecond == 0
    assert abs(datetime.now(UTC) - now) < timedelta(seconds=5)


def test_the_catalogue_has_an_identity_that_changes_with_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = catalogue.catalogue_id()
    text = (Path(annotate.catalogue.__file__).parent / "movements.yaml").read_text("utf-8")
    monkeypatch.setattr(catalogue, "_catalogue_text", lambda: text + "\n")
    catalogue.catalogue_id.cache_clear()
    try:
        assert len(before) == 12 and catalogue.catalogue_id() != before
    finally:
        catalogue.catalogue_id.cache_clear()


def test_a_review_of_a_track_is_the_same_every_time(track: PoseTrack) -> None:
    first = review_track(track)
    assert first == review_track(track)
    assert first.provenance == provenance_of(track)


def test_a_review_knows_when_its_take_was_read(track: PoseTrack) -> None:
    take = pipeline.make_take(track, words=words_of("00:01.000 --> 00:02.000\nhalfway"), made=MADE)
    found = pipeline.review_take(take).provenance
    assert found is not None
    assert (found.made, found.edited, found.cue_languages) == (MADE, None, ("en",))
    assert found.captions is not None


def test_a_clip_is_seen_and_heard_now(track: PoseTrack, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pipeline, "utc_now", lambda: MADE)
    monkeypatch.setattr(
        pipeline, "probe", lambda clip: SimpleNamespace(info=track.clip, warnings=())
    )
    monkeypatch.setattr(pipeline, "extract", lambda *given, **more: track)
    monkeypatch.setattr(pipeline, "listen", lambda *given: ((), ()))
    assert pipeline.read_take("take.mp4").made == MADE


def test_corrections_keep_when_it_was_made_and_add_when_it_was_edited(
    track: PoseTrack, monkeypatch: pytest.MonkeyPatch
) -> None:
    later = MADE + timedelta(days=1)
    monkeypatch.setattr(pipeline, "utc_now", lambda: later)
    original = pipeline.review_take(pipeline.make_take(track, made=MADE))
    edited = pipeline.correct_review(original, track, EDITS)
    assert edited.provenance is not None
    assert (edited.provenance.made, edited.provenance.edited) == (MADE, later)
    assert pipeline.correct_review(edited, track, ()) == original


def test_a_review_of_an_older_version_is_read_without(tmp_path: Path) -> None:
    made = review(labelled([period(0, "work", 0, 30, "squat")], ()))
    values = json.loads(made.to_json())
    assert values.pop("provenance") is None
    path = tmp_path / "review.json"
    path.write_text(json.dumps(values))
    assert read_review(path) == made


def test_a_review_is_read_back_with_it(track: PoseTrack, tmp_path: Path) -> None:
    made = review_track(track)
    assert made.provenance is not None
    assert isinstance(made.provenance.pictures, PictureSettings)
    (tmp_path / "review.json").write_text(made.to_json())
    assert read_review(tmp_path / "review.json") == made
    assert Review.model_validate_json(made.to_json()) == made
