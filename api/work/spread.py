"""Spread the jobs of many clips over a worker pool, each done once."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from dataclasses import dataclass
from typing import Any

from api.work.pool import OpenPool

# Jobs submitted for each that can run at once, so that no worker waits for this process.
_JOBS_AHEAD = 2


@dataclass(frozen=True, eq=False)
class Job:
    """Work for one clip; `work` and its arguments go to another process.

    Attributes
    ----------
    clip : int
        Which clip it is for.
    part : str or int
        Which of the clip's jobs it is.
    """

    clip: int
    part: str | int
    work: Callable[..., Any]
    args: tuple[Any, ...]


@dataclass(frozen=True, eq=False)
class JobResult:
    """A job with its value, or the error that ended it."""

    job: Job
    value: Any = None
    error: BaseException | None = None


def spread(todo: deque[Job], open_pool: OpenPool) -> Generator[JobResult, None, None]:
    """Run the jobs of `todo` in its order, and yield each result once.

    The caller may add jobs to `todo` after every result.
    """
    under_way: dict[Future[Any], Job] = {}
    with open_pool() as pool:
        while todo or under_way:
            while todo and len(under_way) < _JOBS_AHEAD * pool.size():
                job = todo.popleft()
                under_way[pool.submit(job.work, *job.args)] = job
            ended, _ = wait(under_way, return_when=FIRST_COMPLETED)
            for future in ended:
                yield _result_of(under_way.pop(future), future)


def _result_of(job: Job, future: Future[Any]) -> JobResult:
    try:
        return JobResult(job, future.result())
    except (Exception, CancelledError) as error:
        return JobResult(job, error=error)
