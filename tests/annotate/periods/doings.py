"""Activities made by hand, and stick figures who do known movements."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from annotate.counting.recognise import Recognised
from annotate.periods.evidence import Activity
from annotate.review.model import Period
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick


def activity(
    start_s: float, end_s: float, what: str | None = None, *, likely: tuple[str, ...] = (),
    effort: float = 0.5, clear: tuple[float, float] = (1.0, 1.0), by_hand: Period | None = None,
) -> Activity:  # fmt: skip
    """A movement by its id, "stand", "gone", or None for something without a name."""
    idle = what in ("stand", "gone")
    named = None if idle else what
    return Activity(
        start_s=start_s, end_s=end_s, absent=what == "gone", still=what == "stand",
        named=Recognised(named, 0.9 if named else 0.0), effort=None if what == "gone" else effort,
        seen=None, start_clear=clear[0], end_clear=clear[1],
        likely=(named,) if named else likely, by_hand=by_hand,
    )  # fmt: skip


def bump(t: float, rep_s: float) -> float:
    """0 to 1 and back, again and again."""
    return float(0.5 - 0.5 * np.cos(2 * np.pi * t / rep_s))


def squats(depth: float = 1.0) -> Callable[[float], stick.Stance]:
    """One every two seconds."""
    return lambda t: stick.squatting(depth * bump(t, 2.0))


def marching(height: float = 1.0, step_s: float = 1.0) -> Callable[[float], stick.Stance]:
    """Knees in turn, the left one first."""

    def stance(t: float) -> stick.Stance:
        up = height * bump(t, step_s)
        return stick.knee_up(up, 0.0) if t % (2 * step_s) < step_s else stick.knee_up(0.0, up)

    return stance


def reaching(t: float) -> stick.Stance:
    """Arms up to the side, which is like nothing in the catalogue."""
    return stick.Stance(arms_out=20 + 150 * bump(t, 2.0))


def standing(t: float) -> stick.Stance:
    return stick.Stance()


def signals_of(*parts: tuple[float, Callable[[float], stick.Stance]]) -> Signals:
    """What a figure shows who does one thing after the other, each for so many seconds."""

    def stance(t: float) -> stick.Stance:
        start_s = 0.0
        for lasts_s, part in parts:
            if t < start_s + lasts_s:
                return part(t - start_s)
            start_s += lasts_s
        raise AssertionError("after the end")

    return movement_signals(stick.track(sum(lasts_s for lasts_s, _ in parts), stance))
