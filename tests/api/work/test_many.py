"""Several clips in one command: in chunks over processes, with the same result as one by one."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

from annotate import review_track
from api.cli.many import requests_for
from api.cli.run import run
from api.errors import OutputError
from api.work.folder import ReviewFolder
from pose.extract import chunks
from pose.extract.parallel import extract
from pose.track import PoseTrack
from tests.api.clips_in_chunks import SHORT, with_key_frames
from tests.own_cache import own_cache

pytestmark = pytest.mark.slow

# Of the track's 15 a second.
SAMPLE_S = 1 / 15

Captured = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def surroundings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own_cache(monkeypatch, tmp_path / "cache")
    monkeypatch.setenv("COLUMNS", "200")


def test_clips_of_one_name_do_not_write_over_each_other(tmp_path: Path) -> None:
    found = requests_for(["a/take.mp4", "b/take.mp4", "s3://c/other.mp4"], tmp_path)
    assert [r.folder.path.name for r in found] == [
        "take.mp4.review", "take.mp4-2.review", "other.mp4.review",
    ]  # fmt: skip
    assert requests_for(["a/take.mp4"], None)[0].folder == ReviewFolder(Path("a/take.mp4.review"))
    with pytest.raises(OutputError, match="--out"):
        requests_for(["s3://c/take.mp4"], None)


def test_several_clips_are_reviewed_and_a_bad_one_is_reported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    monkeypatch.setattr(chunks, "CHUNK_S", 3.0)
    long, short = with_key_frames(tmp_path / "long.mp4"), tmp_path / "short.mp4"
    shutil.copy(SHORT / "hamstring-curl-oblique.mp4", short)
    bad = tmp_path / "bad.mp4"
    bad.write_text("no video")
    out = tmp_path / "out"
    code = run(["review", str(long), str(bad), str(short), "--out", str(out)])
    printed, errors = capsys.readouterr()
    assert code == 2
    assert sorted(line.split(":")[0] for line in printed.splitlines()) == ["long.mp4", "short.mp4"]
    assert "bad.mp4: not a video" in errors and "Traceback" not in errors
    for clip in (long, short):
        folder = out / f"{clip.name}.review"
        review = json.loads((folder / "review.json").read_text())
        assert review["clip"]["name"] == clip.name
        assert review["provenance"]["made"].endswith("Z")
        assert review["provenance"]["pictures"]["sample_rate_hz"] == chunks.SAMPLE_RATE_HZ
        here = extract(clip, cache=False)
        there = PoseTrack.read_parquet(folder / "track.parquet")
        np.testing.assert_array_equal(there.times_s, here.times_s)
        np.testing.assert_array_equal(there.xy_px, here.xy_px)
        np.testing.assert_array_equal(there.outline, here.outline)
    assert not (out / "bad.mp4.review").exists()


def test_captions_go_with_one_clip(tmp_path: Path, capsys: Captured) -> None:
    assert run(["review", "a.mp4", "b.mp4", "--captions", "c.vtt", "--out", str(tmp_path)]) == 2
    assert "one clip" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["hinge-flat-side.mp4", "hamstring-curl-oblique.mp4"])
def test_chunks_change_no_repetition(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    clip = with_key_frames(tmp_path / "take.mp4", name)
    whole = review_track(extract(clip, cache=False))
    monkeypatch.setattr(chunks, "CHUNK_S", 2.0)
    cut = review_track(extract(clip, cache=False))
    assert len(cut.periods) == len(whole.periods)
    for here, there in zip(whole.periods, cut.periods, strict=True):
        assert (here.kind, here.movement) == (there.kind, there.movement)
        assert abs(here.start_s - there.start_s) < SAMPLE_S
        assert abs(here.end_s - there.end_s) < SAMPLE_S
        assert here.reps.count == there.reps.count
        for one, other in zip(here.reps.each, there.reps.each, strict=True):
            assert abs(one.peak_s - other.peak_s) < SAMPLE_S
            assert one.side == other.side
