"""Who does the work of many clips: processes of this machine, or the workers of a cluster."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import wait
from typing import Any

from api.errors import ServeError

_REACH_WITHIN_S = 10
_MOST_CLIPS_AT_ONCE = 4


@dataclass(frozen=True)
class Crew:
    """An executor and how many pieces of work keep it busy, as of now."""

    executor: Executor
    hands: Callable[[], int]


OpenCrew = Callable[[], AbstractContextManager[Crew]]


@contextmanager
def local_crew() -> Iterator[Crew]:
    """One process for each core; they end with this block, whatever they are at."""
    cores = os.cpu_count() or 1
    others = multiprocessing.active_children()
    executor = _processes(cores)
    try:
        yield Crew(executor, lambda: cores)
    except BaseException:
        # Nobody waits for the work under way. The pool itself would.
        for process in multiprocessing.active_children():
            if process not in others:
                process.terminate()
        raise
    finally:
        executor.shutdown(wait=True, cancel_futures=True)


def one_process() -> Executor:
    """One worker process: the analysis neither holds up the HTTP door nor brings it down."""
    return _processes(1)


def _processes(count: int) -> Executor:
    """Worker processes that start clean and end with this one."""
    return ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=stay_with_parent
    )


def clips_at_once() -> int:
    """How many clips the service works on at a time: each takes about 1 GB."""
    return min(os.cpu_count() or 1, _MOST_CLIPS_AT_ONCE)


@contextmanager
def cluster_crew(address: str) -> Iterator[Crew]:
    """The workers of a Dask scheduler, for example ``tcp://10.0.0.5:8786``.

    A worker that is lost is no loss: the scheduler gives what it was at to another one.

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
        client = Client(address, timeout=_REACH_WITHIN_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise ServeError(
            f"{address}: no scheduler answers here; start one or correct it"
        ) from error
    with client:

        def hands() -> int:
            with suppress(OSError):
                return max(1, sum(int(n) for n in client.ncores().values()))
            return 1

        executor: Any = client.get_executor(pure=False)
        yield Crew(executor, hands)


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
