"""WebVTT: chapters for players, or all markers as a metadata track (W3C WebVTT, 2019)."""

from __future__ import annotations

import html
import json
from collections.abc import Iterable

from annotate.exports.marker_list import MarkerList
from annotate.exports.markers import Marker
from annotate.text import stamp


def chapters(markers: MarkerList) -> str:
    """Write the periods as a chapters track: titles only, without overlaps."""
    # Escaping ">" keeps "-->" out of the text, which the format forbids.
    return _file(markers, ((m, html.escape(m.name, quote=False)) for m in markers.chapters))


def metadata(markers: MarkerList) -> str:
    """Write every marker as a cue whose text is one JSON object: kind, name, note."""
    return _file(markers, ((m, _json(m)) for m in markers.markers))


def _json(marker: Marker) -> str:
    value = {"kind": marker.kind, "name": marker.name, "note": marker.note}
    return json.dumps(value, ensure_ascii=False).replace(">", "\\u003e")


def _file(markers: MarkerList, cues: Iterable[tuple[Marker, str]]) -> str:
    blocks = ["WEBVTT"]
    for marker, text in cues:
        start, end = (stamp(ms) for ms in markers.units(marker, 1000))
        blocks.append(f"{start} --> {end}\n{text}")
    return "\n\n".join(blocks) + "\n"
