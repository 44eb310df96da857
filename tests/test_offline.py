"""Nothing leaves the machine: whole reviews under strace, by command and over HTTP.

The bundle of the model is made before, so that the trace holds the review and nothing else. The
cache is empty apart from it, so that the model really runs.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import av
import httpx
import pytest

from tests.api.served import served
from tests.own_cache import own_cache
from tests.traced import contacts_outside, strace, why_not

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(why_not() is not None, reason=str(why_not())),
]

CLIPS = Path(__file__).parents[1] / "clips"
DEMO = CLIPS / "demo" / "harbour.mp4"
PLAN = CLIPS / "demo" / "harbour.plan.yaml"
CUES = CLIPS / "demo" / "harbour.vtt"
SHORT = CLIPS / "short" / "squat-side.mp4"
ENGINES = {"litert": "ai_edge_litert", "mediapipe": "mediapipe"}


@pytest.fixture(scope="module", params=ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    name: str = request.param
    if find_spec(ENGINES[name]) is None:
        pytest.skip(f"{ENGINES[name]} is not installed")
    return name


@pytest.fixture
def environment(tmp_path: Path, engine: str, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Variables with a cache of its own, which holds the model and nothing else."""
    return {
        "TAKEPROOF_ENGINE": engine,
        "TAKEPROOF_CACHE": str(own_cache(monkeypatch, tmp_path / "cache")),
        "PYTHONPATH": str(CLIPS.parent),  # this checkout, whichever is installed
    }


@pytest.fixture(scope="module")
def two_minutes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The first two minutes of the demo class, picture and sound as they are."""
    path = tmp_path_factory.mktemp("cut") / "two-minutes.mp4"
    with av.open(str(DEMO)) as source, av.open(str(path), "w") as cut:
        streams = {s.index: cut.add_stream_from_template(s) for s in source.streams}
        for packet in source.demux():
            if packet.dts is not None and packet.pts * packet.time_base < 120:
                packet.stream = streams[packet.stream_index]
                cut.mux(packet)
    return path


def reviewed(review: dict[str, Any], engine: str, duration_s: float) -> None:
    """The model has looked at the whole clip, in the engine asked for, and found somebody."""
    assert engine in review["provenance"]["pictures"]["runtime"]
    assert review["clip"]["duration_s"] == pytest.approx(duration_s, abs=0.5)
    assert any(p["reps"]["count"] for p in review["periods"])


def finished(trace: Path) -> list[str]:
    """The lines of a trace whose program has ended; the tracer may need a moment longer."""
    before, size = -1, trace.stat().st_size
    while size != before:
        time.sleep(0.5)
        before, size = size, trace.stat().st_size
    lines = trace.read_text().splitlines()
    assert any("execve(" in line for line in lines)
    return lines


def command() -> Sequence[str]:
    """The console script where it is installed beside this Python, else the module."""
    script = Path(sys.executable).parent / "takeproof"
    return (str(script),) if script.exists() else (sys.executable, "-m", "api")


def test_a_review_by_command_turns_to_nobody(
    tmp_path: Path, two_minutes: Path, environment: dict[str, str], engine: str
) -> None:
    trace, out = tmp_path / "trace", tmp_path / "out"
    given = ["review", str(two_minutes), "--plan", str(PLAN), "--captions", str(CUES)]
    done = subprocess.run(
        [*strace(trace), *command(), *given, "--out", str(out)],
        env=os.environ | environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    reviewed(json.loads((out / "review.json").read_text()), engine, 120)
    assert contacts_outside(finished(trace)) == []


def test_a_review_over_http_turns_to_nobody(
    tmp_path: Path, environment: dict[str, str], engine: str
) -> None:
    trace = tmp_path / "trace"
    with served(tmp_path / "data", under=strace(trace), **environment) as server:
        at = httpx.Client(base_url=server.url, timeout=60)
        files = {
            "clip": (SHORT.name, SHORT.read_bytes(), "video/mp4"),
            "plan": (PLAN.name, PLAN.read_bytes(), "application/yaml"),
        }
        review_id = at.post("/api/reviews", files=files).raise_for_status().json()["id"]
        while True:
            status = at.get(f"/api/reviews/{review_id}").raise_for_status().json()
            if status["state"] in ("done", "failed"):
                break
            time.sleep(0.2)
        assert status["state"] == "done", status["error"]
        reviewed(at.get(status["result"]).raise_for_status().json(), engine, 9)
        for path in ("/", f"/reviews/{review_id}", status["script"]):
            at.get(path).raise_for_status()
    assert contacts_outside(finished(trace)) == []
