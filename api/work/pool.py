"""Worker pools: processes of this machine, or the workers of a cluster.

This is the only place that handles a dead worker. Each local process works on one job at a time, so
that a process that dies takes only its own job with it: a new process replaces it, and the job is
tried again or its future fails with :class:`WorkerLost`. A cluster handles its lost workers itself.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import wait
from typing import Any, Protocol

from api.errors import ServeError

_CONNECT_TIMEOUT_S = 10
_MAX_CLIPS_AT_ONCE = 4


class WorkerLost(Exception):
    """A job that brought down the process that worked on it."""


class WorkerPool(Protocol):
    """Runs jobs in other processes."""

    def submit(self, work: Callable[..., Any], *args: Any) -> Future[Any]:
        """Queue a job; its future always ends."""

    def size(self) -> int:
        """How many jobs can run at once, as of now."""


OpenPool = Callable[[], AbstractContextManager[WorkerPool]]


@dataclass(eq=False)
class _Job:
    work: Callable[..., Any]
    args: tuple[Any, ...]
    future: Future[Any] = field(default_factory=Future)
    tries: int = 0


@dataclass(eq=False)
class _Worker:
    """A process, and whether it is busy."""

    executor: Executor
    busy: bool = False


class LocalPool:
    """Worker processes of this machine, one job each at a time.

    Parameters
    ----------
    size : int
        How many there are.
    make_worker : callable
        Makes an executor that works on one job at a time.
    max_tries : int
        How often a job is started before it is given up because its workers died.
    """

    def __init__(
        self, size: int, make_worker: Callable[[], Executor], *, max_tries: int = 1
    ) -> None:
        self._make_worker = make_worker
        self._max_tries = max_tries
        self._workers = [_Worker(make_worker()) for _ in range(size)]
        self._waiting: deque[_Job] = deque()
        self._lock = threading.Lock()
        self._closing = False

    def size(self) -> int:
        """How many jobs can run at once."""
        return len(self._workers)

    def submit(self, work: Callable[..., Any], *args: Any) -> Future[Any]:
        """Queue a job."""
        job = _Job(work, args)
        with self._lock:
            self._waiting.append(job)
        self._start_jobs()
        return job.future

    def start_no_more(self) -> None:
        """Start no more jobs, and replace no worker that dies."""
        with self._lock:
            self._closing = True

    def close(self) -> None:
        """Start no more jobs; wait for those that are running."""
        self.start_no_more()
        for worker in self._workers:
            worker.executor.shutdown(wait=True, cancel_futures=True)

    def _start_jobs(self) -> None:
        """Give every idle worker the next job."""
        begun = []
        with self._lock:
            for worker in self._workers:
                if worker.busy or not self._waiting or self._closing:
                    continue
                job = self._waiting.popleft()
                job.tries += 1
                try:
                    done = worker.executor.submit(job.work, *job.args)
                except BrokenExecutor:  # the process died while it was idle
                    self._replace(worker)
                    done = worker.executor.submit(job.work, *job.args)
                worker.busy = True
                begun.append((done, worker, job))
        # Outside the lock: a job that has already ended calls back at once.
        for done, worker, job in begun:
            done.add_done_callback(partial(self._job_ended, worker, job))

    def _job_ended(self, worker: _Worker, job: _Job, done: Future[Any]) -> None:
        """Pass on the result of a job; replace its worker if that died."""
        error = CancelledError() if done.cancelled() else done.exception()
        died = isinstance(error, BrokenExecutor)
        again = died and job.tries < self._max_tries
        with self._lock:
            worker.busy = False
            if died and not self._closing:
                self._replace(worker)
                if again:
                    self._waiting.appendleft(job)
        if not again or self._closing:
            _settle(job.future, done, WorkerLost() if died else error)
        self._start_jobs()

    def _replace(self, worker: _Worker) -> None:
        worker.executor.shutdown(wait=False)
        worker.executor = self._make_worker()


def _settle(future: Future[Any], done: Future[Any], error: BaseException | None) -> None:
    if error is None:
        future.set_result(done.result())
    else:
        future.set_exception(error)


@contextmanager
def local_pool() -> Iterator[WorkerPool]:
    """One process for each core; all of them end with this block.

    A job whose process dies is tried once more: it may have been short of memory.
    """
    others = multiprocessing.active_children()
    pool = LocalPool(os.cpu_count() or 1, one_process, max_tries=2)
    try:
        yield pool
    except BaseException:
        # Nobody waits for the running jobs, but the executors would.
        pool.start_no_more()
        for process in multiprocessing.active_children():
            if process not in others:
                process.terminate()
        raise
    finally:
        pool.close()


def one_process() -> Executor:
    """A worker process that shares no state with this one and ends with it."""
    return ProcessPoolExecutor(
        1, mp_context=multiprocessing.get_context("spawn"), initializer=stay_with_parent
    )


def clips_at_once() -> int:
    """How many clips the service works on at once: each takes about 1 GB."""
    return min(os.cpu_count() or 1, _MAX_CLIPS_AT_ONCE)


@dataclass(frozen=True)
class _Cluster:
    """The workers of a Dask scheduler."""

    client: Any
    executor: Any

    def submit(self, work: Callable[..., Any], *args: Any) -> Future[Any]:
        future: Future[Any] = self.executor.submit(work, *args)
        return future

    def size(self) -> int:
        with suppress(OSError):
            return max(1, sum(int(n) for n in self.client.ncores().values()))
        return 1


@contextmanager
def cluster_pool(address: str) -> Iterator[WorkerPool]:
    """The workers of a Dask scheduler, for example ``tcp://10.0.0.5:8786``.

    Raises
    ------
    ServeError
        The client is not installed, or there is no scheduler.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise ServeError(
            "--scheduler needs distributed; run: pip install 'takeproof[cluster]'"
        ) from error
    try:
        client = Client(address, timeout=_CONNECT_TIMEOUT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise ServeError(
            f"{address}: no scheduler answers here; start one or correct it"
        ) from error
    with client:
        yield _Cluster(client, client.get_executor(pure=False))


def stay_with_parent() -> None:
    """In the worker: leave Ctrl-C to the parent, and end when the parent is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    sentinel = parent.sentinel

    def watch() -> None:
        wait([sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
