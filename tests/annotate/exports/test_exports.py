"""Exports read back by readers that are not ours; two hours at every rate, no frame moved."""

from __future__ import annotations

import csv
import html
import io
import json
import random
import re
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from xml.etree import ElementTree

import opentimelineio as otio  # type: ignore[import-untyped]  # has none
import pysubs2
import pytest
import webvtt

from annotate.errors import ExportError
from annotate.exports import FORMATS, export
from annotate.exports.marker_list import MarkerList
from annotate.exports.markers import Marker
from annotate.exports.timecode import RATES, Rate
from annotate.review.model import Note, Review
from tests.annotate.reviews import clip, period, review
from tests.known import known

pytestmark = pytest.mark.slow

TWO_HOURS_S = 7200.0
AWKWARD = (
    "Squat -> tap", "a --> b", "<b>bold</b> & <i>", "50 % = half; #1 \\ / | *",
    "„Kniebeuge“ größer",
    'quote " and \' and , comma', "{\\an8}top", "休憩 🏋️ é", "00:00:01,000", "[CHAPTER]", "  WEBVTT",
    "NOTE remark", "7", "* LOC: 01:00:00:00 RED x", "]]> <!-- -->", "=1+1", "&amp; &lt;",
)  # fmt: skip
START = "10:00:00:00"


@pytest.fixture(scope="module", params=list(RATES))
def rate(request: pytest.FixtureRequest) -> Rate:
    return RATES[request.param]


def two_hours(rate: Rate) -> Review:
    """About 500 periods of uneven lengths in hundredths, as reviews have, and notes between."""
    rng = random.Random(5)
    edges = [0.0]
    while edges[-1] < TWO_HOURS_S - 30:
        edges.append(round(edges[-1] + rng.uniform(2, 28), 2))
    periods = [
        period(i, "work", a, b, AWKWARD[i % len(AWKWARD)])
        for i, (a, b) in enumerate(zip(edges, edges[1:], strict=False))
    ]
    notes = [
        Note(at_s=round(rng.uniform(0, TWO_HOURS_S), 3), tag="t", text=rng.choice(AWKWARD))
        for _ in range(200)
    ]
    return review(periods, of=clip(TWO_HOURS_S, float(rate.per_s)), notes=tuple(notes))


@pytest.fixture(scope="module")
def filmed(rate: Rate) -> Review:
    return two_hours(rate)


def frames_of(spans: Iterable[tuple[float, float]], rate: Rate) -> list[tuple[int, int]]:
    """What a reader would make of seconds: the rule the formats are written by."""
    return [(round(a * float(rate.per_s)), round(b * float(rate.per_s))) for a, b in spans]


def expected(filmed: Review, rate: Rate) -> list[tuple[int, int]]:
    return frames_of([(p.start_s, p.end_s) for p in filmed.periods], rate)


def written(filmed: Review, format: str, rate: Rate, start: str | None = None) -> str:
    return export(filmed, format, rate.name, start).text


def test_webvtt_chapters(filmed: Review, rate: Rate) -> None:
    captions = webvtt.from_string(written(filmed, "webvtt", rate)).captions
    spans = [(_s(c.start), _s(c.end)) for c in captions]
    assert frames_of(spans, rate) == expected(filmed, rate)
    assert [html.unescape(c.text) for c in captions] == [
        known(p.movement).strip() for p in filmed.periods
    ]


def _s(stamp: str) -> float:
    """H:MM:SS.mmm or H:MM:SS,mmm as seconds."""
    hours, minutes, seconds = stamp.replace(",", ".").split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


@pytest.mark.parametrize("format", ["webvtt", "webvtt-metadata"])
def test_webvtt_keeps_the_rules_of_the_standard(filmed: Review, rate: Rate, format: str) -> None:
    # W3C WebVTT, "WebVTT file structure": signature, blank line, starts that do not go back,
    # end after start, no "-->" in the text.
    head, *blocks = written(filmed, format, rate).rstrip("\n").split("\n\n")
    assert head == "WEBVTT"
    before = -1.0
    for block in blocks:
        timing, text = block.split("\n")
        match = re.fullmatch(r"(\d{2,}:[0-5]\d:[0-5]\d\.\d{3}) --> (\d{2,}:[0-5]\d:[0-5]\d\.\d{3})",
                             timing)  # fmt: skip
        start, end = (_s(x) for x in known(match).groups())
        assert before <= start < end
        assert text and "-->" not in text
        before = start


def test_webvtt_metadata_holds_every_marker(filmed: Review, rate: Rate) -> None:
    captions = webvtt.from_string(written(filmed, "webvtt-metadata", rate)).captions
    values = [json.loads(c.text) for c in captions]
    assert {v["kind"] for v in values} == {"period", "note", "stay-wide"}
    notes = [(round(_s(c.start) * float(rate.per_s)), v["name"])
             for c, v in zip(captions, values, strict=True) if v["kind"] == "note"]  # fmt: skip
    assert sorted(notes) == sorted(
        (round(n.at_s * float(rate.per_s)), f"t: {n.text}") for n in filmed.notes
    )


def test_srt(filmed: Review, rate: Rate) -> None:
    text = written(filmed, "srt", rate)
    read = pysubs2.SSAFile.from_string(text, format_="srt", keep_html_tags=True)
    wanted = webvtt.from_string(written(filmed, "webvtt-metadata", rate)).captions
    assert len(read) == len(wanted)
    got = frames_of([(e.start / 1000, e.end / 1000) for e in read], rate)
    assert got == frames_of([(_s(c.start), _s(c.end)) for c in wanted], rate)
    names = [json.loads(c.text)["name"] for c in wanted]
    assert [e.text.split("\\N")[0].replace("\\\\", "\\") for e in read] == names


def test_srt_read_by_webvtt_py(filmed: Review, rate: Rate) -> None:
    captions = webvtt.from_buffer(io.StringIO(written(filmed, "srt", rate)), format="srt").captions
    notes = {round(_s(c.start) * float(rate.per_s)) for c in captions if c.text.startswith("t: ")}
    assert notes == {round(n.at_s * float(rate.per_s)) for n in filmed.notes}


def test_ffmetadata_read_by_ffprobe(filmed: Review, rate: Rate, tmp_path: Path) -> None:
    if shutil.which("ffmpeg") is None or shutil.which("ffprobe") is None:
        pytest.skip("ffmpeg is not installed")
    source = tmp_path / "chapters.ffmetadata"
    source.write_text(written(filmed, "chapters", rate), encoding="utf-8")
    held = tmp_path / "held.mkv"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", "anullsrc=r=8000:d=1", "-i", source,
         "-map_metadata", "1", "-map_chapters", "1", "-c:a", "pcm_s16le", held],
        check=True,
    )  # fmt: skip
    told = subprocess.run(
        ["ffprobe", "-v", "error", "-show_chapters", "-of", "json", held],
        check=True, capture_output=True,
    )  # fmt: skip
    chapters = json.loads(told.stdout)["chapters"]
    spans = [(float(c["start_time"]), float(c["end_time"])) for c in chapters]
    assert frames_of(spans, rate) == expected(filmed, rate)
    assert [c["tags"]["title"] for c in chapters] == [
        known(p.movement).strip() for p in filmed.periods
    ]


def test_every_ffmetadata_chapter_has_its_timebase(filmed: Review, rate: Rate) -> None:
    text = written(filmed, "chapters", rate)
    assert (
        text.count("\nTIMEBASE=1/1000\nSTART=")
        == text.count("\n[CHAPTER]\n")
        == len(filmed.periods)
    )


def test_matroska_chapters(filmed: Review, rate: Rate) -> None:
    root = ElementTree.fromstring(written(filmed, "matroska", rate).encode())
    atoms = root.findall("./EditionEntry/ChapterAtom")
    starts, ends = (
        [_s(known(a.findtext(f"ChapterTime{edge}"))) for a in atoms] for edge in ("Start", "End")
    )
    assert frames_of(zip(starts, ends, strict=True), rate) == expected(filmed, rate)
    names = [a.findtext("ChapterDisplay/ChapterString") for a in atoms]
    assert names == [known(p.movement).strip() for p in filmed.periods]


@pytest.mark.skipif(shutil.which("mkvmerge") is None, reason="mkvmerge is not installed")
def test_matroska_chapters_read_by_mkvmerge_and_ffprobe(
    filmed: Review, rate: Rate, tmp_path: Path
) -> None:
    source, sound, held = (tmp_path / name for name in ("c.xml", "sound.mkv", "held.mkv"))
    source.write_text(written(filmed, "matroska", rate), encoding="utf-8")
    make: list[str | Path] = [
        "ffmpeg", "-v", "error", "-f", "lavfi", "-i", "anullsrc=r=8000:d=1", "-c:a", "pcm_s16le",
        sound,
    ]  # fmt: skip
    subprocess.run(make, check=True)
    merge: list[str | Path] = ["mkvmerge", "-q", "-o", held, "--chapters", source, sound]
    subprocess.run(merge, check=True)
    told = subprocess.run(
        ["ffprobe", "-v", "error", "-show_chapters", "-of", "json", held],
        check=True, capture_output=True,
    )  # fmt: skip
    chapters = json.loads(told.stdout)["chapters"]
    spans = [(float(c["start_time"]), float(c["end_time"])) for c in chapters]
    assert frames_of(spans, rate) == expected(filmed, rate)
    assert [c["tags"]["title"] for c in chapters] == [
        known(p.movement).strip() for p in filmed.periods
    ]


def test_opentimelineio(filmed: Review, rate: Rate) -> None:
    timeline = otio.adapters.read_from_string(written(filmed, "otio", rate, START), "otio_json")
    (found,) = timeline.find_clips()
    assert timeline.global_start_time.rate == float(rate.per_s)
    assert timeline.global_start_time.value == rate.frame_of_label(START)
    ranges = [
        (m.marked_range.start_time.value, m.marked_range.end_time_exclusive().value)
        for m in found.markers
        if m.metadata["takeproof"]["kind"] == "period"
    ]
    assert ranges == expected(filmed, rate)
    assert found.source_range.duration.value == round(TWO_HOURS_S * float(rate.per_s))
    assert {m.color for m in found.markers} <= {
        getattr(otio.schema.MarkerColor, c) for c in dir(otio.schema.MarkerColor) if c.isupper()
    }


def test_edl_read_by_opentimelineio(filmed: Review, rate: Rate) -> None:
    text = written(filmed, "edl", rate, START)
    timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate.per_s))
    clips = list(timeline.find_clips())
    first = rate.frame_of_label(START)
    found = [
        (c.source_range.start_time.value, c.source_range.end_time_exclusive().value) for c in clips
    ]
    wanted = expected(filmed, rate)
    assert found[: len(wanted)] == wanted
    records = [
        tuple(
            int(otio.opentime.from_timecode(x, float(rate.per_s)).value) for x in line.split()[6:]
        )
        for line in text.splitlines()
        if re.match(r"\d{3} ", line)
    ]
    assert records[: len(wanted)] == [(first + a, first + b) for a, b in wanted]
    # The list runs to the end of the clip without a hole.
    assert all(a[1] == b[0] for a, b in zip(records, records[1:], strict=False))
    assert records[-1][1] == first + round(TWO_HOURS_S * float(rate.per_s))


def test_edl_keeps_drop_frame(filmed: Review, rate: Rate) -> None:
    text = written(filmed, "edl", rate, START)
    mode = "DROP FRAME" if rate.drop else "NON-DROP FRAME"
    assert text.splitlines()[1] == f"FCM: {mode}"
    labels = re.findall(r"^\d{3}.{26}(.*)$", text, re.M)
    assert labels and all((";" in x) == rate.drop for x in labels)


def test_edl_locators(filmed: Review, rate: Rate) -> None:
    # "* LOC: timecode colour text" in record time; OpenTimelineIO reads them only with ":".
    text = written(filmed, "edl", rate, START)
    first = rate.frame_of_label(START)
    found = {
        (int(otio.opentime.from_timecode(label, float(rate.per_s)).value) - first, name)
        for label, name in re.findall(r"^\* LOC: (\S{11}) CYAN    (.*)$", text, re.M)
    }
    assert found == {(round(n.at_s * float(rate.per_s)), f"t: {n.text}") for n in filmed.notes}
    if not rate.drop:
        timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate.per_s))
        read = {
            (int(m.marked_range.start_time.value) - first, m.name)
            for c in timeline.find_clips() for m in c.markers if m.color == "CYAN"
        }  # fmt: skip
        assert read == found


def test_csv(filmed: Review, rate: Rate) -> None:
    rows = list(csv.DictReader(io.StringIO(written(filmed, "csv", rate, START))))
    periods = [r for r in rows if r["kind"] == "period"]
    assert [(int(r["start_frame"]), int(r["end_frame"])) for r in periods] == expected(filmed, rate)
    assert [(float(r["start_s"]), float(r["end_s"])) for r in periods] == [
        (p.start_s, p.end_s) for p in filmed.periods
    ]
    # A name that a spreadsheet would compute has an apostrophe before it.
    names = [known(p.movement).strip() for p in filmed.periods]
    assert [r["name"] for r in periods] == [f"'{n}" if n.startswith("=") else n for n in names]
    per_s, first = float(rate.per_s), rate.frame_of_label(START)
    for row in rows:
        read = otio.opentime.from_timecode(row["start_timecode"], per_s).value
        assert read == first + int(row["start_frame"])


VARIABLE = review([period(0, "work", 0.004, 9.996, "squat")], of=clip(10, 29.6, variable=True))


@pytest.mark.parametrize("format", FORMATS)
def test_a_variable_rate_is_warned_of_and_seconds_are_offered(format: str) -> None:
    (warning,) = export(VARIABLE, format).warnings
    assert "frame rate varies" in warning and "--format csv" in warning


def test_a_variable_rate_keeps_to_measured_seconds() -> None:
    (row,) = csv.DictReader(io.StringIO(export(VARIABLE, "csv").text))
    assert (row["start_s"], row["end_s"]) == ("0.004", "9.996")
    assert row["start_timecode"] == row["start_frame"] == ""
    assert "00:00:00.004 --> 00:00:09.996" in export(VARIABLE, "webvtt").text
    assert "written at 29.97df" in export(VARIABLE, "edl").warnings[0]


def test_an_odd_rate_is_told_where_frames_are_counted() -> None:
    odd = review([period(0, "work", 0, 9, "squat")], of=clip(10, 27.3))
    assert "27.300 frames a second" in export(odd, "otio").warnings[0]
    assert export(odd, "otio", "25").warnings == export(odd, "csv").warnings == ()


@pytest.mark.parametrize(
    ("format", "rate", "start", "words"),
    [
        ("avi", None, None, "is not a format; choose one of webvtt,"),
        ("edl", "29", None, "is not a rate; choose one of 23.976,"),
        ("edl", "29.97df", "00:01:00;00", "left out of this minute"),
        ("edl", "25", "1h", "is not a timecode"),
    ],
)
def test_what_cannot_be_exported_is_one_line(
    format: str, rate: str | None, start: str | None, words: str
) -> None:
    with pytest.raises(ExportError, match=words) as caught:
        export(VARIABLE, format, rate, start)
    assert "\n" not in str(caught.value)


def test_periods_on_one_frame_and_overlaps_make_no_overlapping_chapters() -> None:
    names = (("a", 0.0, 5.0), ("b", 4.0, 8.0), ("c", 8.0, 8.01), ("d", 8.01, 9.0))
    markers = MarkerList(
        "x.mp4", 9.0, tuple(Marker("period", a, b, n) for n, a, b in names), RATES["25"]
    )
    text = FORMATS["webvtt"].write(markers)
    assert [c.text for c in webvtt.from_string(text).captions] == ["a", "b", "d"]
    assert "00:00:00.000 --> 00:00:04.000\na" in text


def test_more_periods_than_an_edl_can_number_are_refused() -> None:
    many = review([period(i, "work", i, i + 1, "squat") for i in range(1000)])
    with pytest.raises(ExportError, match="999 events; use --format otio or csv"):
        export(many, "edl")
    assert len(export(many, "csv").text.splitlines()) == 1001


@pytest.mark.parametrize("format", FORMATS)
def test_a_clip_in_which_nobody_was_found_still_exports(format: str) -> None:
    empty = review([], of=clip(10.0))
    text = export(empty, format, "25").text
    assert text.endswith("\n") or text == ""
    if format == "edl":
        assert "00:00:00:00 00:00:10:00 00:00:00:00 00:00:10:00" in text
