"""A copy of a clip that every browser plays, for clips that some do not.

Phones film HEVC and older cameras write AVI, which some browsers do not play; the page needs the
picture. The copy keeps the time stamps of pictures and sound.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from numpy.typing import NDArray

from pose.cache import atomic_write
from pose.video.decode import frames
from pose.video.sound import RATE_HZ, sound

MAX_SIDE_PX = 960
PICTURES_PER_S = 15.0
_TICKS_PER_S = 90_000
_QUALITY = "26"  # x264 constant rate factor
_PLAYED_CODECS = {"h264": {"mp4", "matroska"}, "vp8": {"webm"}, "vp9": {"webm", "mp4"},
           "av1": {"webm", "mp4"}, "libdav1d": {"webm", "mp4"}}  # fmt: skip
_PLAYED_PIXELS = {"yuv420p", "yuvj420p"}


def every_browser_plays(clip: Path) -> bool:
    """Whether all browsers play this container, codec and pixel format."""
    try:
        with av.open(str(clip)) as container:
            codec = container.streams.video[0].codec_context
            names = set(container.format.name.split(","))
            played_in = _PLAYED_CODECS.get(codec.name.removeprefix("lib"))
            played_in = played_in or _PLAYED_CODECS.get(codec.name, set())
            return codec.pix_fmt in _PLAYED_PIXELS and bool(names & played_in)
    except (av.FFmpegError, OSError, IndexError):
        return False


def write_preview(
    clip: Path, copy: Path, duration_s: float, progress: Callable[[float], None]
) -> None:
    """Write the copy, completely or not at all.

    Parameters
    ----------
    tell : callable
        Called with the fraction done, 0 to 1; may raise to stop.
    """
    with atomic_write(copy) as partial:
        options = {"movflags": "+faststart"}
        with av.open(str(partial), "w", format="mp4", options=options) as out:
            streams = _video_packets(out, clip), _audio_packets(out, clip)
            # Interleaved by time, so that a player need not buffer one to wait for the other.
            for packet in heapq.merge(*streams, key=lambda p: p.dts * p.time_base):
                out.mux(packet)
                progress(min(1.0, float(packet.dts * packet.time_base) / max(duration_s, 1e-9)))


def _video_packets(out: Any, clip: Path) -> Iterator[Any]:
    stream = None
    for found in frames(clip, sample_rate_hz=PICTURES_PER_S, max_side_px=MAX_SIDE_PX):
        rgb = _even_sides(found.rgb)
        if stream is None:
            stream = out.add_stream(
                "libx264", rate=round(PICTURES_PER_S),
                options={"crf": _QUALITY, "preset": "veryfast", "bf": "0", "g": "30"},
            )  # fmt: skip
            stream.height, stream.width = rgb.shape[:2]
            stream.pix_fmt = "yuv420p"
            stream.codec_context.time_base = Fraction(1, _TICKS_PER_S)
        picture = av.VideoFrame.from_ndarray(rgb, format="rgb24")
        picture.pts, picture.time_base = (
            round(found.time_s * _TICKS_PER_S),
            Fraction(1, _TICKS_PER_S),
        )
        yield from stream.encode(picture)
    if stream is not None:
        yield from stream.encode(None)


def _even_sides(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with an odd side one pixel longer, since yuv420p needs even sides.

    The last row or column is repeated.
    """
    height, width = rgb.shape[:2]
    return np.pad(rgb, ((0, height % 2), (0, width % 2), (0, 0)), mode="edge")


def _audio_packets(out: Any, clip: Path) -> Iterator[Any]:
    stream = None
    given = 0
    for block in sound(clip):
        if stream is None:
            stream = out.add_stream("aac", rate=RATE_HZ, layout="mono")
        part = av.AudioFrame.from_ndarray(block[None, :], format="fltp", layout="mono")
        part.sample_rate, part.pts, part.time_base = RATE_HZ, given, Fraction(1, RATE_HZ)
        given += len(block)
        yield from stream.encode(part)
    if stream is not None:
        yield from stream.encode(None)
