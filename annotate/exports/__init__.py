"""Markers of a review in the formats of editors and players, and the list of all formats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from annotate.errors import ExportError
from annotate.exports import csv_table, edl, ffmetadata, matroska, otio, srt, webvtt
from annotate.exports.marker_list import MarkerList
from annotate.exports.markers import markers_of
from annotate.exports.timecode import Rate, nearest_rate, rate_named, usual_rate
from annotate.review.model import Review


class Format(NamedTuple):
    """How one format is written, and what its files are called."""

    write: Callable[[MarkerList], str]
    suffix: str
    media_type: str
    # The format counts frames, so it cannot be written without a rate.
    in_frames: bool = False


FORMATS = {
    "webvtt": Format(webvtt.chapters, ".chapters.vtt", "text/vtt"),
    "webvtt-metadata": Format(webvtt.metadata, ".metadata.vtt", "text/vtt"),
    "srt": Format(srt.write, ".markers.srt", "application/x-subrip"),
    "edl": Format(edl.write, ".edl", "text/plain", in_frames=True),
    "otio": Format(otio.write, ".otio", "application/json", in_frames=True),
    "chapters": Format(ffmetadata.write, ".ffmetadata", "text/plain"),
    "matroska": Format(matroska.write, ".chapters.xml", "application/xml"),
    "csv": Format(csv_table.write, ".markers.csv", "text/csv"),
}


@dataclass(frozen=True)
class Exported:
    """The text of an exported file, and what to warn its user of."""

    text: str
    suffix: str
    media_type: str
    warnings: tuple[str, ...]


def export(
    review: Review, format: str, rate: str | None = None, start: str | None = None
) -> Exported:
    """Write the markers of a review as the text of a file.

    Parameters
    ----------
    review : Review
    format : str
        One of :data:`FORMATS`.
    rate : str or None
        One of :data:`annotate.exports.timecode.RATES`; by default the clip's own.
    start : str or None
        Timecode of the clip's first picture; 00:00:00:00 by default.

    Raises
    ------
    ExportError
        An unknown format or rate, or a start that does not exist at the rate.
    """
    if format not in FORMATS:
        raise ExportError(f'"{format}" is not a format; choose one of {", ".join(FORMATS)}')
    chosen = FORMATS[format]
    markers, warnings = marker_list(review, rate, start, in_frames=chosen.in_frames)
    return Exported(chosen.write(markers), chosen.suffix, chosen.media_type, warnings)


def marker_list(
    review: Review, rate: str | None = None, start: str | None = None, *, in_frames: bool = False
) -> tuple[MarkerList, tuple[str, ...]]:
    """Collect the markers of a review with the rate to count frames in, and what to warn of.

    Parameters
    ----------
    review : Review
    rate, start : str or None
        As for :func:`export`.
    in_frames : bool
        Whether the format needs a rate; without it a clip of varying rate is written in seconds.

    Raises
    ------
    ExportError
        An unknown rate, a start that does not exist at the rate, or a start without a rate.
    """
    counted, warnings = _rate(review, rate, in_frames)
    if start is not None and counted is None:
        raise ExportError(f'{review.clip.name}: give the rate of "{start}" with --rate')
    markers = MarkerList(
        clip_name=review.clip.name,
        duration_s=review.clip.duration_s,
        markers=markers_of(review),
        rate=counted,
        start_frame=counted.frame_of_label(start) if counted and start else 0,
    )
    return markers, warnings


def _rate(
    review: Review, named: str | None, in_frames: bool
) -> tuple[Rate | None, tuple[str, ...]]:
    """Choose the rate to count frames in, or None to write seconds; and what to warn of."""
    clip = review.clip
    asked = None if named is None else rate_named(named)
    if not clip.variable_frame_rate:
        rate = asked or usual_rate(clip.frame_rate)
        if rate is not None or not in_frames:
            return rate, ()
        rate = nearest_rate(clip.frame_rate)
        return rate, (
            f"{clip.name}: {clip.frame_rate:.3f} frames a second is not a rate that editors use; "
            f"written at {rate.name}. Give the rate of your timeline with --rate.",
        )
    shift = (
        "an editor that assumes a fixed rate may show the markers elsewhere; "
        "--format csv has their times in seconds"
    )
    if asked is None and not in_frames:
        return None, (f"{clip.name}: its frame rate varies: {shift}.",)
    rate = asked or nearest_rate(clip.frame_rate)
    return rate, (
        f"{clip.name}: its frame rate varies ({clip.frame_rate:.2f} on average) and this is "
        f"written at {rate.name}: {shift}.",
    )
