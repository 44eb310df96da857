"""SubRip: every marker as a subtitle, to lie over the clip. The format has no standard."""

from __future__ import annotations

from annotate.exports.marker_list import MarkerList


def write(markers: MarkerList) -> str:
    """Name and note of every marker."""
    blocks = []
    for i, marker in enumerate(markers.markers, 1):
        start, end = (clock(ms) for ms in markers.units(marker, 1000))
        text = "\n".join(filter(None, (marker.name, marker.note)))
        blocks.append(f"{i}\n{start} --> {end}\n{text}\n")
    return "\n".join(blocks)


def clock(ms: int) -> str:
    """Milliseconds as the format writes them."""
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d},{ms:03d}"
