"""The whole review as a user runs it: a process of its own, timed from outside."""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from pose.body.model import model_file
from pose.cache import CACHE_VARIABLE

_WATCH_EVERY_S = 0.2


@dataclass(frozen=True)
class Run:
    """One run of ``takeproof review``.

    Attributes
    ----------
    first_word_s : float
        From the start to the first word of progress.
    peak_mb : float
        Most memory held at any time, by the one process there is; not known everywhere.
    """

    wall_s: float
    cpu_s: float
    first_word_s: float
    peak_mb: float


def review_twice(clip: Path, plan: Path) -> tuple[Run, Run]:
    """Review a clip never seen before, and once more with its track remembered."""
    with tempfile.TemporaryDirectory() as folder:
        # A cache of its own, with nothing in it but the model.
        model = model_file()
        own = Path(folder) / "cache" / "model" / model.name
        own.parent.mkdir(parents=True)
        shutil.copy(model, own)
        env = os.environ | {CACHE_VARIABLE: str(Path(folder) / "cache")}
        command = [sys.executable, "-m", "api", "review", str(clip), "--plan", str(plan)]
        command += ["--out", str(Path(folder) / "out")]
        return _timed(command, env), _timed(command, env)


def _timed(command: list[str], env: dict[str, str]) -> Run:
    began = time.perf_counter()
    process = subprocess.Popen(
        command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, bufsize=0
    )
    assert process.stderr is not None
    process.stderr.read(1)
    first_word_s = time.perf_counter() - began
    peaks_mb: list[float] = []
    watcher = threading.Thread(target=_watch, args=(process.pid, peaks_mb), daemon=True)
    watcher.start()
    said = process.stderr.read()
    watcher.join()
    _, status, used = os.wait4(process.pid, 0)
    wall_s = time.perf_counter() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(said.decode(errors="replace"))
    return Run(wall_s, used.ru_utime + used.ru_stime, first_word_s, max(peaks_mb, default=math.nan))


def _watch(pid: int, peaks_mb: list[float]) -> None:
    """Note the peak memory of a process while it runs.

    What the system tells of an ended child counts the memory of its parent at the start, too.
    """
    status = Path(f"/proc/{pid}/status")
    while True:
        try:
            lines = status.read_text().splitlines()
        except OSError:
            return
        found = [line for line in lines if line.startswith("VmHWM:")]
        if not found:  # ended, though not yet waited for
            return
        peaks_mb.append(float(found[0].split()[1]) / 1024)
        time.sleep(_WATCH_EVERY_S)
