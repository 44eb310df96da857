"""Work spread over processes: each job is done once, also when a process dies."""

from __future__ import annotations

import os
import time
from collections import deque
from pathlib import Path

import pytest

from api.work.pool import WorkerLost, local_pool
from api.work.spread import Job, JobResult, spread


def noted(log: Path, number: int, takes_s: float = 0.0) -> int:
    """Note in a file that this was done."""
    time.sleep(takes_s)
    with log.open("a") as file:
        file.write(f"{number}\n")
    return number


def deadly() -> None:
    """Bring the process down, as a fault in native code does."""
    os._exit(11)


def faulty() -> None:
    raise ValueError("of its own")


def nested(log: Path, number: int) -> tuple[Path, int]:
    return log, number


def outcomes(todo: deque[Job]) -> dict[int, JobResult]:
    found: dict[int, JobResult] = {}
    for done in spread(todo, local_pool):
        assert done.job.clip not in found
        found[done.job.clip] = done
    return found


def test_a_job_that_kills_its_worker_costs_no_other_job(tmp_path: Path) -> None:
    log = tmp_path / "log"
    todo = deque(Job(n, "", noted, (log, n, 0.05)) for n in range(8))
    todo.insert(3, Job(100, "", deadly, ()))
    todo.insert(6, Job(101, "", faulty, ()))
    found = outcomes(todo)
    assert [found[n].value for n in range(8)] == list(range(8))
    assert isinstance(found[100].error, WorkerLost)
    assert isinstance(found[101].error, ValueError)
    # A job under way in the dying pool may have got as far as its note.
    assert set(log.read_text().split()) == {str(n) for n in range(8)}
    assert len(log.read_text().split()) <= 8 + (os.cpu_count() or 1)


def test_jobs_may_follow_from_jobs(tmp_path: Path) -> None:
    todo = deque([Job(0, "", nested, (tmp_path / "log", 7))])
    found = []
    for done in spread(todo, local_pool):
        found.append(done.value)
        if done.job.clip == 0:
            todo.append(Job(1, "", noted, done.value))
    assert found[1] == 7 and (tmp_path / "log").read_text() == "7\n"


def test_stopping_ends_the_workers_at_once(tmp_path: Path) -> None:
    todo = deque([Job(0, "", noted, (tmp_path / "log", 0))])
    todo.extend(Job(n, "", noted, (tmp_path / "log", n, 30.0)) for n in range(1, 6))
    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        for _ in spread(todo, local_pool):
            began = time.monotonic()
            raise KeyboardInterrupt
    assert time.monotonic() - began < 2
    assert (tmp_path / "log").read_text() == "0\n"
