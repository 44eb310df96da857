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
class Wish:
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


def placed(wishes: Sequence[Wish]) -> list[ScriptLine]:
    """Schedule requests by rank, and leave out those that do not fit.

    Returns
    -------
    list of ScriptLine
        In order of time. Directions are not spoken, so they always fit.
    """
    taken: list[tuple[float, float]] = []
    lines: list[ScriptLine] = []
    for wish in sorted(wishes, key=lambda w: (w.rank, w.at_s)):
        if wish.kind == "direction":
            lines.append(ScriptLine(at_s=_tenths(wish.at_s), lasts_s=0, kind=wish.kind,
                                    text=wish.texts[0]))  # fmt: skip
            continue
        for text in wish.texts:
            lasts_s = wish.lasts_s or _tenths(spoken_s(text) + 0.05)
            at = _free(wish, lasts_s, taken)
            if at is not None:
                taken.append((at, at + lasts_s))
                lines.append(ScriptLine(at_s=at, lasts_s=lasts_s, kind=wish.kind, text=text))
                break
    return sorted(lines, key=lambda x: (x.at_s, x.kind != "direction"))


def _free(wish: Wish, lasts_s: float, taken: Sequence[tuple[float, float]]) -> float | None:
    """Find the requested start, or the nearest free one within the bounds."""
    wanted = wish.at_s if wish.ends_s is None else wish.ends_s - lasts_s
    earliest = wanted if wish.earliest_s is None else wish.earliest_s
    latest = wanted if wish.latest_s is None else wish.latest_s
    steps = int(max(wanted - earliest, latest - wanted, 0.0) / _STEP_S) + 1
    for k in range(steps + 1):
        for at in (_tenths(wanted - k * _STEP_S), _tenths(wanted + k * _STEP_S)):
            in_bounds = at >= max(0.0, earliest - 0.05) and at <= latest + 0.05
            over = wish.end_by_s is not None and at + lasts_s > wish.end_by_s + 1e-9
            if in_bounds and not over and all(_apart(at, at + lasts_s, a, b) for a, b in taken):
                return at
    return None


def _apart(start_s: float, end_s: float, other_start_s: float, other_end_s: float) -> bool:
    """Whether a breath lies between two lines."""
    return end_s + GAP_S <= other_start_s + 1e-9 or start_s + 1e-9 >= other_end_s + GAP_S


def _tenths(time_s: float) -> float:
    return round(time_s, 1)
