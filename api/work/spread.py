"""Work of many clips spread over a crew: kept busy, and no job lost or done twice.

A worker process that dies takes the local pool with it, and which job it was cannot be told. So
all that were under way are suspects and run once more, one by one: the one that brings the worker
down on its own is guilty, the others are done. A cluster sees to its lost workers itself.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Future, wait
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any

from api.work.pool import OpenCrew

# So many jobs wait behind each that is worked on, so that no worker waits for us.
_AHEAD = 2


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
class Done:
    """A job and what came of it: a result, or the error that ended it."""

    job: Job
    result: Any = None
    error: BaseException | None = None


class WorkerLost(Exception):
    """A job that brought down the process that worked on it."""


def spread(todo: deque[Job], open_crew: OpenCrew) -> Generator[Done, None, None]:
    """Have jobs done, as they come to stand in `todo`, and give each back once.

    The caller may put further jobs into `todo` whenever it has been given one back.
    """
    suspects: deque[Job] = deque()
    under_way: dict[Future[Any], Job] = {}
    with ExitStack() as stack:
        crew = stack.enter_context(open_crew())
        while todo or suspects or under_way:
            most = 1 if suspects else _AHEAD * crew.hands()
            source = suspects or todo
            try:
                while source and len(under_way) < most:
                    under_way[crew.executor.submit(source[0].work, *source[0].args)] = source[0]
                    source.popleft()
            except BrokenExecutor:
                pass  # so are the futures under way, or there are none
            alone = len(under_way) == 1
            ended, _ = wait(under_way, return_when=FIRST_COMPLETED)
            broken = not under_way or any(_is_broken(future) for future in ended)
            if broken:  # then all of them end now
                ended, _ = wait(under_way)
            for future in ended:
                job = under_way.pop(future)
                if not _is_broken(future):
                    yield _done(job, future)
                elif alone:
                    yield Done(job, error=WorkerLost())
                else:
                    suspects.append(job)
            if broken:
                stack.close()
                crew = stack.enter_context(open_crew())


def _is_broken(future: Future[Any]) -> bool:
    return not future.cancelled() and isinstance(future.exception(), BrokenExecutor)


def _done(job: Job, future: Future[Any]) -> Done:
    try:
        return Done(job, future.result())
    except (Exception, CancelledError) as error:
        return Done(job, error=error)
