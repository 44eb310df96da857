"""The spoken lines of the script as captions, for a prompter.

Times are on the planned clock for the next take, or on the clock of the last take's clip.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from typing import Literal

from annotate.script.build import Script
from annotate.text import one_line, stamp

Clock = Literal["planned", "delivered"]


def script_webvtt(script: Script, by: Clock = "planned") -> str:
    """Write the lines as WebVTT (W3C): starts in order, no ``-->`` in the text."""
    cues = (
        f"{stamp(a)} --> {stamp(b)}\n{html.escape(text, quote=False)}\n"
        for a, b, text in _lines(script, by)
    )
    return "\n".join(("WEBVTT\n", *cues))


def script_srt(script: Script, by: Clock = "planned") -> str:
    """Write the lines as SubRip."""
    return "\n".join(
        f"{i}\n{stamp(a, ',')} --> {stamp(b, ',')}\n{text}\n"
        for i, (a, b, text) in enumerate(_lines(script, by), 1)
    )


def _lines(script: Script, by: Clock) -> Iterator[tuple[int, int, str]]:
    """Start and end in milliseconds, and text; each line ends before the next one begins."""
    spoken = [
        (line.at_s if by == "planned" else line.delivered_s, line)
        for period in script.periods
        for line in period.lines
        if line.kind != "direction"
    ]
    timed = sorted(((at, line) for at, line in spoken if at is not None), key=lambda x: x[0])
    next_s = [at for at, _ in timed[1:]] + [float("inf")]
    for (at, line), following_s in zip(timed, next_s, strict=False):
        end = min(at + line.lasts_s, following_s)
        # In a period that was cut short two lines can fall on the same moment.
        yield round(at * 1000), round(max(end, at + 0.1) * 1000), one_line(line.text)
