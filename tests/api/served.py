"""takeproof serve as a program of its own, on a free port."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx


@dataclass(frozen=True)
class Served:
    """A running server."""

    url: str
    process: subprocess.Popen[str]
    said: str


@contextmanager
def served(
    data: Path, *options: str, under: Sequence[str] = (), **environment: str
) -> Iterator[Served]:
    """Start a server over `data`, `under` another program; it is gone at the end."""
    process = subprocess.Popen(
        [
            *under,
            sys.executable,
            "-m",
            "api",
            "serve",
            "--port",
            "0",
            "--data",
            str(data),
            *options,
        ],
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | environment,
    )
    try:
        assert process.stderr is not None
        said = ""
        while "Stop it with" not in said:
            line = process.stderr.readline()
            assert line, f"takeproof serve ended: {said}"
            said += line
        found = re.search(r"http://\S+:(\d+)/", said)
        assert found is not None, said
        url = f"http://127.0.0.1:{found.group(1)}"
        _until_it_answers(url)
        yield Served(url, process, said)
    finally:
        process.terminate()
        try:
            process.wait(15)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _until_it_answers(url: str) -> None:
    end = time.monotonic() + 30
    while time.monotonic() < end:
        try:
            httpx.get(f"{url}/page/base.css")
        except httpx.HTTPError:
            time.sleep(0.1)
        else:
            return
    raise AssertionError("takeproof serve never answered")
