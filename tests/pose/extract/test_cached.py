"""Tracks are kept within a size, and two processes may use the cache at once."""

from __future__ import annotations

import multiprocessing
import os
import time
from pathlib import Path

import numpy as np
import pytest

from pose.cache import cache_dir
from pose.extract import cached as module
from pose.extract.cached import read_cached, track_file, write_cached
from pose.track import ClipInfo, PoseTrack
from tests import stick

INFO = ClipInfo("take.mp4", sha256="a" * 64)


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path / "cache"))


def short() -> PoseTrack:
    return stick.track(2.0, lambda t: stick.Stance())


def test_looking_a_track_up_counts_as_use(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second, third = (track_file(c * 64, "m", "litert", 15) for c in "abc")
    write_cached(short(), first)
    size = first.stat().st_size
    monkeypatch.setattr(module, "MAX_BYTES", round(2.5 * size))
    os.utime(first, (time.time() - 200,) * 2)
    write_cached(short(), second)
    os.utime(second, (time.time() - 100,) * 2)
    assert read_cached(first, INFO) is not None
    write_cached(short(), third)
    assert read_cached(second, INFO) is None
    assert read_cached(first, INFO) is not None and read_cached(third, INFO) is not None


def test_a_folder_that_cannot_be_written_costs_time_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", os.devnull)
    stored = track_file("a" * 64, "m", "litert", 15)
    write_cached(short(), stored)
    assert read_cached(stored, INFO) is None


def busy(folder: Path, seed: int, done: multiprocessing.Queue[int]) -> None:
    """Remember and look up a few tracks, over and over, in a cache that holds one and a half."""
    os.environ["TAKEPROOF_CACHE"] = str(folder)
    track = short()
    stored = [track_file(c * 64, "m", "litert", 15) for c in "abc"]
    write_cached(track, stored[0])
    module.MAX_BYTES = round(1.5 * stored[0].stat().st_size) if stored[0].exists() else 20_000
    rng, found = np.random.default_rng(seed), 0
    for _ in range(60):
        one = stored[int(rng.integers(3))]
        write_cached(track, one)
        known = read_cached(one, INFO)
        if known is not None:
            found += 1
            np.testing.assert_array_equal(known.times_s, track.times_s)
    done.put(found)


@pytest.mark.slow
def test_two_processes_at_once_never_see_half_a_track() -> None:
    context = multiprocessing.get_context("spawn")
    done = context.Queue()
    both = [context.Process(target=busy, args=(cache_dir(), s, done)) for s in (1, 2)]
    for process in both:
        process.start()
    for process in both:
        process.join(120)
    assert [p.exitcode for p in both] == [0, 0]
    # What one stores the other may delete at once, but not always.
    assert done.get() > 0 and done.get() > 0
    assert not list((cache_dir() / "tracks").glob(".making-*"))


@pytest.mark.parametrize("content", [b"", b"half a file"])
def test_a_file_that_is_no_track_counts_as_none(content: bytes) -> None:
    stored = track_file("a" * 64, "m", "litert", 15)
    stored.parent.mkdir(parents=True)
    stored.write_bytes(content)
    assert read_cached(stored, INFO) is None
