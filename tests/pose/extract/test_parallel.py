"""Clip to track: chunks without a seam, cache, progress, cancelling."""

from __future__ import annotations

import importlib.metadata
import itertools
import shutil
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from pose.body.model import model_file, model_id
from pose.cache import cache_dir
from pose.errors import Cancelled, ClipError, ModelError
from pose.extract import chunks as module
from pose.extract import parallel
from pose.extract.chunks import LEAD_IN_S, plan_chunks, tasks, track_chunk
from pose.extract.parallel import extract
from pose.extract.pictures import MAX_SIDE_PX
from pose.extract.survey import survey
from pose.track import Extraction, PoseTrack
from tests.own_cache import own_cache
from tests.pose.conftest import MakeClip

pytestmark = pytest.mark.slow


def test_chunks_cover_the_clip_and_start_at_key_frames() -> None:
    chunks = plan_chunks(100.0, np.arange(0, 100, 4.0))
    assert chunks[0].from_s == chunks[0].start_s == 0 and chunks[-1].end_s == np.inf
    for before, after in itertools.pairwise(chunks):
        assert before.end_s == after.start_s
        assert after.from_s % 4 == 0 and after.start_s - after.from_s == LEAD_IN_S
    assert [c.start_s for c in chunks] == [0, 33, 65]


def test_short_clip_is_one_chunk() -> None:
    assert len(plan_chunks(28.0, np.arange(0, 28, 1.0))) == 1


def test_clip_with_a_single_key_frame_is_one_chunk() -> None:
    assert len(plan_chunks(100.0, np.zeros(1))) == 1


def test_clip_without_anybody(make_clip: MakeClip) -> None:
    told: list[float] = []
    track = extract(make_clip([33 * i for i in range(30)]), progress=told.append)
    assert len(track) == 15 and not track.present.any()
    assert told[0] == 0 and told[-1] == 1 and told == sorted(told)


def test_a_track_knows_how_it_was_made(make_clip: MakeClip) -> None:
    clip = make_clip([33 * i for i in range(30)])
    how = extract(clip, sample_rate_hz=10.0, cache=False).extraction
    model = model_file()
    runner = importlib.metadata.version("ai-edge-litert")
    assert how == Extraction(
        model.name, model_id(model), f"ai-edge-litert {runner}", 10.0, MAX_SIDE_PX,
        module.TRACKING_VERSION,
    )  # fmt: skip
    assert extract(clip, sample_rate_hz=10.0).extraction == how
    assert extract(clip, sample_rate_hz=10.0).extraction == how  # from the cache


def test_no_clip_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="no such file"):
        extract(tmp_path / "nowhere.mp4")


@pytest.fixture(scope="module")
def long_clip(real: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """16 s at 15 pictures a second: dance to and fro, a key frame each second."""
    path = tmp_path_factory.mktemp("long") / "dance.mp4"
    with av.open(str(real / "pose_1.mp4")) as source:
        dance = [f.to_ndarray(format="rgb24") for f in source.decode(video=0)][::2]
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=15, options={"preset": "ultrafast"})
        stream.width, stream.height, stream.pix_fmt = 576, 576, "yuv420p"
        stream.codec_context.gop_size = 15
        for picture in (dance + dance[::-1]) * 2:
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode())
    return path


@pytest.fixture(scope="module")
def serial(long_clip: Path) -> PoseTrack:
    return extract(long_clip, cache=False)


@pytest.mark.real
def test_chunks_leave_no_seam(
    long_clip: Path, serial: PoseTrack, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "CHUNK_S", 6.0)
    chunked = extract(long_clip, workers=2, cache=False)
    assert (chunked.times_s == serial.times_s).all()
    assert (chunked.present == serial.present).all()
    # Measured, pixels of 576: median 0.2, 99 % below 3.4. Not zero: the follower looks next
    # where it looked last, and never quite forgets where it began.
    off = np.linalg.norm(chunked.xy_px - serial.xy_px, axis=2)
    assert np.nanmedian(off) < 0.5
    assert np.nanpercentile(off, 99) < 6
    after = np.searchsorted(chunked.times_s, 7.0) + np.arange(5)
    assert np.nanmedian(off[after]) < 2
    # The cuts are the same on every machine, and so is the track.
    again = extract(long_clip, workers=1, cache=False)
    np.testing.assert_array_equal(again.xy_px, chunked.xy_px)


@pytest.mark.real
def test_dancer_is_found_throughout(serial: PoseTrack) -> None:
    assert serial.present.mean() > 0.99


@pytest.mark.real
def test_second_time_comes_from_the_cache(long_clip: Path, serial: PoseTrack) -> None:
    first = extract(long_clip)
    moved = long_clip.with_name("other name.mp4")
    shutil.copy(long_clip, moved)
    told: list[float] = []
    second = extract(moved, progress=told.append)
    assert told == [1.0] and second.clip.name == "other name.mp4"
    np.testing.assert_array_equal(first.xy_px, second.xy_px)
    np.testing.assert_array_equal(first.outline, second.outline)
    np.testing.assert_array_equal(first.xy_px, serial.xy_px)


@pytest.mark.real
def test_broken_cache_is_rebuilt(real: Path) -> None:
    before = extract(real / "pose_squats.mp4")
    stored = next((cache_dir() / "tracks").glob(f"{before.clip.sha256[:32]}*"))
    stored.write_bytes(stored.read_bytes()[:1000])
    after = extract(real / "pose_squats.mp4")
    np.testing.assert_array_equal(before.xy_px, after.xy_px)
    assert PoseTrack.read_parquet(stored).clip == before.clip


@pytest.mark.real
def test_cancelling_stops_and_leaves_nothing(
    long_clip: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own_cache(monkeypatch, tmp_path)
    asked = iter([False, False])

    def progress(part: float) -> None:
        if next(asked, True):
            raise Cancelled("stopped by the user")

    with pytest.raises(Cancelled):
        extract(long_clip, progress=progress)
    assert not (tmp_path / "tracks").exists()


@pytest.mark.real
def test_squats_of_a_slow_portrait_clip(real: Path) -> None:
    track = extract(real / "pose_squats.mp4")
    assert len(track) == 65 and track.present.all()
    assert np.diff(track.times_s) == pytest.approx(0.2)
    hip_y = track.xy_px[:, 23:25, 1].mean(axis=1)
    # Deepest at 2.0, 6.8 and 11.8 s (within 0.2 s): known from looking at the clip.
    for bottom_s in (2.0, 6.8, 11.8):
        near = np.abs(track.times_s - bottom_s) < 1.5
        deepest_s = track.times_s[near][hip_y[near].argmax()]
        assert deepest_s == pytest.approx(bottom_s, abs=0.41)


def test_a_long_clip_has_longer_chunks() -> None:
    chunks = plan_chunks(7200.0, np.arange(0, 7200, 2.0))
    assert 30 <= len(chunks) <= 40


EVEN_MS = [33 * i for i in range(120)]


@pytest.fixture
def four_seconds(make_clip: MakeClip, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nobody in it, a key frame each second, in chunks of a second and more."""
    monkeypatch.setattr(module, "CHUNK_S", 1.0)
    return make_clip(EVEN_MS, key_every=30)


def test_chunks_of_an_empty_film_are_joined_in_order(
    four_seconds: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert len(plan_chunks(4.0, np.arange(4.0))) == 4
    track = extract(four_seconds, workers=2, cache=False)
    monkeypatch.setattr(module, "CHUNK_S", 30.0)
    whole = extract(four_seconds, workers=1, cache=False)
    assert len(track) == 60 and track.times_s[0] == 0
    np.testing.assert_array_equal(track.times_s, whole.times_s)


def test_an_empty_film_comes_from_the_cache_the_second_time(four_seconds: Path) -> None:
    first = extract(four_seconds)
    moved = four_seconds.with_name("other name.mp4")
    shutil.copy(four_seconds, moved)
    told: list[float] = []
    second = extract(moved, progress=told.append)
    assert told == [1.0] and second.clip.name == "other name.mp4"
    np.testing.assert_array_equal(first.times_s, second.times_s)


def test_cancelling_in_the_middle_stops_every_chunk(
    four_seconds: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[float] = []

    def progress(part: float) -> None:
        done.append(part)
        if len(done) == 3:
            raise Cancelled("stopped by the user")

    monkeypatch.setattr(parallel, "_PROGRESS_STEP_S", 0.001)
    with pytest.raises(Cancelled, match="stopped by the user"):
        extract(four_seconds, workers=1, progress=progress, cache=False)
    assert len(done) == 3 and done[-1] < 1


def test_another_model_than_the_surveyed_one_is_refused(four_seconds: Path) -> None:
    task = replace(tasks(four_seconds, survey(four_seconds))[0], model_id="another")
    with pytest.raises(ModelError, match="not the model the clip was surveyed with"):
        track_chunk(task)
