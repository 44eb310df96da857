"""A clip to a :class:`~pose.track.PoseTrack`: sampled, in parallel, remembered.

A long clip is cut into chunks that are worked on at once. Threads do it: the networks, the
decoder and OpenCV all let go of Python's lock, and two threads were measured to be as fast as
two processes (110 against 112 pictures a second on 2 cores) without a process's start of 2 s.
"""

from __future__ import annotations

import itertools
import math
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Event
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.cache import appears_whole, cache_dir
from pose.clip import ClipProbe, frames, probe
from pose.errors import TrackError
from pose.estimator import Place, Sample, estimate, find_main
from pose.model import model_file, model_id
from pose.track import BACK_FRACTIONS, TRACK_VERSION, ClipInfo, PoseTrack

Floats = NDArray[np.float64]

SAMPLE_RATE_HZ = 15.0
MAX_SIDE_PX = 640
# A chunk's follower starts this much early, so that it has settled where its samples begin.
LEAD_IN_S = 1.0
# The follower remembers where it looked last, so a cut changes landmarks by a fifth of a pixel
# here and there; cuts must not depend on the number of cores, or every machine has its own track.
CHUNK_S = 20.0
_MOST_WORKERS = 8  # each holds two landmarkers and a decoder, about 300 MB
_MAIN_PERSON_LOOKS = 5
_PROGRESS_STEP_S = 0.2


@dataclass(frozen=True)
class Chunk:
    """A stretch of time worked on by one thread; decoding starts at `from_s`, before it."""

    from_s: float
    start_s: float
    end_s: float


def extract(
    path: str | Path,
    *,
    sample_rate_hz: float = SAMPLE_RATE_HZ,
    workers: int | None = None,
    progress: Callable[[float], None] | None = None,
    cache: bool = True,
) -> PoseTrack:
    """Find the body of the main person all through a clip.

    Parameters
    ----------
    sample_rate_hz : float
        About how many pictures a second are looked at; all of them if the clip has fewer.
    workers : int or None
        Chunks worked on at once; None: one for each core, eight at most.
    progress : callable or None
        Called from this thread with the part done, 0 to 1. May raise, for instance
        :class:`~pose.errors.Cancelled`: the work stops and the error passes on.
    cache : bool
        Keep the track in the user's cache and take it from there next time.

    Raises
    ------
    ClipError, ModelError
    """
    path = Path(path)
    tell = progress or (lambda part: None)
    clip = probe(path)
    model = model_file()
    name = (
        f"{clip.info.sha256[:32]}-{model_id(model)}-{sample_rate_hz:g}hz-{MAX_SIDE_PX}px"
        f"-v{TRACK_VERSION}.parquet"
    )
    stored = cache_dir() / "tracks" / name
    known = _recall(stored, clip.info) if cache else None
    if known is not None:
        tell(1.0)
        return known
    workers = workers or min(os.cpu_count() or 1, _MOST_WORKERS)
    samples = _samples(path, clip, model, sample_rate_hz, workers, tell)
    track = _join(samples, clip.info)
    if cache:
        _remember(track, stored)
    tell(1.0)
    return track


def plan_chunks(duration_s: float, key_times_s: Floats) -> list[Chunk]:
    """Cut a clip where decoding can start cheaply: the lead-in of each chunk is a key frame."""
    starts_s = [0.0]
    for key_s in key_times_s:
        start_s = float(key_s) + LEAD_IN_S
        if start_s - starts_s[-1] >= CHUNK_S and duration_s - start_s >= CHUNK_S / 2:
            starts_s.append(start_s)
    return [
        Chunk(max(0.0, start_s - LEAD_IN_S), start_s, end_s)
        for start_s, end_s in itertools.pairwise([*starts_s, math.inf])
    ]


def _samples(
    path: Path,
    clip: ClipProbe,
    model: Path,
    sample_rate_hz: float,
    workers: int,
    tell: Callable[[float], None],
) -> list[Sample]:
    """All samples of the clip in order of time."""
    tell(0.0)
    duration_s = clip.info.duration_s
    shown_px = (clip.info.width, clip.info.height)
    main = _main_person(path, clip.key_times_s, model)
    chunks = plan_chunks(duration_s, clip.key_times_s)
    done_s = [0.0] * len(chunks)
    stop = Event()

    def work(number: int, chunk: Chunk) -> list[Sample]:
        pictures = frames(
            path,
            sample_rate_hz=sample_rate_hz,
            start_s=chunk.from_s,
            end_s=chunk.end_s,
            max_side_px=MAX_SIDE_PX,
        )
        kept = []
        for sample in estimate(pictures, shown_px, model, main):
            if stop.is_set():
                break
            if sample.time_s >= chunk.start_s:
                kept.append(sample)
                done_s[number] = sample.time_s - chunk.start_s
        return kept

    with ThreadPoolExecutor(workers, thread_name_prefix="pose") as pool:
        jobs = [pool.submit(work, number, chunk) for number, chunk in enumerate(chunks)]
        try:
            waiting = set(jobs)
            while waiting:
                finished, waiting = wait(waiting, timeout=_PROGRESS_STEP_S)
                for job in finished:
                    job.result()
                tell(min(1.0, sum(done_s) / max(duration_s, 1e-9)))
        except BaseException:
            # Whatever it was, cancelling and Ctrl-C included: no thread works on for nothing.
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return [sample for job in jobs for sample in job.result()]


def _main_person(path: Path, key_times_s: Floats, model: Path) -> Place | None:
    """Who the film is about: the largest person at a few key frames all over the clip.

    Every chunk is told, so that two chunks do not follow two people.
    """
    picks = np.linspace(0, len(key_times_s) - 1, _MAIN_PERSON_LOOKS).round().astype(int)
    looks_s = key_times_s[np.unique(picks)]
    pictures = (
        next(frames(path, sample_rate_hz=1e3, start_s=s, max_side_px=MAX_SIDE_PX), None)
        for s in looks_s
    )
    return find_main((p for p in pictures if p is not None), model)


def _join(samples: list[Sample], info: ClipInfo) -> PoseTrack:
    def stack(rows: list[NDArray[Any]], *shape: int) -> Floats:
        # Through single precision, as on disk: the first run equals the remembered one.
        return np.array(rows, dtype=np.float32).reshape(-1, *shape).astype(np.float64)

    return PoseTrack(
        np.array([s.time_s for s in samples], dtype=np.float64),
        stack([s.xy_px for s in samples], lm.COUNT, 2),
        stack([s.world_m for s in samples], lm.COUNT, 3),
        stack([s.visibility for s in samples], lm.COUNT),
        stack([s.outline for s in samples], 2, len(BACK_FRACTIONS)).astype(np.float32),
        info,
    )


def _recall(stored: Path, info: ClipInfo) -> PoseTrack | None:
    """The remembered track; None when there is none or it cannot be read."""
    if not stored.is_file():
        return None
    try:
        # The same content may by now have another name.
        return replace(PoseTrack.read_parquet(stored), clip=info)
    except (TrackError, KeyError, TypeError, ValueError):
        return None


def _remember(track: PoseTrack, stored: Path) -> None:
    """Keep the track for next time; a cache that cannot be written only costs time."""
    try:
        with appears_whole(stored) as partial:
            track.write_parquet(partial)
    except OSError:
        pass
