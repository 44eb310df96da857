"""``takeproof export``."""

from __future__ import annotations

from pathlib import Path

import pytest

from annotate.exports import FORMATS
from annotate.plan.read import read_plan
from annotate.plan.unroll import unroll
from api.cli.run import run
from tests.api.conftest import made_review

Captured = pytest.CaptureFixture[str]


@pytest.fixture
def review_file(plan_file: Path, tmp_path: Path) -> Path:
    path = tmp_path / "review.json"
    path.write_text(made_review(unroll(read_plan(plan_file))).to_json(), encoding="utf-8")
    return path


@pytest.mark.parametrize("format", FORMATS)
def test_every_format_is_written_beside_the_review(
    format: str, review_file: Path, capsys: Captured
) -> None:
    assert run(["export", str(review_file), "--format", format]) == 0
    written = review_file.with_name(f"take{FORMATS[format].suffix}")
    out, err = capsys.readouterr()
    assert out == f"Written to {written}\n" and err == ""
    assert "Squat [red], round 1" in written.read_text(encoding="utf-8").replace("\\", "")


def test_rate_start_and_name_are_as_asked(review_file: Path, tmp_path: Path) -> None:
    out = tmp_path / "cut.edl"
    args = ["--format", "edl", "--rate", "29.97df", "--start", "01:00:00:00", "--out", str(out)]
    assert run(["export", str(review_file), *args]) == 0
    text = out.read_text()
    assert "FCM: DROP FRAME" in text
    # 45 s x 30000/1001 = 1348.65 -> frame 1349
    assert "00:00:44;29 00:01:10;00 01:00:44;29 01:01:10;00" in text


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--format", "avi"], '"avi" is not a format; choose one of webvtt'),
        (["--format", "edl", "--rate", "29"], '"29" is not a rate'),
        (["--format", "edl", "--rate", "25", "--start", "1"], '"1" is not a timecode'),
        (["--format", "csv", "--out", "/dev/null/x.csv"], "/dev/null: cannot be"),
        (["--format", "csv", "--into", "x.mp4"], "--format chapters only"),
        (["--format", "chapters", "--into", "x.mp4"], "x.mp4: no such file"),
        ([], "--format"),
    ],
)
def test_what_cannot_be_exported_is_one_line(
    args: list[str], words: str, review_file: Path, capsys: Captured
) -> None:
    assert run(["export", str(review_file), *args]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and words in err


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"{", "line 1: not JSON"),
        (b"[1]", "not a review; give the review.json"),
        (b"\xff\xfe\x00", "not text"),
        (b'{"schema": 9}', "not a review of this version"),
        (None, "no such file"),
    ],
)
def test_what_is_no_review_is_one_line(
    content: bytes | None, words: str, tmp_path: Path, capsys: Captured
) -> None:
    path = tmp_path / "review.json"
    if content is not None:
        path.write_bytes(content)
    assert run(["export", str(path), "--format", "csv"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and words in err
