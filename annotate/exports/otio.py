"""OpenTimelineIO JSON: the clip on one track, with every marker and all its fields.

Written directly, so that the library is not needed. Schemas: Timeline.1, Stack.1, Track.1, Clip.2,
Marker.2, ExternalReference.1, as in its file format specification.
"""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

from annotate.exports.marker_list import MarkerList
from annotate.exports.markers import Marker, MarkerKind

COLOURS: dict[MarkerKind, str] = {
    "period": "GREEN",
    "round": "BLUE",
    "stay-wide": "YELLOW",
    "flagged-rep": "RED",
    "look": "ORANGE",
    "cue": "PURPLE",
    "note": "CYAN",
}


def write(markers: MarkerList) -> str:
    """Write a timeline of one clip; marker times count from the clip's first picture."""
    rate = float(markers.counted.per_s)
    length = markers.counted.frame_of(markers.duration_s)
    clip = {
        "OTIO_SCHEMA": "Clip.2",
        "name": markers.clip_name,
        "metadata": {},
        "enabled": True,
        "source_range": _range(0, length, rate),
        "effects": [],
        "markers": [_marker(m, markers, rate) for m in markers.markers],
        "active_media_reference_key": "DEFAULT_MEDIA",
        "media_references": {
            "DEFAULT_MEDIA": {
                "OTIO_SCHEMA": "ExternalReference.1",
                "name": markers.clip_name,
                "metadata": {},
                "available_range": _range(0, length, rate),
                "available_image_bounds": None,
                # A relative address, since the file is kept beside the clip.
                "target_url": quote(markers.clip_name),
            }
        },
    }
    timeline = {
        "OTIO_SCHEMA": "Timeline.1",
        "name": markers.clip_name,
        "metadata": {"takeproof": {"rate": markers.counted.name}},
        "global_start_time": _time(markers.start_frame, rate),
        "tracks": _composition(
            "Stack.1", "tracks", [{**_composition("Track.1", "Video", [clip]), "kind": "Video"}]
        ),
    }
    return json.dumps(timeline, indent=1, ensure_ascii=False) + "\n"


def _marker(marker: Marker, markers: MarkerList, rate: float) -> dict[str, Any]:
    first, after = markers.frames(marker)
    # A moment has no length.
    length = after - first if marker.end_s > marker.start_s else 0
    return {
        "OTIO_SCHEMA": "Marker.2",
        "name": marker.name,
        "color": COLOURS[marker.kind],
        "marked_range": _range(first, length, rate),
        "comment": marker.note,
        "metadata": {
            "takeproof": {
                "kind": marker.kind, "start_s": marker.start_s, "end_s": marker.end_s
            }
        },
    }  # fmt: skip


def _composition(schema: str, name: str, children: list[Any]) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": schema, "name": name, "metadata": {}, "enabled": True,
        "source_range": None, "effects": [], "markers": [], "children": children,
    }  # fmt: skip


def _range(first: int, length: int, rate: float) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": "TimeRange.1",
        "start_time": _time(first, rate),
        "duration": _time(length, rate),
    }


def _time(frame: int, rate: float) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "RationalTime.1", "rate": rate, "value": float(frame)}
