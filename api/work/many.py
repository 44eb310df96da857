"""Many clips reviewed over a worker pool, each clip in chunks.

The workers survey a clip, track its chunks and listen to its sound. Their results are joined,
reviewed and written in this process, on a thread of its own so that no worker waits for it. Clips
are taken in order: one that was started is finished before the next.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from annotate.music.listen import listen
from annotate.pipeline import make_take, review_take
from annotate.plan.model import ClassPlan
from annotate.review.provenance import utc_now
from api.faults import report_fault
from api.work.folder import Inputs, ReviewFolder
from api.work.pool import OpenPool, WorkerLost
from api.work.produce import Produced, produce
from api.work.spread import Job, JobResult, spread
from pose.errors import InputError
from pose.extract.cached import read_cached, track_file, write_cached
from pose.extract.chunks import SAMPLE_RATE_HZ, Piece, join, tasks, track_chunk
from pose.extract.survey import Survey, survey
from pose.track import PoseTrack
from pose.video.source import Source

_SURVEY, _SOUND = "survey", "sound"


@dataclass(frozen=True)
class ReviewRequest:
    """A clip to review, and where to write."""

    source: Source
    folder: ReviewFolder


@dataclass(frozen=True)
class ClipResult:
    """Result of one clip: its review, or one line that says why there is none.

    Attributes
    ----------
    fault : bool
        The fault is ours, not the clip's.
    """

    request: ReviewRequest
    produced: Produced | None = None
    error: str = ""
    fault: bool = False


@dataclass
class _ClipState:
    """What is known of a clip so far."""

    seen: Survey | None = None
    stored: Path | None = None
    track: PoseTrack | None = None
    pieces: dict[int, Piece] = field(default_factory=dict)
    chunks: int = 0
    heard: Any = None
    finished: bool = False

    @property
    def ready(self) -> bool:
        looked = self.track is not None or (self.chunks > 0 and len(self.pieces) == self.chunks)
        return looked and self.heard is not None


def review_many(
    requests: Sequence[ReviewRequest],
    plan: ClassPlan | None,
    phrases: str | None,
    open_pool: OpenPool,
    progress: Callable[[str, float], None],
) -> Iterator[ClipResult]:
    """Review clips, and yield the result of each as soon as it is written.

    Parameters
    ----------
    plan : ClassPlan or None
        One plan for all clips.
    phrases : str or None
        Text of the instructor's phrase file, one for all clips.
    progress : callable
        Called with the stage in plain words and the fraction done of all clips.
    """
    todo = deque(Job(i, _SURVEY, survey, (request.source,)) for i, request in enumerate(requests))
    clips = [_ClipState() for _ in requests]
    judging: deque[tuple[int, Future[Produced]]] = deque()
    done = 0

    def report() -> None:
        looked = sum(len(c.pieces) / c.chunks for c in clips if c.chunks and not c.finished)
        progress(f"{done} of {len(requests)} clips done", (done + 0.97 * looked) / len(requests))

    with (
        ThreadPoolExecutor(1, thread_name_prefix="judge") as judge,
        closing(spread(todo, open_pool)) as results,
    ):
        report()
        for result in results:
            i = result.job.clip
            clip, request = clips[i], requests[i]
            if clip.finished:
                continue
            if result.error is not None:
                _drop(i, clip, todo)
                done += 1
                yield _failed(request, result.error)
            else:
                _record(request, clip, result, todo)
                if clip.ready:
                    judging.append((i, judge.submit(_review_clip, request, clip, plan, phrases)))
                    clip.finished = True
            while judging and judging[0][1].done():
                done += 1
                yield _result_of(requests, clips, *judging.popleft())
            report()
        while judging:
            done += 1
            yield _result_of(requests, clips, *judging.popleft())
            report()


def _record(request: ReviewRequest, clip: _ClipState, result: JobResult, todo: deque[Job]) -> None:
    """Store the result of a job, and queue the jobs that follow from it."""
    job = result.job
    if isinstance(result.value, Survey):
        clip.seen = result.value
        info = clip.seen.clip.info
        seen = clip.seen
        clip.stored = track_file(info.sha256, seen.model_id, seen.engine, SAMPLE_RATE_HZ)
        clip.track = read_cached(clip.stored, info)
        jobs = [Job(job.clip, _SOUND, listen, (request.source, info.sha256))]
        if clip.track is None:
            parts = tasks(request.source, clip.seen)
            clip.chunks = len(parts)
            jobs += [Job(job.clip, n, track_chunk, (task,)) for n, task in enumerate(parts)]
        todo.extendleft(reversed(jobs))
    elif isinstance(result.value, Piece):
        assert isinstance(job.part, int)
        clip.pieces[job.part] = result.value
    else:
        clip.heard = result.value


def _review_clip(
    request: ReviewRequest, clip: _ClipState, plan: ClassPlan | None, phrases: str | None
) -> Produced:
    """Join a clip's chunks, review the take and write everything."""
    assert clip.seen is not None and clip.stored is not None
    track = clip.track
    if track is None:
        pieces = [clip.pieces[n] for n in range(clip.chunks)]
        track = join(pieces, clip.seen.clip.info, clip.seen.people)
        write_cached(track, clip.stored)
    take = make_take(track, clip.seen.clip, clip.heard, made=utc_now())
    return produce(
        request.folder,
        review_take(take, plan),
        track=track,
        inputs=Inputs(phrases=phrases, clip=request.source),
        clip=request.source,
    )


def _result_of(
    requests: Sequence[ReviewRequest], clips: list[_ClipState], i: int, end: Future[Produced]
) -> ClipResult:
    clips[i] = _ClipState(finished=True)  # free the memory: an hour of chunks is large
    error = end.exception()
    return ClipResult(requests[i], end.result()) if error is None else _failed(requests[i], error)


def _drop(i: int, clip: _ClipState, todo: deque[Job]) -> None:
    """Cancel the remaining jobs of a clip."""
    clip.finished = True
    clip.pieces.clear()
    others = [job for job in todo if job.clip != i]
    todo.clear()
    todo.extend(others)


def _failed(request: ReviewRequest, error: BaseException) -> ClipResult:
    if isinstance(error, InputError):
        return ClipResult(request, error=str(error))
    if isinstance(error, WorkerLost):
        return ClipResult(
            request, error=f"{request.source}: brought the worker down; export it again"
        )
    if isinstance(error, CancelledError):
        return ClipResult(
            request, error=f"{request.source}: the scheduler let go of it; run it again"
        )
    if not isinstance(error, Exception):
        raise error
    return ClipResult(request, error=f"{request.source}: {report_fault(error)}", fault=True)
