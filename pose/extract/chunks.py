"""A clip cut into chunks that any machine can work on, in any order, joined without a seam.

A chunk's :class:`Task` holds everything that a thread, a process or another machine needs for it.
The result is a :class:`Piece` of the track.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.engine import Engine, chosen_engine, open_landmarker, runtime
from pose.body.follow import Sample, follow
from pose.body.landmarker import Landmarker
from pose.body.model import model_file, model_id
from pose.body.people import Place, find_main_person
from pose.errors import ModelError
from pose.track import BACK_FRACTIONS, ClipInfo, Extraction, PoseTrack
from pose.video.decode import STAMP_ROUNDING_S, disposable_stamps, frames
from pose.video.probe import ClipProbe, probe
from pose.video.source import Source

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

# Carries movement up to 7.5 Hz; signals are cut off at 6 (see pose/signals/compute.py).
SAMPLE_RATE_HZ = 15.0
# Goes up when pictures are prepared or people followed in another way; part of the cache key.
TRACKING_VERSION = 4
# The landmark network sees a person on 256 pixels, so one who takes up two fifths of the picture
# loses nothing.
MAX_SIDE_PX = 640
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
# Pictures in which the main person is searched, evenly over the clip: who is in most of the class
# is in one of them.
_MAIN_PERSON_PICTURES = 5


@dataclass(frozen=True)
class Chunk:
    """A stretch of time to work on; decoding starts at `from_s`, before it."""

    from_s: float
    start_s: float
    end_s: float


@dataclass(frozen=True, eq=False)
class Survey:
    """What has to be known of the whole clip before its chunks, such as the main person."""

    clip: ClipProbe
    main: Place | None
    model_id: str
    engine: Engine


@dataclass(frozen=True, eq=False)
class Task:
    """One chunk to work on.

    Attributes
    ----------
    shown_px : (width, height)
    main : Place or None
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
    main: Place | None
    model_id: str
    engine: Engine
    sample_rate_hz: float
    skip: frozenset[int]


@dataclass(frozen=True, eq=False)
class Piece:
    """Samples of one chunk, rows as in :class:`pose.track.PoseTrack`; single precision."""

    times_s: Floats
    xy_px: Singles
    world_m: Singles
    visibility: Singles
    outline: Singles
    extraction: Extraction


def survey(source: Source, clip: ClipProbe | None = None) -> Survey:
    """Find out what has to be known of the whole clip.

    Parameters
    ----------
    source : path or address
    clip : ClipProbe or None
        Its probe, if already made.

    Raises
    ------
    ClipError, ModelError
    """
    clip = clip or probe(source)
    model = model_file()
    # The main person is the largest at a few key frames all over the clip.
    keys_s = clip.key_times_s
    picks = np.linspace(0, len(keys_s) - 1, _MAIN_PERSON_PICTURES).round().astype(int)
    every = 1e3  # pictures a second: all there are
    pictures = (
        next(
            frames(
                source,
                sample_rate_hz=every,
                start_s=_after_key(s, every),
                max_side_px=MAX_SIDE_PX,
            ),
            None,
        )
        for s in keys_s[np.unique(picks)]
    )
    engine = chosen_engine()
    with open_landmarker(model, engine) as landmarker:
        main = find_main_person((p for p in pictures if p is not None), landmarker)
    return Survey(clip, main, model_id(model), engine)


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
                main=seen.main,
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
        start_s=_after_key(chunk.from_s, task.sample_rate_hz),
        end_s=chunk.end_s,
        max_side_px=MAX_SIDE_PX,
        skip=task.skip,
    )
    kept: list[Sample] = []
    opened = nullcontext(landmarker) if landmarker else open_landmarker(model, task.engine)
    with opened as own:
        for sample in follow(pictures, task.shown_px, own, task.main):
            if at is not None:
                at(max(0.0, sample.time_s - chunk.start_s))
            if sample.time_s >= chunk.start_s:
                kept.append(sample)
    return Piece(
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


def join(pieces: Sequence[Piece], info: ClipInfo) -> PoseTrack:
    """The track of a clip from the pieces of its chunks, in order of time."""

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
    )


def _after_key(key_s: float, sample_rate_hz: float) -> float:
    """The start to ask for so that decoding begins at this key frame.

    Decoding begins one sampling step early: asked for the key frame itself, it would decode
    everything from the key frame before.
    """
    return key_s + 1 / sample_rate_hz + STAMP_ROUNDING_S if key_s > 0 else 0.0


def _stacked(rows: Sequence[NDArray[Any]], *shape: int) -> Singles:
    return np.array(rows, dtype=np.float32).reshape(-1, *shape)
