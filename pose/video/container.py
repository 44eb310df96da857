"""A video container opened for decoding: the film stream, its pictures, its time stamps.

Everything that knows about containers and decoders is here. :mod:`pose.video.probe` makes facts
about the clip of it, :mod:`pose.video.decode` and :mod:`pose.video.stills` make upright pictures.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from typing import Any, NamedTuple

import av
from av.stream import Disposition

from pose.errors import ClipError
from pose.video.reference import reference_reader
from pose.video.refusals import check_file, explain_refusal
from pose.video.source import Source, open_container

# Some containers only seek roughly and land late. Then the goal is put further back, and in the
# end the clip is read from the start. Key frames are mostly a second or two apart, at most ten in
# common encoders (250 pictures at 25 a second).
_SEEK_BACK_S = (0.0, 2.0, 10.0)


@dataclass(frozen=True)
class Video:
    """An open container, and the first picture that is shown.

    `skip` are the stamps of coded pictures that are skipped, not decoded.
    """

    source: Source
    skip: frozenset[int]
    container: Any
    stream: Any
    decoded: Iterator[Any]
    first: Any

    def time_s(self, picture: Any) -> float:
        """Seconds from the first shown picture."""
        ticks = stamp_of(picture) - stamp_of(self.first)
        return float(ticks * self.stream.time_base)

    @property
    def stated_duration_s(self) -> float:
        """Length of the film by the file's own statement, seconds; 0 where there is none."""
        if self.stream.duration:
            return float(self.stream.duration * self.stream.time_base)
        return float((self.container.duration or 0) / av.time_base)

    @property
    def quarter_turns(self) -> int:
        """Clockwise quarter turns that bring the picture upright."""
        # PyAV gives the angle counter-clockwise, -180 to 180.
        return int(round(-self.first.rotation / 90) % 4)

    @property
    def display_size_px(self) -> tuple[int, int]:
        """Width and height with square pixels, before rotation."""
        ratio = self.stream.sample_aspect_ratio or 1
        return max(1, round(self.first.width * ratio)), int(self.first.height)


class Packet(NamedTuple):
    """One coded picture: stamp and duration in ticks of the stream's time base.

    `is_disposable`: no other picture refers to it.
    """

    stamp: int
    duration: int
    is_key: bool
    is_disposable: bool


@contextmanager
def open_video(source: Source, skip: frozenset[int] = frozenset()) -> Iterator[Video]:
    """Open a clip up to the first picture that is shown.

    Raises
    ------
    ClipError
        It cannot be opened or has no picture; the message is one line.
    """
    check_file(source)
    with ExitStack() as stack:
        try:
            container = stack.enter_context(open_container(source))
        except av.FFmpegError as error:
            raise ClipError(explain_refusal(source, error)) from error
        stream = _video_stream(container, source)
        # Several chunks at once keep the cores busy. A decoder that works on several pictures at
        # once takes a tenth more time and memory for each of them (docs/measurements.md).
        stream.thread_type = "SLICE"
        decoded = _decode(container, stream, skip)
        first = next(decoded, None)
        if first is None:
            raise ClipError(f"{source}: not one picture can be decoded; export the video again")
        yield Video(source, skip, container, stream, decoded, first)


def shown_packets(clip: Video) -> list[Packet]:
    """The coded pictures that are shown, in order of presentation; at least one."""
    start = stamp_of(clip.first)
    coded = clip.stream.codec_context
    use_of = reference_reader(coded.name, coded.extradata)
    found: list[tuple[Packet, int]] = []
    # Opened again: not every container goes back exactly to its start. A damaged file ends where
    # it can no longer be read.
    with open_container(clip.source) as container, suppress(av.FFmpegError):
        for p in container.demux(container.streams[clip.stream.index]):
            if p.size and _has_stamp(p) and not p.is_discard and stamp_of(p) >= start:
                referred, layer = use_of(p)
                # Without a stamp of its own a packet cannot be told from its neighbours later.
                disposable = not referred and p.pts is not None
                packet = Packet(stamp_of(p), p.duration or 0, bool(p.is_keyframe), disposable)
                found.append((packet, layer))
    top = max((layer for _, layer in found), default=0)
    packets = [p._replace(is_disposable=p.is_disposable and layer == top) for p, layer in found]
    return sorted(packets) or [Packet(start, 0, True, False)]


def _video_stream(container: Any, path: Source) -> Any:
    """The film in the file. Cover art and still pictures do not count."""
    if container.format.name in {"tty", "image2"} or container.format.name.endswith("_pipe"):
        raise ClipError(f"{path}: not a video ({container.format.long_name}); choose a video file")
    films = [s for s in container.streams.video if not s.disposition & Disposition.attached_pic]
    if not films:
        kinds = sorted({s.type for s in container.streams if s.type != "video"})
        found = f"only {' and '.join(kinds)}" if kinds else "nothing to play"
        raise ClipError(f"{path}: no video in this file, {found}; choose the filmed clip")
    best = container.streams.best("video")
    return best if best in films else films[0]


def _decode(container: Any, stream: Any, skip: frozenset[int]) -> Iterator[Any]:
    """Pictures in order of presentation, without damaged packets and those to skip."""
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets, None)
            if packet is None:
                return
            if packet.pts in skip:
                continue
            pictures = packet.decode()
        except av.EOFError:
            return
        except av.FFmpegError:
            continue
        yield from (p for p in pictures if _has_stamp(p))


def pictures_from(clip: Video, start_s: float) -> Iterator[Any]:
    """Pictures from the last key frame at or before `start_s`."""
    if start_s <= 0:
        yield clip.first
        yield from clip.decoded
        return
    for back_s in _SEEK_BACK_S:
        goal = stamp_of(clip.first) + math.floor((start_s - back_s) / clip.stream.time_base)
        try:
            clip.container.seek(goal, stream=clip.stream, backward=True)
        except av.FFmpegError:
            continue
        decoded = _decode(clip.container, clip.stream, clip.skip)
        picture = next(decoded, None)
        if picture is not None and clip.time_s(picture) <= start_s:
            yield picture
            yield from decoded
            return
    with open_video(clip.source, clip.skip) as afresh:
        yield from pictures_from(afresh, 0.0)


def _has_stamp(timed: Any) -> bool:
    return timed.pts is not None or timed.dts is not None


def stamp_of(timed: Any) -> int:
    """Presentation stamp of a packet or picture. AVI has decoding stamps only."""
    return int(timed.pts if timed.pts is not None else timed.dts)
