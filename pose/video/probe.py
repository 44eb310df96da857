"""Open a clip: what it is, and its pictures with true presentation times.

Time zero is the first picture a player shows: pre-roll hidden by an edit list is left out and a
first time stamp other than zero is subtracted. Times come from the stamps, never from counting,
so variable frame rate needs no special care. Pictures come upright and with square pixels.
"""

from __future__ import annotations

import hashlib
import math
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from av.video.reformatter import Interpolation, VideoReformatter
from numpy.typing import NDArray

from pose.track import ClipInfo
from pose.video.source import Source, name_of, opened
from pose.video.stream import Video, open_video, pictures_from, shown_packets, stamp_of

Floats = NDArray[np.float64]

# Part of a sampling step by which a picture may come early and still count as on time:
# containers that keep milliseconds round 66.67 ms to 67 and 133.33 to 133.
_EARLY = 0.1
# ITU-T H.273 transfer characteristics of high dynamic range.
_HDR_TRANSFER = {16: "smpte2084", 18: "arib-std-b67"}
_SLOW_FRAME_RATE_HZ = 12.0
_CUT_SHORT_S = 1.0
# More than the rounding of a time stamp, less than a picture.
ROUNDING_S = 0.001
# Key frames are rarely further apart: from here on seeking costs less than decoding on.
_SEEK_BEYOND_S = 10.0


@dataclass(frozen=True)
class ClipWarning:
    """Something the user should know although the clip can be judged.

    `code` is short and for programs: hdr, slow-frame-rate, cut-short; `text` is one plain line.
    """

    code: str
    text: str


@dataclass(frozen=True, eq=False)
class ClipProbe:
    """The clip, what to warn of, and where decoding can start.

    Attributes
    ----------
    key_times_s : (k,) float64
        Where decoding can start: 0 and the presentation times of the key frames, increasing.
    times_s : (n,) float64
        Of all pictures, not decreasing.
    stamps : (n,) int64
        Their time stamps as in the file.
    is_spare : (n,) bool
        No other picture is built on this one.
    """

    info: ClipInfo
    warnings: tuple[ClipWarning, ...]
    key_times_s: Floats
    times_s: Floats
    stamps: NDArray[np.int64]
    is_spare: NDArray[np.bool_]


class Frame(NamedTuple):
    """One picture: its time and (h, w, 3) uint8 RGB, upright."""

    time_s: float
    rgb: NDArray[np.uint8]


def probe(path: Source) -> ClipProbe:
    """Read everything there is to know about a clip short of decoding it.

    Raises
    ------
    ClipError
        The file is missing, empty, incomplete, no video, or has no picture in it.
    """
    # Both go through the whole file: side by side, a large one is read from disk only once.
    with open_video(path) as clip, ThreadPoolExecutor(1) as aside:
        sha256 = aside.submit(_sha256, path)
        turns = clip.quarter_turns
        width, height = clip.square_px if turns % 2 == 0 else clip.square_px[::-1]
        transfer = int(clip.first.color_trc)
        stated_s = clip.stated_s
        start, base = stamp_of(clip.first), clip.stream.time_base
        packets = shown_packets(clip)
    times_s = np.array([(p.stamp - start) * base for p in packets], dtype=np.float64)
    # The first picture can always be decoded, even where its key frame is hidden pre-roll.
    keys = {start, *(p.stamp for p in packets if p.is_key)}
    key_times_s = np.array([(key - start) * base for key in sorted(keys)], dtype=np.float64)
    steps_s = np.diff(times_s)
    steps_s = steps_s[steps_s > 0]
    step_s = float(np.median(steps_s)) if len(steps_s) else 0.0
    info = ClipInfo(
        name=name_of(path),
        sha256=sha256.result(),
        duration_s=float(times_s[-1]) + (float(packets[-1].duration * base) or step_s),
        frame_rate=len(steps_s) / float(steps_s.sum()) if len(steps_s) else 0.0,
        variable_frame_rate=_uneven(steps_s, step_s),
        width=width,
        height=height,
        rotation_deg=90 * turns,
    )
    return ClipProbe(
        info,
        tuple(_warnings(info, transfer, stated_s)),
        key_times_s,
        times_s,
        np.array([p.stamp for p in packets], dtype=np.int64),
        np.array([p.is_spare for p in packets], dtype=bool),
    )


def needless(clip: ClipProbe, sample_rate_hz: float) -> frozenset[int]:
    """Stamps of the pictures that need not be decoded to have one in every sampling step.

    A step with a picture that others are built on is given by that one: it is decoded anyway.
    In a step without, the first picture is.
    """
    cells = np.floor(clip.times_s * sample_rate_hz + _EARLY).astype(np.int64)
    served = np.isin(cells, cells[~clip.is_spare])
    first = np.diff(cells, prepend=-1) > 0
    drop = clip.is_spare & (served | ~first)
    drop[0] = False  # time zero is known by decoding it
    return frozenset(clip.stamps[drop].tolist())


def frames(
    path: Source,
    *,
    sample_rate_hz: float,
    start_s: float = 0.0,
    end_s: float = math.inf,
    max_side_px: int = 640,
    passed_over: frozenset[int] = frozenset(),
) -> Iterator[Frame]:
    """Decode pictures at about `sample_rate_hz`, upright and scaled down, in order of time.

    Time is cut into cells of one sampling step that begin at 0, whatever `start_s`; the first
    picture of each cell is given, with its own time. A clip slower than the rate so gives all
    its pictures, and two calls that share a stretch of time give the same pictures there.

    Parameters
    ----------
    start_s, end_s : float
        Only pictures with ``start_s <= time < end_s``. Decoding begins at the key frame before.
    max_side_px : int
        The longer side of the pictures given; smaller pictures are not enlarged.
    passed_over : frozenset of int
        Pictures that are not decoded, see :func:`needless`.

    Raises
    ------
    ClipError
        As :func:`probe`.
    """
    cell_s = 1.0 / sample_rate_hz
    last_cell, last_s = -1, -math.inf
    upright = _Upright(max_side_px)
    with open_video(path, passed_over) as clip:
        # One cell early, to know whether a picture at the very start is the first of its cell.
        for picture in pictures_from(clip, start_s - cell_s):
            time_s = clip.time_s(picture)
            if time_s >= end_s:
                return
            cell = math.floor(time_s / cell_s + _EARLY)
            if cell <= last_cell or time_s <= last_s:
                continue
            last_cell, last_s = cell, time_s
            if time_s >= start_s:
                yield Frame(time_s, upright(clip, picture))


def pictures_at(path: Source, times_s: Sequence[float]) -> Iterator[Frame | None]:
    """The first picture at or after each of some increasing times, in full size.

    Decoding goes on from one to the next where that is near, so that several of one round cost
    little more than one.

    Yields
    ------
    Frame or None
        None behind the last picture.

    Raises
    ------
    ClipError
        As :func:`probe`.
    """
    upright = _Upright(max_side_px=sys.maxsize)
    with open_video(path) as clip:
        pictures: Iterator[Any] = iter(())
        picture: Any = None
        for at_s in times_s:
            start_s = max(0.0, at_s - ROUNDING_S)
            if picture is None or start_s - clip.time_s(picture) > _SEEK_BEYOND_S:
                pictures = pictures_from(clip, start_s)
                picture = next(pictures, None)
            while picture is not None and clip.time_s(picture) < start_s:
                picture = next(pictures, None)
            yield picture and Frame(clip.time_s(picture), upright(clip, picture))


def _warnings(info: ClipInfo, transfer: int, stated_s: float) -> Iterator[ClipWarning]:
    if transfer in _HDR_TRANSFER:
        yield ClipWarning(
            "hdr",
            f"{info.name}: high dynamic range video ({_HDR_TRANSFER[transfer]}); colours are read "
            "as standard range, which may cost some accuracy. Film in standard range.",
        )
    if 0 < info.frame_rate < _SLOW_FRAME_RATE_HZ:
        yield ClipWarning(
            "slow-frame-rate",
            f"{info.name}: only {info.frame_rate:.1f} pictures a second; fast repetitions may be "
            "missed. Film at 25 or more.",
        )
    if stated_s - info.duration_s > _CUT_SHORT_S:
        yield ClipWarning(
            "cut-short",
            f"{info.name}: says it lasts {stated_s:.1f} s but its pictures end at "
            f"{info.duration_s:.1f} s; the file may be cut short. Copy it again.",
        )


# What films usually are; the scaler reads other kinds of picture that it cannot write.
_SCALED_AS_IT_IS = frozenset(
    {"yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuv420p10le", "yuv422p10le"}
)


class _Upright:
    """Pictures of one clip scaled down, as RGB, the right way up.

    Scaling in the film's own colours and turning only the small picture into RGB takes half as
    long as both at once, and keeping the scalers another third less. A pixel is the mean of those
    it stands for.
    """

    def __init__(self, max_side_px: int) -> None:
        self._max_side_px = max_side_px
        self._scaler, self._colours = VideoReformatter(), VideoReformatter()

    def __call__(self, clip: Video, picture: Any) -> NDArray[np.uint8]:
        width, height = clip.square_px
        scale = min(1.0, self._max_side_px / max(width, height))
        small = self._scaler.reformat(
            picture,
            format=None if picture.format.name in _SCALED_AS_IT_IS else "rgb24",
            width=max(1, round(width * scale)),
            height=max(1, round(height * scale)),
            interpolation=Interpolation.AREA,
            threads=1,
        )
        rgb = self._colours.reformat(small, format="rgb24", threads=1).to_ndarray()
        return np.ascontiguousarray(np.rot90(rgb, -clip.quarter_turns), dtype=np.uint8)


def _uneven(steps_s: Floats, step_s: float) -> bool:
    """True when over 1 % of the steps are a fifth or more off the usual one."""
    # A tick of tolerance for clips whose stamps are rounded to milliseconds.
    off = np.abs(steps_s - step_s) > 0.2 * step_s + 0.0011
    return bool(len(steps_s) and off.mean() > 0.01)


def _sha256(path: Source) -> str:
    with opened(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
