"""CSV: every marker with seconds as measured and, where the rate is known, timecode."""

from __future__ import annotations

import csv
import io

from annotate.exports.marker_list import MarkerList

COLUMNS = (
    "kind", "name", "note", "start_s", "end_s",
    "start_timecode", "end_timecode", "start_frame", "end_frame",
)  # fmt: skip


def write(markers: MarkerList) -> str:
    """One row a marker. Without a rate the columns of frames stay empty."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(COLUMNS)
    for marker in markers.markers:
        counted: tuple[str | int, ...] = ("", "", "", "")
        if markers.rate is not None:
            first, after = markers.frames(marker)
            counted = (markers.label(first), markers.label(after), first, after)
        row = (marker.kind, marker.name, marker.note, marker.start_s, marker.end_s)
        out.writerow((*row, *counted))
    return text.getvalue()
