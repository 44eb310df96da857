"""A clip to a :class:`~pose.track.PoseTrack`: its chunks in parallel, the result cached.

The chunks run in threads. The networks, the decoder and OpenCV all release Python's lock, and two
threads were measured to be as fast as two processes (110 against 112 pictures a second on 2
cores), without the 2 s that a process takes to start.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import ExitStack
from threading import Event

from pose.body.engine import chosen_engine, open_landmarker
from pose.body.landmarker import Landmarker
from pose.body.model import model_file, model_id
from pose.errors import Cancelled
from pose.extract.cached import read_cached, track_file, write_cached
from pose.extract.chunks import SAMPLE_RATE_HZ, Piece, Task, join, tasks, track_chunk
from pose.extract.survey import survey
from pose.persons import Pick
from pose.track import PoseTrack
from pose.video.probe import ClipProbe, probe
from pose.video.source import Source

# Each holds the networks and a decoder: measured, half a gigabyte (docs/measurements.md).
_MAX_WORKERS = 8
# Five times a second: smooth to the eye.
_PROGRESS_STEP_S = 0.2


def extract(
    path: Source,
    *,
    clip: ClipProbe | None = None,
    pick: Pick | None = None,
    sample_rate_hz: float = SAMPLE_RATE_HZ,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
    cache: bool = True,
) -> PoseTrack:
    """Follow one person through a clip.

    Parameters
    ----------
    clip : ClipProbe or None
        The clip's probe, if there is one already: making it reads the whole file.
    pick : Pick or None
        Whom to follow; None: whom the clip is about, see :mod:`pose.body.people`.
    sample_rate_hz : float
        About how many pictures a second are used; all of them if the clip has fewer.
    workers : int or None
        Chunks worked on at once; None: one for each core, eight at most.
    progress : callable or None
        Called from this thread with the fraction done, 0 to 1. May raise, for instance
        :class:`~pose.errors.Cancelled`: the work stops and the error goes on to the caller.
    cache : bool
        Store the track in the user's cache, and take it from there next time.

    Raises
    ------
    ClipError, ModelError
    PersonNotFound
        Nobody is where `pick` points.
    """
    report = progress or (lambda part: None)
    clip = clip or probe(path)
    stored = track_file(
        clip.info.sha256, model_id(model_file()), chosen_engine(), sample_rate_hz, pick
    )
    known = read_cached(stored, clip.info) if cache else None
    if known is not None:
        report(1.0)
        return known
    report(0.0)
    surveyed = survey(path, clip, pick)
    todo = tasks(path, surveyed, sample_rate_hz)
    workers = workers or min(os.cpu_count() or 1, _MAX_WORKERS)
    pieces = _track_chunks(todo, workers, clip.info.duration_s, report)
    track = join(pieces, clip.info, surveyed.people)
    if cache:
        write_cached(track, stored)
    report(1.0)
    return track


def _track_chunks(
    todo: Sequence[Task], workers: int, duration_s: float, report: Callable[[float], None]
) -> list[Piece]:
    """The pieces of all chunks, several worked on at once, in order of time."""
    done_s = [0.0] * len(todo)
    stop = Event()
    model = model_file()
    idle: list[Landmarker] = []

    def work(number: int, task: Task) -> Piece:
        def at(seconds: float) -> None:
            if stop.is_set():
                raise Cancelled
            done_s[number] = seconds

        try:
            landmarker = idle.pop()
        except IndexError:
            landmarker = opened.enter_context(open_landmarker(model, task.engine))
        piece = track_chunk(task, at, landmarker)
        idle.append(landmarker)
        return piece

    with ExitStack() as opened, ThreadPoolExecutor(workers, thread_name_prefix="pose") as pool:
        jobs = [pool.submit(work, number, task) for number, task in enumerate(todo)]
        try:
            waiting = set(jobs)
            while waiting:
                finished, waiting = wait(waiting, timeout=_PROGRESS_STEP_S)
                for job in finished:
                    job.result()
                report(min(1.0, sum(done_s) / max(duration_s, 1e-9)))
        except BaseException:
            # Whatever it was, cancelling and Ctrl-C included: no thread goes on for nothing.
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return [job.result() for job in jobs]
