"""Chapters in a copy of the clip, read back by PyAV and, where there is one, by ffprobe."""

from __future__ import annotations

import json
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.errors import ExportError
from annotate.exports import marker_list
from annotate.exports.into_clip import write_into_copy
from annotate.review.model import Clip, Review
from pose.video.probe import probe
from tests.annotate.reviews import period, review

RATE = Fraction(30000, 1001)
NAMES = ("Squat = 1; #2", "Übung -> \\ 休憩", "Cool-down")


def make_clip(path: Path, *, rotation: int = 0) -> Path:
    """Nine seconds of picture and sound."""
    with av.open(str(path), "w") as container:
        film = container.add_stream("libx264", rate=RATE)
        film.width, film.height, film.pix_fmt = 64, 48, "yuv420p"
        film.metadata["rotate"] = str(rotation)
        sound = container.add_stream("aac", rate=44100)
        container.metadata["title"] = "Take 3"
        for i in range(270):
            picture = av.VideoFrame.from_ndarray(np.full((48, 64, 3), i % 200, np.uint8))
            picture.pts, picture.time_base = i, 1 / RATE
            container.mux(film.encode(picture))
        container.mux(film.encode(None))
        for i in range(380):
            noise = av.AudioFrame.from_ndarray(
                np.random.default_rng(i).normal(0, 0.1, (1, 1024)).astype("f4"), "fltp", "mono"
            )
            noise.sample_rate, noise.pts, noise.time_base = 44100, 1024 * i, Fraction(1, 44100)
            container.mux(sound.encode(noise))
        container.mux(sound.encode(None))
    return path


def reviewed(path: Path) -> Review:
    info = probe(path).info
    spans = [(0.0, 3.1), (3.1, 6.04), (6.04, 8.9)]
    periods = [
        period(i, "work", a, b, n) for i, ((a, b), n) in enumerate(zip(spans, NAMES, strict=True))
    ]
    return review(periods, of=Clip.model_validate(vars(info)))


def wanted(filmed: Review) -> list[tuple[int, int]]:
    return [(round(p.start_s * RATE), round(p.end_s * RATE)) for p in filmed.periods]


def packets(path: Path) -> list[tuple[str, bytes]]:
    """Everything coded in a clip: kind, bytes."""
    with av.open(str(path)) as container:
        kept = [s for s in container.streams if s.type in ("video", "audio")]
        return sorted((p.stream.type, bytes(p)) for p in container.demux(*kept) if p.size)


@pytest.mark.parametrize("suffix", [".mp4", ".mov", ".mkv", ".m4v"])
def test_a_copy_has_the_chapters_and_the_very_same_pictures_and_sound(
    tmp_path: Path, suffix: str
) -> None:
    clip = make_clip(tmp_path / f"take{suffix}")
    filmed = reviewed(clip)
    out = tmp_path / f"out{suffix}"
    markers, _ = marker_list(filmed)
    assert write_into_copy(markers, filmed.clip.sha256, clip, out) == ()
    assert packets(out) == packets(clip)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted((clip.name, out.name))
    start_s = _first_picture_s(out)
    with av.open(str(out)) as container:
        assert container.metadata["title"] == "Take 3"
        chapters = container.chapters()
    frames = [
        tuple(round((c[k] * c["time_base"] - start_s) * RATE) for k in ("start", "end"))
        for c in chapters
    ]
    assert frames == wanted(filmed)
    assert [c["metadata"]["title"] for c in chapters] == list(NAMES)


def _first_picture_s(path: Path) -> Fraction:
    with av.open(str(path)) as container:
        film = container.streams.video[0]
        begins: Fraction = (film.start_time or 0) * film.time_base
        return begins


@pytest.mark.skipif(shutil.which("ffprobe") is None, reason="ffprobe is not installed")
def test_ffprobe_reads_the_chapters_and_the_rotation(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "upright.mp4")
    turned = tmp_path / "take.mp4"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-i", clip, "-c", "copy", "-metadata:s:v", "rotate=90", turned],
        check=True,
    )
    filmed = reviewed(turned)
    out = tmp_path / "out.mp4"
    write_into_copy(marker_list(filmed)[0], filmed.clip.sha256, turned, out)
    told = json.loads(
        subprocess.run(
            ["ffprobe", "-v", "error", "-show_chapters", "-of", "json", out],
            check=True, capture_output=True,
        ).stdout
    )  # fmt: skip
    spans = [(float(c["start_time"]), float(c["end_time"])) for c in told["chapters"]]
    assert [(round(a * RATE), round(b * RATE)) for a, b in spans] == wanted(filmed)
    assert probe(out).info.rotation_deg == probe(turned).info.rotation_deg
    assert probe(out).info.duration_s == pytest.approx(probe(turned).info.duration_s, abs=0.001)


def test_a_clip_that_starts_late_keeps_its_chapters_on_their_pictures(tmp_path: Path) -> None:
    if shutil.which("ffmpeg") is None:
        pytest.skip("ffmpeg is not installed")
    clip = make_clip(tmp_path / "take.mkv")
    late = tmp_path / "late.mkv"
    subprocess.run(
        ["ffmpeg", "-v", "error", "-itsoffset", "2.5", "-i", clip, "-i", clip, "-map", "0:v",
         "-map", "1:a", "-c", "copy", late],
        check=True,
    )  # fmt: skip
    filmed = reviewed(late)
    out = tmp_path / "out.mkv"
    write_into_copy(marker_list(filmed)[0], filmed.clip.sha256, late, out)
    with av.open(str(out)) as container:
        first = container.chapters()[1]
    assert first["start"] * first["time_base"] == pytest.approx(2.5 + 3.1, abs=0.04)


def test_another_clip_is_refused_or_told(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "take.mp4")
    filmed = reviewed(clip)
    markers, _ = marker_list(filmed)
    (warning,) = write_into_copy(markers, "f" * 64, clip, tmp_path / "out.mp4")
    assert "not the file that was reviewed" in warning
    longer = marker_list(filmed.model_copy(update={
        "clip": filmed.clip.model_copy(update={"duration_s": 60.0})}))[0]  # fmt: skip
    with pytest.raises(ExportError, match="lasts 9.0 s, the reviewed clip 60.0 s"):
        write_into_copy(longer, "f" * 64, clip, tmp_path / "out.mp4")


def test_the_clip_itself_and_containers_without_chapters_are_refused(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "take.mp4")
    before = clip.read_bytes()
    filmed = reviewed(clip)
    markers, _ = marker_list(filmed)
    with pytest.raises(ExportError, match="this is the clip itself"):
        write_into_copy(markers, filmed.clip.sha256, clip, clip)
    with pytest.raises(ExportError, match="chapters can be written into"):
        write_into_copy(markers, filmed.clip.sha256, clip, tmp_path / "out.avi")
    with pytest.raises(ExportError, match="no such folder"):
        write_into_copy(markers, filmed.clip.sha256, clip, tmp_path / "no" / "out.mp4")
    assert clip.read_bytes() == before


def test_a_copy_that_cannot_be_written_leaves_nothing_behind(tmp_path: Path) -> None:
    clip = make_clip(tmp_path / "take.mp4")
    filmed = reviewed(clip)
    markers, _ = marker_list(filmed)
    (tmp_path / "out.mp4").mkdir()
    with pytest.raises(ExportError, match="out.mp4: cannot be written \\(is a directory\\)"):
        write_into_copy(markers, filmed.clip.sha256, clip, tmp_path / "out.mp4")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out.mp4", "take.mp4"]
