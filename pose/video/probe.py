"""What a clip is, short of decoding it: size, length, frame rate, when each picture is shown.

Time zero is the first picture a player shows: pre-roll hidden by an edit list is left out and a
first time stamp other than zero is subtracted. Times come from the stamps, never from counting,
so variable frame rate needs no special care.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pose.errors import ClipError
from pose.track import ClipInfo
from pose.video.container import open_video, shown_packets, stamp_of
from pose.video.source import Source, name_of, open_bytes

Floats = NDArray[np.float64]

# ITU-T H.273 transfer characteristics of high dynamic range.
_HDR_TRANSFER = {16: "smpte2084", 18: "arib-std-b67"}
# Three pictures a repetition at four repetitions a second, the fastest that are counted.
_SLOW_FRAME_RATE_HZ = 12.0
# Sound may go on for a moment after the last picture, but not for this long.
_CUT_SHORT_S = 1.0
# What happens between two pictures further apart is told nowhere: as long as an absence
# (annotate/periods/segment.py).
_MIN_HOLE_S = 2.0
# Nobody stops the camera for longer in one take: such stamps are damaged. Signals over days of
# nothing would fill the memory.
_MAX_HOLE_S = 3600.0


@dataclass(frozen=True)
class ClipWarning:
    """Something the user should know although the clip can be judged.

    `code` is short and for programs: hdr, slow-frame-rate, hole, cut-short; `text` is one plain
    line.
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
    is_disposable : (n,) bool
        No other picture refers to this one.
    """

    info: ClipInfo
    warnings: tuple[ClipWarning, ...]
    key_times_s: Floats
    times_s: Floats
    stamps: NDArray[np.int64]
    is_disposable: NDArray[np.bool_]


def probe(path: Source) -> ClipProbe:
    """Read everything that a clip tells without decoding it.

    Raises
    ------
    ClipError
        The file is missing, empty, incomplete, no video, has no picture in it, or pictures hours
        apart.
    """
    # Both read the whole file. Side by side, a large one comes from the disk only once.
    with open_video(path) as clip, ThreadPoolExecutor(1) as aside:
        sha256 = aside.submit(_sha256, path)
        turns = clip.quarter_turns
        width, height = clip.display_size_px if turns % 2 == 0 else clip.display_size_px[::-1]
        transfer = int(clip.first.color_trc)
        stated_duration_s = clip.stated_duration_s
        start, base = stamp_of(clip.first), clip.stream.time_base
        packets = shown_packets(clip)
    times_s = np.array([(p.stamp - start) * base for p in packets], dtype=np.float64)
    # The first picture can always be decoded, even where its key frame is hidden pre-roll.
    keys = {start, *(p.stamp for p in packets if p.is_key)}
    key_times_s = np.array([(key - start) * base for key in sorted(keys)], dtype=np.float64)
    steps_s = np.diff(times_s)
    if len(steps_s) and steps_s.max() > _MAX_HOLE_S:
        hours = steps_s.max() / 3600
        raise ClipError(
            f"{path}: its time stamps are damaged, they jump by {hours:.0f} hours; export the "
            "video again"
        )
    steps_s = steps_s[steps_s > 0]
    step_s = float(np.median(steps_s)) if len(steps_s) else 0.0
    info = ClipInfo(
        name=name_of(path),
        sha256=sha256.result(),
        duration_s=float(times_s[-1]) + (float(packets[-1].duration * base) or step_s),
        frame_rate=_mean_rate_hz(steps_s),
        variable_frame_rate=_uneven(steps_s, step_s),
        width=width,
        height=height,
        rotation_deg=90 * turns,
    )
    return ClipProbe(
        info,
        (*_warnings(info, transfer, stated_duration_s), *_holes(info.name, times_s)),
        key_times_s,
        times_s,
        np.array([p.stamp for p in packets], dtype=np.int64),
        np.array([p.is_disposable for p in packets], dtype=bool),
    )


def _warnings(info: ClipInfo, transfer: int, stated_duration_s: float) -> Iterator[ClipWarning]:
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
    if stated_duration_s - info.duration_s > _CUT_SHORT_S:
        yield ClipWarning(
            "cut-short",
            f"{info.name}: says it lasts {stated_duration_s:.1f} s but its pictures end at "
            f"{info.duration_s:.1f} s; the file may be cut short. Copy it again.",
        )


def _holes(name: str, times_s: Floats) -> Iterator[ClipWarning]:
    steps_s = np.diff(times_s)
    holes = int((steps_s >= _MIN_HOLE_S).sum())
    if not holes:
        return
    longest = int(np.argmax(steps_s))
    more = f", and {holes - 1} more {'hole' if holes == 2 else 'holes'}" if holes > 1 else ""
    yield ClipWarning(
        "hole",
        f"{name}: no pictures from {times_s[longest]:.1f} s to {times_s[longest + 1]:.1f} s{more}; "
        "what happened there cannot be judged.",
    )


def _mean_rate_hz(steps_s: Floats) -> float:
    """Mean rate without the holes; of a clip that is nothing but holes, with them."""
    usual_s = steps_s[steps_s < _MIN_HOLE_S]
    steps_s = usual_s if len(usual_s) else steps_s
    return len(steps_s) / float(steps_s.sum()) if len(steps_s) else 0.0


def _uneven(steps_s: Floats, step_s: float) -> bool:
    """True when more than 1 % of the steps differ from the usual one by a fifth or more."""
    # And by more than a tick: some clips have stamps rounded to milliseconds.
    off = np.abs(steps_s - step_s) > 0.2 * step_s + 0.0011
    return bool(len(steps_s) and off.mean() > 0.01)


def _sha256(path: Source) -> str:
    with open_bytes(path) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
