"""SubRip: every marker as a subtitle over the clip. The format has no standard."""

from __future__ import annotations

from annotate.exports.marker_list import MarkerList
from annotate.text import stamp


def write(markers: MarkerList) -> str:
    """Write name and note of every marker as a subtitle."""
    blocks = []
    for i, marker in enumerate(markers.markers, 1):
        start, end = (stamp(ms, ",") for ms in markers.units(marker, 1000))
        text = "\n".join(filter(None, (marker.name, marker.note)))
        blocks.append(f"{i}\n{start} --> {end}\n{text}\n")
    return "\n".join(blocks)
