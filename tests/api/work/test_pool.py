"""Worker pools: a process that dies takes only its own job with it."""

from __future__ import annotations

import os
import threading
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest

from api.work.pool import LocalPool, WorkerLost, local_pool


class MortalExecutor(Executor):
    """Runs each job at once; one that kills it breaks it for ever."""

    def __init__(self) -> None:
        self.dead = False

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        if self.dead:
            raise BrokenProcessPool
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args))
        except BaseException as error:
            self.dead = isinstance(error, BrokenProcessPool)
            future.set_exception(error)
        return future


def dying() -> None:
    raise BrokenProcessPool


def test_a_job_that_kills_its_worker_is_reported_and_the_next_one_is_done() -> None:
    pool = LocalPool(1, MortalExecutor)
    lost, kept = pool.submit(dying), pool.submit(abs, -3)
    assert isinstance(lost.exception(1), WorkerLost)
    assert kept.result(1) == 3


def test_a_job_whose_worker_died_once_may_be_tried_again() -> None:
    begun: list[int] = []

    def dies_once() -> str:
        begun.append(1)
        if len(begun) == 1:
            raise BrokenProcessPool
        return "done"

    assert LocalPool(1, MortalExecutor, max_tries=2).submit(dies_once).result(1) == "done"
    assert len(begun) == 2


def test_a_job_is_begun_no_more_often_than_allowed() -> None:
    begun: list[int] = []

    def dies() -> None:
        begun.append(1)
        raise BrokenProcessPool

    lost = LocalPool(1, MortalExecutor, max_tries=3).submit(dies)
    assert isinstance(lost.exception(1), WorkerLost) and len(begun) == 3


def test_a_worker_that_died_while_idle_is_replaced() -> None:
    made: list[MortalExecutor] = []

    def make() -> MortalExecutor:
        made.append(MortalExecutor())
        return made[-1]

    pool = LocalPool(1, make)
    made[0].dead = True
    assert pool.submit(abs, -3).result(1) == 3 and len(made) == 2


def test_an_error_of_a_job_is_its_own_and_costs_no_worker() -> None:
    made: list[MortalExecutor] = []

    def make() -> MortalExecutor:
        made.append(MortalExecutor())
        return made[-1]

    failed = LocalPool(1, make, max_tries=2).submit(int, "x")
    assert isinstance(failed.exception(1), ValueError) and len(made) == 1


def test_each_worker_has_one_job_at_a_time() -> None:
    under_way, most, lock, go_on = 0, 0, threading.Lock(), threading.Event()

    def work() -> None:
        nonlocal under_way, most
        with lock:
            under_way += 1
            most = max(most, under_way)
        go_on.wait(5)
        with lock:
            under_way -= 1

    pool = LocalPool(2, lambda: ThreadPoolExecutor(4))
    jobs = [pool.submit(work) for _ in range(6)]
    go_on.set()
    for job in jobs:
        job.result(5)
    assert pool.size() == 2 and most <= 2
    pool.close()


def test_after_closing_nothing_is_begun() -> None:
    pool = LocalPool(1, MortalExecutor)
    pool.close()
    assert not pool.submit(abs, -3).done()


def killed(note: Path) -> str:
    """Die the first time, as when the machine is short of memory."""
    if not note.exists():
        note.touch()
        os._exit(9)
    return "done"


@pytest.mark.slow
def test_a_process_that_is_killed_once_costs_nothing(tmp_path: Path) -> None:
    with local_pool() as pool:
        assert pool.submit(killed, tmp_path / "note").result(60) == "done"
