"""Watched points of a repetition, apart from depth and back line, and the view that shows each.

A point is measured only where the camera can see it: knees against feet from the front, heels from
the side. Elsewhere the review says why not. The values come from landmarks, whose error at knees
and ankles is some centimetres: a single value says little, a difference between many repetitions of
one clip says more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from annotate.catalogue.model import Movement
from annotate.counting.count import FoundRep
from annotate.counting.seen import why_unsure
from annotate.form.measures import at_peak
from annotate.review.model import Watched
from pose import landmarks as lm
from pose.body.parts import Part
from pose.signals.geometry import off_side_view_deg
from pose.signals.model import Signals
from pose.signals.names import ARMS, FEET, LEGS, TRUNK

# Lengths in the picture shrink with the cosine of the turn out of its plane: by 30 % at 45
# degrees, by 13 % at 30. Knees against feet need the plane of both legs, so the limit is stricter
# there.
MAX_OFF_SIDE_DEG = 45.0
MAX_OFF_FRONT_DEG = 30.0
# With the ankles closer than this (trunk lengths; 12 cm) an error of some centimetres would
# dominate the ratio of the knees' width to theirs.
MIN_STANCE = 0.25
# A jump lifts the hips at least this far (trunk lengths; 3 to 4 cm): the landmarks of standing hips
# stray less.
MIN_RISE = 0.07
# Falling from 20 cm takes 0.2 s (free fall); bending the knees to land is given as long again.
LANDING_S = 0.4
# Knees are not together when further apart than the hips by more than this (trunk lengths; 7 cm):
# more than the landmarks' error of some centimetres.
MAX_KNEES_APART = 0.15
# In a standing thigh stretch the held leg is bent further than this, and the other less than half
# as far.
MIN_HELD_KNEE_DEG = 70.0

NOT_SEEN = "it could not be seen"
NO_JUMP = "no jump was seen"
CLOSE_FEET = "the feet stood too close together"


@dataclass(frozen=True)
class Point:
    """A watched point.

    Attributes
    ----------
    id : str
        Its name in a plan and in the catalogue.
    words : str
        What is measured, the subject of a sentence.
    unit : str
    view : "side", "front" or "any"
        The view that shows it; "front" includes the view from behind.
    needs : frozenset of Part
        Parts of the body that have to be seen clearly.
    measure : callable
        The value of one repetition, or the reason why there is none.
    limit : float or None
        A value beyond it is worth a look, independent of the person's own first repetitions. None:
        only a change is.
    above : bool
        Whether values above the limit are worth a look, else those below.
    limit_words : str
        What is then said about the repetition.
    """

    id: str
    words: str
    unit: str
    view: Literal["side", "front", "any"]
    needs: frozenset[Part]
    measure: Callable[[Signals, FoundRep], float | str]
    limit: float | None = None
    above: bool = True
    limit_words: str = ""

    def notable(self, value: float) -> bool:
        """Whether the value alone is worth a look."""
        if self.limit is None:
            return False
        return value > self.limit if self.above else value < self.limit


def _knees(signals: Signals, rep: FoundRep) -> float | str:
    """Knees' width over the ankles' width in the picture; below 1 the knees are inside."""
    where = signals.slice(rep.peak_s - 0.1, rep.peak_s + 0.1)
    across = signals.body[where, :, 0]
    ankles = np.abs(across[:, lm.ANKLES[0]] - across[:, lm.ANKLES[1]])
    if not np.isfinite(ankles).any():
        return NOT_SEEN
    if np.nanmedian(ankles) < MIN_STANCE:
        return CLOSE_FEET
    knees = across[:, lm.KNEES[0]] - across[:, lm.KNEES[1]]
    feet = across[:, lm.ANKLES[0]] - across[:, lm.ANKLES[1]]
    return float(np.nanmedian(knees / feet))


def _heels(signals: Signals, rep: FoundRep) -> float | str:
    """How much higher the near heel is over its toes at the peak than when it is down."""
    near = 0 if signals.yaw_deg[signals.index(rep.peak_s)] > 0 else 1
    pitch = signals.body[:, lm.TOES[near], 1] - signals.body[:, lm.HEELS[near], 1]
    deep = pitch[signals.slice(rep.peak_s - 0.1, rep.peak_s + 0.1)]
    around = pitch[signals.slice(rep.start_s - 0.5, rep.end_s + 0.5)]
    if not np.isfinite(deep).any():
        return NOT_SEEN
    # Standing flat is the low end of the whole repetition, wherever exactly it starts.
    return float(np.nanmedian(deep) - np.nanquantile(around, 0.1))


def _trunk(signals: Signals, rep: FoundRep) -> float | str:
    value = at_peak(signals, "trunk_deg", rep)
    return NOT_SEEN if value is None else value


def _shift(signals: Signals, rep: FoundRep) -> float | str:
    """Middle of the hips relative to the middle of the feet, positive to the person's left."""
    value = at_peak(signals, "hip_shift", rep)
    return NOT_SEEN if value is None else value


def _arms(signals: Signals, rep: FoundRep) -> float | str:
    # A repetition starts and ends while the arms move; they rest a little before and after it.
    height = signals["wrist_height"][signals.slice(rep.start_s - 0.3, rep.end_s + 0.3)]
    height = height[np.isfinite(height)]
    return float(np.ptp(height)) if len(height) else NOT_SEEN


def _landing(signals: Signals, rep: FoundRep) -> float | str:
    """Bend of the more bent knee shortly after the highest point of the repetition's jump."""
    where = signals.slice(rep.start_s - 0.3, rep.end_s + 0.3)
    rise = signals["rise"][where]
    if not np.isfinite(rise).any():
        return NOT_SEEN
    if np.nanmax(rise) - np.nanmedian(rise) < MIN_RISE:
        return NO_JUMP
    top_s = float(signals.times_s[where][np.nanargmax(rise)])
    after = signals.slice(top_s, top_s + LANDING_S)
    knees = np.stack([signals["knee_left_deg"][after], signals["knee_right_deg"][after]])
    return float(np.nanmax(knees)) if np.isfinite(knees).any() else NOT_SEEN


# The limits are judgement, no source: they lie well beyond landmark noise and ordinary form. The
# published trunk bands (RULA and REBA: 20 and 60 degrees) are for working postures, so they are not
# used as limits here.
POINTS = {
    p.id: p
    for p in (
        Point(
            "knees", "width of the knees over the feet", "ratio", "front", LEGS, _knees,
            limit=0.75, above=False, limit_words="knees well inside the feet",
        ),
        Point(
            "heels", "lift of the heels", "trunk lengths", "side", FEET, _heels,
            limit=0.12, limit_words="heels off the floor",
        ),
        Point(
            "chest", "lean of the chest over the hips", "deg", "side", TRUNK, _trunk,
            limit=35.0, limit_words="chest well in front of the hips",
        ),
        Point("shift", "shift of the hips to the left", "trunk lengths", "front", LEGS, _shift),
        Point("arms", "range of the arms", "trunk lengths", "any", ARMS, _arms),
        Point("landing", "knee bend on landing", "deg", "any", LEGS, _landing),
    )
}  # fmt: skip
# Measured in other modules, or over a whole period; a plan may name them.
OTHER_POINTS = ("back", "depth", "trunk", "knees-together", "left-right", "jump-height")


def watch(signals: Signals, movement: Movement, rep: FoundRep) -> tuple[Watched, ...]:
    """The movement's watched points of one repetition: the value of each, or why it has none."""
    out = []
    for name in movement.watch:
        point = POINTS.get(name)
        if point is None:
            continue
        hidden = _reason_hidden(
            point.view, float(signals.yaw_deg[signals.index(rep.peak_s)])
        ) or why_unsure(signals, point.needs, rep.start_s, rep.end_s)
        found = hidden if hidden is not None else point.measure(signals, rep)
        out.append(_watched_point(name, point.unit, found))
    return tuple(out)


def knees_together(signals: Signals, start_s: float, end_s: float) -> Watched:
    """How far apart the knees are while one heel is held at the seat, in trunk lengths.

    Measured from the front or the back. The width of the hips is subtracted: 0 means knees side by
    side under the hips.
    """
    name, unit = "knees-together", "trunk lengths"
    unsure = why_unsure(signals, LEGS, start_s, end_s)
    if unsure is not None:
        return _watched_point(name, unit, unsure)
    where = signals.slice(start_s, end_s)
    knees = np.stack([signals["knee_left_deg"][where], signals["knee_right_deg"][where]])
    held = (np.nanmax(np.nan_to_num(knees), axis=0) > MIN_HELD_KNEE_DEG) & (
        np.nanmin(np.nan_to_num(knees), axis=0) < 0.5 * MIN_HELD_KNEE_DEG
    )
    if held.sum() < signals.rate_hz:
        return _watched_point(name, unit, "no standing thigh stretch was seen")
    yaw = signals.yaw_deg[where][held]
    turned = np.degrees(
        np.arctan2(np.nanmean(np.sin(np.radians(yaw))), np.nanmean(np.cos(np.radians(yaw))))
    )
    hidden = _reason_hidden("front", float(turned))
    if hidden is not None:
        return _watched_point(name, unit, hidden)
    across = signals.body[where][held][:, :, 0]
    apart = np.abs(across[:, lm.KNEES[0]] - across[:, lm.KNEES[1]])
    hips = np.abs(across[:, lm.HIPS[0]] - across[:, lm.HIPS[1]])
    return _watched_point(name, unit, float(np.nanmedian(apart - hips)))


def _reason_hidden(view: str, yaw_deg: float) -> str | None:
    """Why a point cannot be seen from this direction; None where it can."""
    if view == "any":
        return None
    if not np.isfinite(yaw_deg):
        return NOT_SEEN
    off = off_side_view_deg(yaw_deg)
    if view == "side" and off > MAX_OFF_SIDE_DEG:
        return "it shows from the side only: turn side-on to rehearse"
    if view == "front" and off < 90.0 - MAX_OFF_FRONT_DEG:
        return "it shows from the front only: turn to the camera to rehearse"
    return None


def _watched_point(point: str, unit: str, found: float | str) -> Watched:
    if isinstance(found, str):
        return Watched(point=point, unit=unit, reason=found)
    digits = 1 if unit == "deg" else 2
    return Watched(point=point, unit=unit, value=round(found, digits))
