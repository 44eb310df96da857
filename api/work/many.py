"""Many clips reviewed over a crew of workers, each clip in chunks.

A clip is surveyed, its chunks are looked at and its sound is heard by the crew, wherever that is;
what comes of it is put together, judged and written here, on a thread of its own so that the crew
is not kept waiting. Clips are taken in order: one begun is finished before the next ones.
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
from annotate.pipeline import review_track, warnings
from annotate.plan.model import ClassPlan
from annotate.review.model import Review
from annotate.script.build import make_script
from annotate.script.phrases import Phrases
from api.faults import tell_fault
from api.work.output import write_review
from api.work.pool import OpenCrew
from api.work.spread import Done, Job, WorkerLost, spread
from api.work.stills import write_stills
from pose.errors import InputError
from pose.extract.cached import recall, remember, track_file
from pose.extract.chunks import SAMPLE_RATE_HZ, Piece, Survey, join, look, survey, tasks
from pose.track import PoseTrack
from pose.video.source import Source

_SURVEY, _SOUND = "survey", "sound"


@dataclass(frozen=True)
class Wish:
    """A clip to review, and where to write."""

    source: Source
    folder: Path


@dataclass(frozen=True)
class Outcome:
    """What came of a clip: its review, or one line saying why there is none.

    Attributes
    ----------
    fault : bool
        The fault is ours, not the clip's.
    """

    wish: Wish
    review: Review | None = None
    error: str = ""
    fault: bool = False


@dataclass
class _Begun:
    """What is known of a clip so far."""

    seen: Survey | None = None
    stored: Path | None = None
    track: PoseTrack | None = None
    pieces: dict[int, Piece] = field(default_factory=dict)
    chunks: int = 0
    heard: Any = None
    over: bool = False

    @property
    def ready(self) -> bool:
        looked = self.track is not None or (self.chunks > 0 and len(self.pieces) == self.chunks)
        return looked and self.heard is not None


def review_many(
    wishes: Sequence[Wish],
    plan: ClassPlan | None,
    phrases: Phrases,
    open_crew: OpenCrew,
    progress: Callable[[str, float], None],
) -> Iterator[Outcome]:
    """Review clips, and give what came of each as soon as it is written.

    Parameters
    ----------
    plan : ClassPlan or None
        Of all of them.
    progress : callable
        Told a stage in plain words and the part done of the whole.
    """
    todo = deque(Job(i, _SURVEY, survey, (wish.source,)) for i, wish in enumerate(wishes))
    clips = [_Begun() for _ in wishes]
    ends: deque[tuple[int, Future[Review]]] = deque()
    done = 0

    def tell() -> None:
        looked = sum(len(c.pieces) / c.chunks for c in clips if c.chunks and not c.over)
        progress(f"{done} of {len(wishes)} clips done", (done + 0.97 * looked) / len(wishes))

    with (
        ThreadPoolExecutor(1, thread_name_prefix="judge") as here,
        closing(spread(todo, open_crew)) as results,
    ):
        tell()
        for one in results:
            i = one.job.clip
            clip, wish = clips[i], wishes[i]
            if clip.over:
                continue
            if one.error is not None:
                _forget(i, clip, todo)
                done += 1
                yield _failed(wish, one.error)
            else:
                _take(wish, clip, one, todo)
                if clip.ready:
                    ends.append((i, here.submit(_judged, wish, clip, plan, phrases)))
                    clip.over = True
            while ends and ends[0][1].done():
                done += 1
                yield _ended(wishes, clips, *ends.popleft())
            tell()
        while ends:
            done += 1
            yield _ended(wishes, clips, *ends.popleft())
            tell()


def _take(wish: Wish, clip: _Begun, one: Done, todo: deque[Job]) -> None:
    """Keep what was found of a clip, and line up what follows from it."""
    job = one.job
    if isinstance(one.result, Survey):
        clip.seen = one.result
        info = clip.seen.clip.info
        clip.stored = track_file(info.sha256, clip.seen.model_id, SAMPLE_RATE_HZ)
        clip.track = recall(clip.stored, info)
        jobs = [Job(job.clip, _SOUND, listen, (wish.source, info.sha256))]
        if clip.track is None:
            parts = tasks(wish.source, clip.seen)
            clip.chunks = len(parts)
            jobs += [Job(job.clip, n, look, (task,)) for n, task in enumerate(parts)]
        todo.extendleft(reversed(jobs))
    elif isinstance(one.result, Piece):
        assert isinstance(job.part, int)
        clip.pieces[job.part] = one.result
    else:
        clip.heard = one.result


def _judged(wish: Wish, clip: _Begun, plan: ClassPlan | None, phrases: Phrases) -> Review:
    """Put a clip's pieces together, judge and write them."""
    assert clip.seen is not None and clip.stored is not None
    track = clip.track
    if track is None:
        track = join([clip.pieces[n] for n in range(clip.chunks)], clip.seen.clip.info)
        remember(track, clip.stored)
    beats, unheard = clip.heard
    notices = (*warnings(clip.seen.clip), *unheard)
    review = review_track(track, plan, notices=notices, beats=beats)
    write_review(review, make_script(review, phrases), wish.folder, track)
    write_stills(wish.source, track, review, wish.folder)
    return review


def _ended(wishes: Sequence[Wish], clips: list[_Begun], i: int, end: Future[Review]) -> Outcome:
    clips[i] = _Begun(over=True)  # an hour of pieces is not kept for nothing
    error = end.exception()
    return Outcome(wishes[i], end.result()) if error is None else _failed(wishes[i], error)


def _forget(i: int, clip: _Begun, todo: deque[Job]) -> None:
    """Do nothing more for a clip."""
    clip.over = True
    clip.pieces.clear()
    others = [job for job in todo if job.clip != i]
    todo.clear()
    todo.extend(others)


def _failed(wish: Wish, error: BaseException) -> Outcome:
    if isinstance(error, InputError):
        return Outcome(wish, error=str(error))
    if isinstance(error, WorkerLost):
        return Outcome(wish, error=f"{wish.source}: brought the worker down; export it again")
    if isinstance(error, CancelledError):
        return Outcome(wish, error=f"{wish.source}: the scheduler let go of it; run it again")
    if not isinstance(error, Exception):
        raise error
    return Outcome(wish, error=f"{wish.source}: {tell_fault(error)}", fault=True)
