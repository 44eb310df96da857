"""A clip cut into chunks that any machine can work on, in any order, joined without a seam.

A chunk's :class:`Task` holds everything that a thread, a process or another machine needs for it.
The result is a :class:`Piece` of the track.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.engine import Engine, open_landmarker, runtime
from pose.body.follow import Sample, follow
from pose.body.landmarker import Landmarker
from pose.body.model import model_file, model_id
from pose.errors import ModelError
from pose.extract.pictures import MAX_SIDE_PX, after_key
from pose.extract.survey import Survey
from pose.persons import People
from pose.track import BACK_FRACTIONS, ClipInfo, Extraction, PoseTrack
from pose.video.decode import disposable_stamps, frames
from pose.video.source import Source

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

# Carries movement up to 7.5 Hz; signals are cut off at 6 (see pose/signals/compute.py).
SAMPLE_RATE_HZ = 15.0
# Goes up when pictures are prepared or people followed in another way; part of the cache key.
TRACKING_VERSION = 11
# A chunk is tracked from this much earlier, so that the tracker has settled where its samples
# begin: a second is 15 pictures.
LEAD_IN_S = 1.0
# The tracker starts from where it was in the last picture, so a cut changes landmarks by a fifth
# of a pixel here and there. Cuts must not depend on the number of cores, or every machine would
# have its own track. Longer chunks waste less on lead-ins (a thirtieth here), shorter ones leave
# fewer cores idle at the end.
CHUNK_S = 30.0
# Clips of more than 20 minutes get longer chunks instead of more: eight workers on one machine
# still have five each.
MAX_CHUNKS = 40
# Two bodies in one picture further apart than this, in body sizes, are two people.
_SAME_PERSON = 0.5


@dataclass(frozen=True)
class Chunk:
    """A stretch of time to work on; decoding starts at `from_s`, before it."""

    from_s: float
    start_s: float
    end_s: float


@dataclass(frozen=True, eq=False)
class Task:
    """One chunk to work on.

    Attributes
    ----------
    shown_px : (width, height)
    people : People
        The same for all chunks, so that they follow one person.
    model_id : str
        Every machine must have the same model, ...
    engine : str
        ... and run it in the same library.
    skip : frozenset of int
        Pictures not to decode, see :func:`pose.video.decode.disposable_stamps`.
    """

    source: Source
    chunk: Chunk
    shown_px: tuple[int, int]
    people: People
    model_id: str
    engine: Engine
    sample_rate_hz: float
    skip: frozenset[int]


@dataclass(frozen=True, eq=False)
class Piece:
    """Samples of one chunk, rows as in :class:`pose.track.PoseTrack`; single precision.

    Attributes
    ----------
    lead_in_px : (33, 2) float32
        Landmarks in the last picture before the chunk, which is the last one of the chunk before:
        were both on the same person?
    doubts_s : tuple of float
        Times at which the followed person may have become somebody else.
    """

    lead_in_px: Singles
    doubts_s: tuple[float, ...]
    times_s: Floats
    xy_px: Singles
    world_m: Singles
    visibility: Singles
    outline: Singles
    extraction: Extraction


def plan_chunks(duration_s: float, key_times_s: Floats) -> list[Chunk]:
    """Cut a clip where decoding can start: the lead-in of each chunk begins at a key frame."""
    min_s = max(CHUNK_S, duration_s / MAX_CHUNKS)
    starts_s = [0.0]
    for key_s in key_times_s:
        start_s = float(key_s) + LEAD_IN_S
        if start_s - starts_s[-1] >= min_s and duration_s - start_s >= min_s / 2:
            starts_s.append(start_s)
    return [
        Chunk(max(0.0, start_s - LEAD_IN_S), start_s, end_s)
        for start_s, end_s in itertools.pairwise([*starts_s, math.inf])
    ]


def tasks(source: Source, seen: Survey, sample_rate_hz: float = SAMPLE_RATE_HZ) -> tuple[Task, ...]:
    """The chunks of a surveyed clip, in order of time, at least one."""
    clip = seen.clip
    drop = np.isin(clip.stamps, list(disposable_stamps(clip, sample_rate_hz)))
    shown_px = (clip.info.width, clip.info.height)
    out = []
    for chunk in plan_chunks(clip.info.duration_s, clip.key_times_s):
        # A little more on both sides, because decoding starts early and reads ahead.
        near = (clip.times_s >= chunk.from_s - 2 * LEAD_IN_S) & (clip.times_s <= chunk.end_s + 1)
        skip = frozenset(clip.stamps[drop & near].tolist())
        out.append(
            Task(
                source=source,
                chunk=chunk,
                shown_px=shown_px,
                people=seen.people,
                model_id=seen.model_id,
                engine=seen.engine,
                sample_rate_hz=sample_rate_hz,
                skip=skip,
            )
        )
    return tuple(out)


def track_chunk(
    task: Task, at: Callable[[float], None] | None = None, landmarker: Landmarker | None = None
) -> Piece:
    """Follow the main person through one chunk.

    Parameters
    ----------
    at : callable or None
        Called with the seconds of the chunk that are done. May raise to stop.
    landmarker : Landmarker or None
        Opened before, with the same model and engine; None: a new one is opened.

    Raises
    ------
    ClipError, ModelError
    """
    model = model_file()
    if model_id(model) != task.model_id:
        raise ModelError(f"{model}: not the model the clip was surveyed with; use one everywhere")
    chunk = task.chunk
    pictures = frames(
        task.source,
        sample_rate_hz=task.sample_rate_hz,
        start_s=after_key(chunk.from_s, task.sample_rate_hz),
        end_s=chunk.end_s,
        max_side_px=MAX_SIDE_PX,
        skip=task.skip,
    )
    lead_in_px = np.full((lm.COUNT, 2), np.nan, dtype=np.float32)
    kept: list[Sample] = []
    opened = nullcontext(landmarker) if landmarker else open_landmarker(model, task.engine)
    with opened as own:
        for sample in follow(pictures, task.shown_px, own, task.people):
            if at is not None:
                at(max(0.0, sample.time_s - chunk.start_s))
            if sample.time_s >= chunk.start_s:
                kept.append(sample)
            else:
                lead_in_px = sample.xy_px.astype(np.float32)
    return Piece(
        lead_in_px,
        tuple(s.time_s for s in kept if s.in_doubt),
        np.array([s.time_s for s in kept], dtype=np.float64),
        _stacked([s.xy_px for s in kept], lm.COUNT, 2),
        _stacked([s.world_m for s in kept], lm.COUNT, 3),
        _stacked([s.visibility for s in kept], lm.COUNT),
        _stacked([s.outline for s in kept], 2, len(BACK_FRACTIONS)),
        Extraction(
            model=model.name,
            model_id=task.model_id,
            runtime=runtime(task.engine),
            sample_rate_hz=task.sample_rate_hz,
            max_side_px=MAX_SIDE_PX,
            look_version=TRACKING_VERSION,
        ),
    )


def join(pieces: Sequence[Piece], info: ClipInfo, people: People) -> PoseTrack:
    """The track of a clip from the pieces of its chunks, in order of time."""
    doubts_s = [t for piece in pieces for t in piece.doubts_s]
    doubts_s += [
        float(after.times_s[0])
        for before, after in itertools.pairwise(pieces)
        if len(before.times_s)
        and len(after.times_s)
        and _apart(before.xy_px[-1], after.lead_in_px) > _SAME_PERSON
    ]

    def joined(part: Callable[[Piece], Singles]) -> Floats:
        # Through single precision, as on disk: the first run equals the cached one.
        return np.concatenate([part(p) for p in pieces]).astype(np.float64)

    return PoseTrack(
        np.concatenate([p.times_s for p in pieces]),
        joined(lambda p: p.xy_px),
        joined(lambda p: p.world_m),
        joined(lambda p: p.visibility),
        np.concatenate([p.outline for p in pieces]),
        info,
        pieces[0].extraction,
        replace(people, doubts_s=tuple(sorted(doubts_s))),
    )


def _apart(a_px: Singles, b_px: Singles) -> float:
    """Distance between two bodies in body sizes; NaN where one is not known."""
    hips = list(lm.HIPS)
    size_px = max(np.hypot(*np.ptp(a_px, axis=0)), np.hypot(*np.ptp(b_px, axis=0)))
    return float(np.hypot(*(a_px[hips] - b_px[hips]).mean(axis=0)) / size_px)


def _stacked(rows: Sequence[NDArray[Any]], *shape: int) -> Singles:
    return np.array(rows, dtype=np.float32).reshape(-1, *shape)
