"""Edit decision list, CMX 3600 (SMPTE 258M): one event a period, markers as locators.

Source times count from the clip's first picture at 00:00:00:00, record times from the start
timecode; out times are exclusive. Drop-frame is marked by the FCM line and by ";". A locator is a
moment, so a longer marker says in its text where it ends.
"""

from __future__ import annotations

from annotate.errors import ExportError
from annotate.exports.marker_list import MarkerList
from annotate.exports.markers import Marker
from annotate.exports.otio import COLOURS
from annotate.text import one_line

# Three digits number the events.
_MOST_EVENTS = 999


def write(markers: MarkerList) -> str:
    """Write the whole clip as events that follow one another without a gap.

    Raises
    ------
    ExportError
        More events than the format can number.
    """
    events = _events(markers)
    if len(events) > _MOST_EVENTS:
        raise ExportError(
            f"{markers.clip_name}: {len(events)} periods, but an EDL numbers no more than "
            f"{_MOST_EVENTS} events; use --format otio or csv"
        )
    mode = "DROP FRAME" if markers.counted.drop else "NON-DROP FRAME"
    clip_name = one_line(markers.clip_name)
    lines = [f"TITLE: {clip_name}", f"FCM: {mode}"]
    others = [m for m in markers.markers if m.kind != "period"]
    for number, (first, after, name, note) in enumerate(events, 1):
        source = (markers.counted.label(first), markers.counted.label(after))
        record = (markers.label(first), markers.label(after))
        lines.append("")
        lines.append(f"{number:03d}  AX       V     C        {' '.join(source + record)}")
        lines.append(f"* FROM CLIP NAME: {clip_name}")
        if name:
            lines.append(f"* COMMENT: {name}")
        if note:
            lines.append(f"* COMMENT: {note}")
        last = number == len(events)
        while others and (last or markers.frames(others[0])[0] < after):
            lines.append(_locator(others.pop(0), markers))
    return "\n".join(lines) + "\n"


def _events(markers: MarkerList) -> list[tuple[int, int, str, str]]:
    """First frame, frame after the last, name and note; unnamed events fill the gaps."""
    events: list[tuple[int, int, str, str]] = []
    at, end = 0, max(1, markers.counted.frame_of(markers.duration_s))
    for period in markers.chapters:
        first, after = markers.frames(period)
        if first > at:
            events.append((at, first, "", ""))
        events.append((first, after, period.name, period.note))
        at = after
    if at < end:
        events.append((at, end, "", ""))
    return events


def _locator(marker: Marker, markers: MarkerList) -> str:
    first, after = markers.frames(marker)
    until = f" (to {markers.label(after)})" if marker.end_s > marker.start_s else ""
    text = f"{marker.name}{': ' if marker.note else ''}{marker.note}{until}"
    return f"* LOC: {markers.label(first)} {COLOURS[marker.kind]:<7} {text}"
