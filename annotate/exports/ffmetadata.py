"""FFMETADATA: chapters as FFmpeg reads them (FFmpeg documentation, "Metadata")."""

from __future__ import annotations

import re

from annotate.exports.marker_list import MarkerList


def write(markers: MarkerList) -> str:
    """Write the periods as chapters in milliseconds.

    TIMEBASE is always written, so that the times do not depend on a reader's default.
    """
    lines = [";FFMETADATA1"]
    for marker in markers.chapters:
        start, end = markers.units(marker, 1000)
        lines += ["", "[CHAPTER]", "TIMEBASE=1/1000", f"START={start}", f"END={end}"]
        lines.append(f"title={_escaped(marker.name)}")
    return "\n".join(lines) + "\n"


def _escaped(text: str) -> str:
    return re.sub(r"[=;#\\\n]", r"\\\g<0>", text)
