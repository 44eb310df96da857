"""Jobs of many clips spread over a worker pool: it is kept busy, and no job lost or done twice."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from dataclasses import dataclass
from typing import Any

from api.work.pool import OpenPool

# So many jobs wait behind each that is worked on, so that no worker waits for us.
_JOBS_AHEAD = 2


@dataclass(frozen=True, eq=False)
class Job:
    """Something to be done for a clip; `work` and its arguments go to another process.

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
    """A job and what came of it: a result, or the error that ended it."""

    job: Job
    value: Any = None
    error: BaseException | None = None


def spread(todo: deque[Job], open_pool: OpenPool) -> Generator[JobResult, None, None]:
    """Have jobs done, as they come to stand in `todo`, and give each back once.

    The caller may put further jobs into `todo` whenever it has been given one back.
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
