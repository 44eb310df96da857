"""Chapters in a copy of the clip: pictures and sound are copied, not encoded again."""

from __future__ import annotations

import os
import tempfile
from fractions import Fraction
from pathlib import Path

import av

from annotate.errors import ExportError
from annotate.exports.marker_list import MarkerList
from annotate.text import amount
from pose.track import ClipInfo
from pose.video.probe import probe

# Containers with chapters that players read.
SUFFIXES = (".mp4", ".mov", ".m4v", ".mkv", ".webm")
# A clip whose length differs by more than this is not the one that was reviewed. Encoding a clip
# again moves its end by a few pictures (a tenth of a second at 25 a second).
_SAME_LENGTH_S = 0.5
_KEPT = ("video", "audio", "subtitle")


def write_into_copy(markers: MarkerList, sha256: str, clip: Path, out: Path) -> tuple[str, ...]:
    """Write a copy of `clip` with the periods as chapters.

    Parameters
    ----------
    markers : MarkerList
    sha256 : str
        Hash of the clip that was reviewed.
    clip, out : Path
        The clip and the copy.

    Returns
    -------
    tuple of str
        What to warn of.

    Raises
    ------
    ExportError
        `clip` is not the one that was reviewed, a container has no chapters, or `out` cannot be
        written.
    ClipError
        `clip` cannot be opened.
    """
    if clip.suffix.lower() not in SUFFIXES or out.suffix.lower() not in SUFFIXES:
        raise ExportError(
            f"{clip}: chapters can be written into {', '.join(SUFFIXES)}; "
            "use --format chapters without --into for a file of their own"
        )
    if out.exists() and out.samefile(clip):
        raise ExportError(f"{out}: this is the clip itself; name another file with --out")
    warnings = _same_clip(probe(clip).info, sha256, markers.duration_s, clip)
    if not out.parent.is_dir():
        raise ExportError(f"{out.parent}: no such folder; make it first or change --out")
    try:
        # Written beside the target and then renamed, so that no half-written copy remains.
        handle, name = tempfile.mkstemp(prefix=".chapters.", suffix=out.suffix, dir=out.parent)
        os.close(handle)
        try:
            left_out = _copy(markers, clip, Path(name))
            os.replace(name, out)
        finally:
            Path(name).unlink(missing_ok=True)
    except (OSError, av.FFmpegError) as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ExportError(f"{out}: cannot be written ({reason})") from error
    if left_out:
        warnings = (*warnings, f"{clip.name}: {amount(left_out, 'data stream')} not copied.")
    return warnings


def _same_clip(info: ClipInfo, sha256: str, duration_s: float, clip: Path) -> tuple[str, ...]:
    if info.sha256 == sha256:
        return ()
    if abs(info.duration_s - duration_s) > _SAME_LENGTH_S:
        raise ExportError(
            f"{clip}: lasts {info.duration_s:.1f} s, the reviewed clip {duration_s:.1f} s; "
            "its chapters would be in the wrong places"
        )
    return (
        f"{clip.name}: not the file that was reviewed, but of the same length; check that the "
        "chapters fit.",
    )


def _copy(markers: MarkerList, clip: Path, target: Path) -> int:
    """Copy packet by packet; return how many streams could not be copied."""
    with av.open(str(clip.resolve())) as source, av.open(str(target), "w") as copy:
        kept = {
            s.index: copy.add_stream_from_template(s) for s in source.streams if s.type in _KEPT
        }
        for index, stream in kept.items():
            stream.metadata.update(source.streams[index].metadata)
        copy.metadata.update(source.metadata)
        film = source.streams.video[0]
        # Chapters count from the file's zero, ours from the first picture.
        zero_ms = round(1000 * (film.start_time or 0) * film.time_base)
        copy.set_chapters(
            [
                {
                    "id": i,
                    "start": zero_ms + start,
                    "end": zero_ms + end,
                    "time_base": Fraction(1, 1000),
                    "metadata": {"title": name},
                }
                for i, (start, end, name) in enumerate(
                    ((*markers.units(m, 1000), m.name) for m in markers.chapters), 1
                )
            ]
        )
        for packet in source.demux(*(source.streams[i] for i in kept)):
            if packet.size == 0:  # the demuxer's mark of the end
                continue
            packet.stream = kept[packet.stream.index]
            copy.mux(packet)
        return len(source.streams) - len(kept)
