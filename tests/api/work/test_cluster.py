"""Chunks over two workers of a cluster on this machine, one of which is killed at its work.

Needs the extra `cluster`: ``pip install -e '.[test,cluster]'``.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from api.cli.run import run
from api.work import many
from pose.extract import chunks
from pose.extract.parallel import extract
from pose.track import PoseTrack
from tests.api.clips_in_chunks import NOTES, noted_chunk, notes, wait_for_work, with_key_frames
from tests.own_cache import own_cache

pytestmark = pytest.mark.slow

distributed = pytest.importorskip("distributed", reason="comes with the extra 'cluster'")

ROOT = Path(__file__).parents[3]


@pytest.fixture(autouse=True)
def surroundings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own_cache(monkeypatch, tmp_path / "cache")
    monkeypatch.setenv(NOTES, str(tmp_path / "notes"))
    monkeypatch.setattr(chunks, "CHUNK_S", 2.0)


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Address of a scheduler, and its two workers, which nobody starts again."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
    port = address.rsplit(":", 1)[1]
    quiet: dict[str, Any] = {
        "stdout": subprocess.DEVNULL,
        "stderr": subprocess.DEVNULL,
        "cwd": ROOT,
    }
    scheduler = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1",
         "--port", port, "--no-dashboard", "--no-show"], **quiet,
    )  # fmt: skip
    workers = [
        subprocess.Popen(
            [sys.executable, "-m", "distributed.cli.dask_worker", address, "--no-nanny",
             "--nthreads", "1", "--no-dashboard", "--local-directory", str(tmp_path / f"w{i}")],
            **quiet,
        )
        for i in range(2)
    ]  # fmt: skip
    try:
        with distributed.Client(address, timeout=30, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
        yield address, workers
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait()


def test_a_worker_killed_at_its_work_costs_nothing(
    cluster: tuple[str, list[subprocess.Popen[bytes]]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    address, workers = cluster
    clip = with_key_frames(tmp_path / "take.mp4")
    expected = extract(clip, cache=False)
    monkeypatch.setattr(many, "track_chunk", noted_chunk)
    killed: list[int] = []

    def kill_one() -> None:
        killed.append(wait_for_work({w.pid for w in workers}))
        os.kill(killed[0], signal.SIGKILL)

    killer = threading.Thread(target=kill_one)
    killer.start()
    code = run(["review", str(clip), "--scheduler", address, "--out", str(tmp_path / "out")])
    killer.join()
    assert code == 0 and killed, capsys.readouterr()
    track = PoseTrack.read_parquet(tmp_path / "out" / "track.parquet")
    np.testing.assert_array_equal(track.times_s, expected.times_s)
    np.testing.assert_array_equal(track.xy_px, expected.xy_px)
    seen = notes()
    assert len({pid for _, _, pid in seen}) == 2
    ended = Counter(chunk for what, chunk, _ in seen if what == "ended")
    assert set(ended) == {chunk for what, chunk, _ in seen if what == "began"}
    assert len(ended) >= 4 and set(ended.values()) == {1}
    # Begun twice is only what the killed one was at.
    again = [c for c, n in Counter(c for w, c, _ in seen if w == "began").items() if n > 1]
    own = [(w, c) for w, c, pid in seen if pid == killed[0]]
    assert [own[-1][1]] == again and own[-1][0] == "began"


def test_clips_come_out_of_a_store(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    clip = with_key_frames(tmp_path / "take.mp4")
    out = tmp_path / "out"
    asked = ["review", f"file://{clip}", "--scheduler", cluster[0], "--out", str(out)]
    assert run(asked) == 0
    expected = extract(clip, cache=False)
    np.testing.assert_array_equal(
        PoseTrack.read_parquet(out / "track.parquet").xy_px, expected.xy_px
    )
    # The second time the track is remembered.
    began = time.monotonic()
    assert run(asked) == 0
    assert time.monotonic() - began < 20


def test_no_scheduler_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("api.work.pool._CONNECT_TIMEOUT_S", 1)
    asked = ["review", "a.mp4", "--scheduler", "tcp://127.0.0.1:9", "--out", str(tmp_path / "o")]
    assert run(asked) == 2
    assert "no scheduler answers" in capsys.readouterr().err
