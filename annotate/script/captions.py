"""The spoken lines of the script as captions, for a prompter.

On the planned clock for the next take, or on the clock of the last take to lie over its clip.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from typing import Literal

from annotate.script.build import Script

Clock = Literal["planned", "delivered"]


def script_webvtt(script: Script, by: Clock = "planned") -> str:
    """WebVTT (W3C): starts that do not go back, no ``-->`` in the text."""
    cues = (
        f"{_stamp(a, '.')} --> {_stamp(b, '.')}\n{html.escape(text, quote=False)}\n"
        for a, b, text in _lines(script, by)
    )
    return "\n".join(("WEBVTT\n", *cues))


def script_srt(script: Script, by: Clock = "planned") -> str:
    """SubRip."""
    return "\n".join(
        f"{i}\n{_stamp(a, ',')} --> {_stamp(b, ',')}\n{text}\n"
        for i, (a, b, text) in enumerate(_lines(script, by), 1)
    )


def _lines(script: Script, by: Clock) -> Iterator[tuple[float, float, str]]:
    """Start, end and text; none begins before the one ahead of it is over."""
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
        # Two lines of a period cut short last time can fall on one moment.
        yield at, max(end, at + 0.1), " ".join(line.text.split())


def _stamp(time_s: float, mark: str) -> str:
    ms = round(time_s * 1000)
    seconds, ms = divmod(ms, 1000)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}{mark}{ms:03d}"
