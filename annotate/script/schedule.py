"""Schedule the requested lines so that no two are spoken at once.

Lines are placed in order of rank. A line that does not fit is moved within its bounds, made
shorter, or left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.reading import Frozen

LineKind = Literal[
    "announce", "countdown", "change", "halfway", "left", "reps", "form", "ease", "water",
    "option", "safety", "direction",
]  # fmt: skip

# 150 words a minute while exercising; common practice, no source.
WORDS_PER_S = 2.5
# A breath between two lines; common practice, no source.
GAP_S = 0.3
# Lines begin on tenths of a second, finer than anyone reads a script.
_STEP_S = 0.1


class ScriptLine(Frozen):
    """One thing to say, or (kind ``direction``) to keep in mind.

    ``delivered_s`` is the same moment on the clock of the last take, null where it had none;
    ``difference`` says in words how the two differ.
    """

    at_s: float
    lasts_s: float
    kind: LineKind
    text: str
    delivered_s: float | None = None
    difference: str = ""


@dataclass(frozen=True)
class LineRequest:
    """A request for a line at a time.

    Attributes
    ----------
    at_s : float
        Requested start.
    kind : LineKind
    texts : tuple of str
        What to say, the preferred text first, then shorter ones.
    rank : int
        Lower ranks are placed first.
    earliest_s, latest_s : float or None
        Bounds of the start; None for not before, or not after, the requested start.
    end_by_s : float or None
        When it must have ended.
    ends_s : float or None
        Requested end, used instead of `at_s`.
    lasts_s : float or None
        Duration where it is not that of the words, as for a count.
    """

    at_s: float
    kind: LineKind
    texts: tuple[str, ...]
    rank: int
    earliest_s: float | None = None
    latest_s: float | None = None
    end_by_s: float | None = None
    ends_s: float | None = None
    lasts_s: float | None = None


def spoken_s(text: str) -> float:
    """Seconds it takes to say a line while exercising."""
    return len(text.split()) / WORDS_PER_S


def schedule_lines(requests: Sequence[LineRequest]) -> list[ScriptLine]:
    """Schedule requests by rank, and leave out those that do not fit.

    Returns
    -------
    list of ScriptLine
        In order of time. Directions are not spoken, so they always fit.
    """
    occupied: list[tuple[float, float]] = []
    lines: list[ScriptLine] = []
    for request in sorted(requests, key=lambda w: (w.rank, w.at_s)):
        if request.kind == "direction":
            at_s = _round_to_tenth(request.at_s)
            lines.append(ScriptLine(at_s=at_s, lasts_s=0, kind=request.kind, text=request.texts[0]))
            continue
        for text in request.texts:
            lasts_s = request.lasts_s or _round_to_tenth(spoken_s(text) + 0.05)
            at = _free_start(request, lasts_s, occupied)
            if at is not None:
                occupied.append((at, at + lasts_s))
                lines.append(ScriptLine(at_s=at, lasts_s=lasts_s, kind=request.kind, text=text))
                break
    return sorted(lines, key=lambda x: (x.at_s, x.kind != "direction"))


def _free_start(
    request: LineRequest, lasts_s: float, occupied: Sequence[tuple[float, float]]
) -> float | None:
    """Find the requested start, or the nearest free one within the bounds."""
    wanted = request.at_s if request.ends_s is None else request.ends_s - lasts_s
    earliest = wanted if request.earliest_s is None else request.earliest_s
    latest = wanted if request.latest_s is None else request.latest_s
    steps = int(max(wanted - earliest, latest - wanted, 0.0) / _STEP_S) + 1
    for k in range(steps + 1):
        for at in (_round_to_tenth(wanted - k * _STEP_S), _round_to_tenth(wanted + k * _STEP_S)):
            in_bounds = at >= max(0.0, earliest - 0.05) and at <= latest + 0.05
            over = request.end_by_s is not None and at + lasts_s > request.end_by_s + 1e-9
            if (
                in_bounds
                and not over
                and all(_breath_between(at, at + lasts_s, a, b) for a, b in occupied)
            ):
                return at
    return None


def _breath_between(start_s: float, end_s: float, other_start_s: float, other_end_s: float) -> bool:
    """Whether a breath lies between two lines."""
    return end_s + GAP_S <= other_start_s + 1e-9 or start_s + 1e-9 >= other_end_s + GAP_S


def _round_to_tenth(time_s: float) -> float:
    return round(time_s, 1)
