"""CSV: every marker with seconds as measured and, where the rate is known, timecode."""

from __future__ import annotations

from collections.abc import Iterator

from annotate.exports.marker_list import MarkerList
from annotate.text import csv_text

COLUMNS = (
    "kind", "name", "note", "start_s", "end_s",
    "start_timecode", "end_timecode", "start_frame", "end_frame",
)  # fmt: skip


def write(markers: MarkerList) -> str:
    """Write one row for each marker; without a rate the columns of frames stay empty."""
    return csv_text(COLUMNS, _rows(markers))


def _rows(markers: MarkerList) -> Iterator[tuple[object, ...]]:
    for marker in markers.markers:
        counted: tuple[object, ...] = (None,) * 4
        if markers.rate is not None:
            first, after = markers.frames(marker)
            counted = (markers.label(first), markers.label(after), first, after)
        yield (marker.kind, marker.name, marker.note, marker.start_s, marker.end_s, *counted)
