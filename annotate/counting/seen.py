"""Whether enough of the body was seen to judge a stretch, and if not, why not.

The network gives a whole body for every person, so signals of a leg that is out of the picture
look like any others. Here is decided, from :mod:`pose.body.visible`, when they are not used.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from annotate.catalogue.model import Carrier, Movement
from pose.body.parts import Part, State
from pose.signals.filters import runs
from pose.signals.model import Signals
from pose.signals.names import LEGS, SIGNALS, TRUNK

# Parts without which nothing is named: what arms do goes with any movement of the legs.
BODY: frozenset[Part] = LEGS
# A part that is not seen for this fraction of a stretch is not seen when it matters: the deep half
# of repetitions that fill half of the time. Hands that leave the picture at the top of a jump stay
# below it; whole bodies do, too (0.08 at most: jumping squat thrusts head-on).
MAX_UNSEEN_FRACTION = 0.25
# A lost body leaps about once in two seconds, and each leap spoils three or four of 15 pictures.
# Measured (docs/measurements.md, "What can be seen"): 0 on whole bodies but for squat thrusts seen
# from behind, 0.15 to 0.35 on lost ones.
MAX_LOST_FRACTION = 0.1
# A median is measured: it is as good as the better half of the samples.
MAX_UNSURE_FRACTION = 0.5
# Where nobody is found again and again for moments, whoever is found in between is not followed.
MAX_FLICKER_FRACTION = 0.25
MIN_ABSENCE_S = 2.0
# Out of sight for less than this, no repetition is missed: about the shortest one.
MIN_UNSEEN_S = 1.0
# Time over which it is judged whether a part is seen when a clip is cut: the shortest period.
WINDOW_S = 4.0

NOT_TRACKED = "not tracked well"
_OUTSIDE: dict[Part, str] = {
    "trunk": "body cut off",
    "legs": "legs out of the picture",
    "arms": "arms out of the picture",
    "feet": "feet out of the picture",
}
_HIDDEN: dict[Part, str] = {
    "trunk": "body hidden",
    "legs": "legs hidden",
    "arms": "arms hidden",
    "feet": "feet hidden",
}
_UNSURE: dict[Part, str] = {
    "trunk": "body at the edge of the picture",
    "legs": "legs not clearly seen",
    "arms": "arms not clearly seen",
    "feet": "feet not clearly seen",
}
_WORDS: dict[State, dict[Part, str]] = {
    State.UNSURE: _UNSURE,
    State.LOST: {},
    State.HIDDEN: _HIDDEN,
    State.OUTSIDE: _OUTSIDE,
}
# The first of these that is missing is named: who is cut through the trunk lacks the legs, too.
_ORDER: tuple[Part, ...] = ("trunk", "legs", "arms", "feet")


def parts_of(carrier: Carrier) -> frozenset[Part]:
    """Parts of the body that have to be seen to count on a signal."""
    return SIGNALS[carrier.signal].needs


def why_unseen(signals: Signals, parts: Set[Part], start_s: float, end_s: float) -> str | None:
    """Why a stretch cannot be judged on some parts of the body; None where it can.

    Parameters
    ----------
    signals : Signals
    parts : set of Part
        What has to be seen.
    start_s, end_s : float
        The time in which nobody is in the picture does not count.
    """
    if not signals.parts:
        return None
    where = signals.slice(start_s, end_s)
    present = signals.present[where]
    if "trunk" in parts and _is_trunk_at_edge(signals, where):
        return _OUTSIDE["trunk"]
    for part, states in _states(signals, parts, where):
        missing = states[present]
        if _fraction(missing >= State.HIDDEN) >= MAX_UNSEEN_FRACTION:
            outside = np.sum(missing == State.OUTSIDE) >= np.sum(missing == State.HIDDEN)
            return _OUTSIDE[part] if outside else _HIDDEN[part]
    for _, states in _states(signals, parts, where):
        lost = states[present]
        if _fraction(lost == State.LOST) >= MAX_LOST_FRACTION:
            return NOT_TRACKED
    flickers = _flicker(signals, where)
    if flickers.any() and flickers.sum() >= MAX_FLICKER_FRACTION * (present | flickers).sum():
        return NOT_TRACKED
    return None


def why_missing(signals: Signals, parts: Set[Part], start_s: float, end_s: float) -> str:
    """Why some part is missing at times: what is missing longest."""
    where = signals.slice(start_s, end_s)
    present = signals.present[where]
    found = [
        (int(np.sum(states[present] == state)), _WORDS[state].get(part, NOT_TRACKED))
        for part, states in _states(signals, parts, where)
        for state in (State.OUTSIDE, State.HIDDEN, State.LOST)
    ]
    return max(found, key=lambda pair: pair[0], default=(0, NOT_TRACKED))[1]


def _is_trunk_at_edge(signals: Signals, where: slice) -> bool:
    """Whether the trunk lies at the edge of the picture or beyond most of the time."""
    for _, states in _states(signals, TRUNK, where):
        known = states[signals.present[where]]
        known = known[known != State.LOST]
        return _fraction(known >= State.UNSURE) >= MAX_UNSURE_FRACTION
    return False


def _flicker(signals: Signals, where: slice) -> NDArray[np.bool_]:
    """Moments in which nobody was found, shorter than an absence."""
    away = ~signals.present[where]
    for a, b in runs(away):
        if b - a >= MIN_ABSENCE_S * signals.rate_hz:
            away[a:b] = False
    return away


def signals_unseen(signals: Signals, start_s: float, end_s: float) -> frozenset[str]:
    """Names of signals that say nothing, because arms are out of the picture or feet not seen.

    Arms that are hidden but in the picture are kept: from behind, the body hides its own.
    """
    cut: set[Part] = set()
    if why_unseen(signals, {"arms"}, start_s, end_s) == _OUTSIDE["arms"]:
        cut.add("arms")
    if why_unseen(signals, {"feet"}, start_s, end_s) is not None:
        cut.add("feet")
    return frozenset(s.name for s in SIGNALS.values() if s.needs & cut) if cut else frozenset()


def unseen_s(signals: Signals, parts: Set[Part], start_s: float, end_s: float) -> float:
    """Time in which a stretch lacks some part, in gaps of at least `MIN_UNSEEN_S`."""
    where = signals.slice(start_s, end_s)
    missing = _missing(signals, parts, where)
    gaps = [(b - a) / signals.rate_hz for a, b in runs(missing)]
    return sum(gap for gap in gaps if gap >= MIN_UNSEEN_S)


def why_unsure(signals: Signals, parts: Set[Part], start_s: float, end_s: float) -> str | None:
    """Why nothing should be measured on some parts of the body; None where it can be.

    Stricter than :func:`why_unseen`: repetitions can be counted on feet at the edge of the
    picture, but the bend of the knee above them may be off by ten degrees.
    """
    where = signals.slice(start_s, end_s)
    for part, states in _states(signals, parts, where):
        known = states[signals.present[where]]
        if _fraction(known >= State.UNSURE) >= MAX_UNSURE_FRACTION:
            worst = State(int(np.median(known[known >= State.UNSURE])))
            return _WORDS[worst].get(part, NOT_TRACKED)
    return None


def usable(
    signals: Signals, carriers: Iterable[Carrier], start_s: float, end_s: float
) -> tuple[Carrier, ...]:
    """Those of the signals to count on whose parts of the body were seen."""
    return tuple(c for c in carriers if why_unseen(signals, parts_of(c), start_s, end_s) is None)


def why_uncounted(signals: Signals, movement: Movement, start_s: float, end_s: float) -> str | None:
    """Why a movement cannot be counted: no signal it could be counted on was seen; None if one was.

    A movement that is held needs the whole body.
    """
    reasons = [why_unseen(signals, parts_of(c), start_s, end_s) for c in movement.counts]
    if not reasons:
        return why_unseen(signals, BODY, start_s, end_s)
    return None if None in reasons else reasons[0]


def unseen_stretches(signals: Signals) -> list[tuple[float, float]]:
    """Stretches of a clip in which too little of the body was seen to say what is done.

    Returns
    -------
    list of (float, float)
        Start and end in seconds, in order; each lasts `WINDOW_S` or all of the clip. What lies
        between two of them, or between one and an end of the clip, is no shorter.
    """
    every = slice(0, len(signals.times_s))
    if not signals.parts:
        return []
    width = int(WINDOW_S * signals.rate_hz)
    present = signals.present.astype(float)
    seen = np.maximum(uniform_filter1d(present, width, mode="constant"), 1e-9)

    def fraction(mask: NDArray[np.bool_]) -> NDArray[np.float64]:
        inside = uniform_filter1d(mask * present, width, mode="constant")
        return np.asarray(inside / seen)

    bad = np.zeros(len(signals.times_s), dtype=bool)
    for _, states in _states(signals, BODY, every):
        bad |= fraction(states >= State.HIDDEN) >= MAX_UNSEEN_FRACTION
        bad |= fraction(states == State.LOST) >= MAX_LOST_FRACTION
    flicker = uniform_filter1d(_flicker(signals, every).astype(float), width, mode="constant")
    bad |= flicker >= MAX_FLICKER_FRACTION
    missing = _missing(signals, BODY, every)
    for _, states in _states(signals, TRUNK, every):
        unsure = (states >= State.UNSURE) & (states != State.LOST) & signals.present
        at_edge = fraction(unsure) >= MAX_UNSURE_FRACTION
        bad |= at_edge
        missing |= at_edge & unsure
    bad &= signals.present
    missing |= _flicker(signals, every)
    spans = []
    for a, b in _joined(runs(bad), width, len(bad)):
        # The window sees what is missing before it is.
        inside = np.flatnonzero(missing[a:b])
        if len(inside):
            first = a if a == 0 else a + int(inside[0])
            last = b if b == len(bad) else a + int(inside[-1]) + 1
            if last - first >= width or last - first == len(bad):
                spans.append((first, last))
    step_s, origin_s = 1 / signals.rate_hz, float(signals.times_s[0])
    return [(origin_s + a * step_s, origin_s + b * step_s) for a, b in spans]


def _joined(spans: list[tuple[int, int]], width: int, length: int) -> list[tuple[int, int]]:
    """Spans joined over what is shorter than `width` between them, and up to the ends."""
    out: list[tuple[int, int]] = []
    for a, b in spans:
        start = 0 if a < width else a
        if out and a - out[-1][1] < width:
            out[-1] = (out[-1][0], b)
        else:
            out.append((start, b))
    if out and length - out[-1][1] < width:
        out[-1] = (out[-1][0], length)
    return out


def _fraction(mask: NDArray[np.bool_]) -> float:
    """Fraction of True; 0 where there is nothing. np.mean takes three times as long."""
    return int(np.count_nonzero(mask)) / len(mask) if len(mask) else 0.0


def _missing(signals: Signals, parts: Set[Part], where: slice) -> NDArray[np.bool_]:
    """Where somebody is in the picture, but some part is not seen."""
    missing = np.zeros(len(signals.times_s[where]), dtype=bool)
    for _, states in _states(signals, parts, where):
        missing |= states >= State.LOST
    return np.asarray(missing & signals.present[where])


def _states(
    signals: Signals, parts: Set[Part], where: slice
) -> Iterator[tuple[Part, NDArray[np.int8]]]:
    for part in _ORDER:
        if part in parts and part in signals.parts:
            yield part, signals.parts[part][where]
