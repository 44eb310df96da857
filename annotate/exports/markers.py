"""Markers: what an editor or producer wants to find in the clip.

All exports use this list. Times are the clip's own seconds; names are one line of text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from annotate.catalogue.model import catalogue
from annotate.review.model import Comparison, Period, Rep, Review
from annotate.review.queries import (
    delivered_as,
    flagged_reps,
    label_of,
    round_name,
    rows_by_delivered,
    rows_by_round,
)
from annotate.text import one_line

MarkerKind = Literal["period", "round", "stay-wide", "flagged-rep", "look", "cue", "note"]

# Times for a change where no announcement was heard: it is named, then counted down, four to eight
# counts in all. Common practice, no source.
ANNOUNCING_S = 3.0
COUNTDOWN_S = 4.0
# An announcement longer before the change than this is about something else: three times the
# above, rounded down. Common practice, no source.
_ANNOUNCED_AT_MOST_S = 20.0
# How long a new movement takes to be shown twice where its repetitions were not counted: two at
# 3 s each, slow ones. Common practice, no source.
SHOWN_TWICE_S = 6.0
# These notices have markers of their own: one for each repetition, one for each cue.
_MARKED_OTHERWISE = ("back-rounder", "cue")


@dataclass(frozen=True)
class Marker:
    """A named stretch of the clip; for a moment ``end_s`` equals ``start_s``."""

    kind: MarkerKind
    start_s: float
    end_s: float
    name: str
    note: str = ""


def markers_of(review: Review) -> tuple[Marker, ...]:
    """Collect the markers of a review in order of time; of two with one start the longer first."""
    found = [
        *_periods(review),
        *_rounds(review),
        *_stay_wide(review),
        *_flagged_reps(review),
        *(
            Marker("look", n.start_s, n.start_s if n.end_s is None else n.end_s, one_line(n.text))
            for n in review.notices
            if n.start_s is not None and n.level != "info" and n.code not in _MARKED_OTHERWISE
        ),
        *(
            Marker("cue", c.at_s, c.at_s, one_line(f'Said "{c.text}"'), one_line(c.difference))
            for c in review.cues
            if c.verdict == "wrong"
        ),
        *(
            Marker("note", n.at_s, n.at_s, one_line(": ".join(filter(None, (n.tag, n.text)))))
            for n in review.notes
        ),
    ]
    return tuple(sorted(found, key=lambda m: (m.start_s, -m.end_s, m.kind)))


def _name(period: Period, row: Comparison | None) -> str:
    label = one_line(label_of(period, row)) or period.kind.capitalize()
    return f"Not in the plan: {label}" if row is not None and row.planned is None else label


def _periods(review: Review) -> list[Marker]:
    rows = rows_by_delivered(review.comparison)
    found = []
    for period in review.periods:
        row = rows.get(period.index)
        note = one_line(row.text) if row else ""
        found.append(Marker("period", period.start_s, period.end_s, _name(period, row), note))
    return found


def _rounds(review: Review) -> list[Marker]:
    """Markers from the first to the last delivered period of each round."""
    found = []
    for rows in rows_by_round(review.comparison).values():
        planned = rows[0].planned
        done = [p for row in rows if (p := delivered_as(row, review.periods)) is not None]
        if planned is not None and planned.in_rounds and done:
            start_s, end_s = min(p.start_s for p in done), max(p.end_s for p in done)
            found.append(Marker("round", start_s, end_s, one_line(round_name(planned))))
    return found


def _flagged_reps(review: Review) -> list[Marker]:
    rows = rows_by_delivered(review.comparison)
    return [
        Marker(
            "flagged-rep", rep.start_s, rep.end_s,
            f"Worth a look: repetition {i + 1} of {_name(period, rows.get(period.index))}",
            "back line rounder than in the first repetitions",
        )
        for period in review.periods
        for i, rep in flagged_reps(period)
    ]  # fmt: skip


def _stay_wide(review: Review) -> list[Marker]:
    """Markers around every change of movement, where viewers need to see the whole body.

    Each lasts from the announcement of the change until the new movement was shown twice.
    """
    rows = rows_by_delivered(review.comparison)
    countdown_s = review.plan.countdown_s if review.plan else COUNTDOWN_S
    said = sorted(c.at_s for c in review.cues if c.kind in ("announce", "countdown"))
    spans: list[Marker] = []
    for before, after in pairwise(review.periods):
        if after.kind in ("still", "absent") or (
            before.movement is not None and before.movement == after.movement
        ):
            continue
        change_s = after.start_s
        earliest_s = max(before.start_s, change_s - _ANNOUNCED_AT_MOST_S)
        heard = [at for at in said if earliest_s <= at < change_s]
        start_s = heard[0] if heard else max(before.start_s, change_s - countdown_s - ANNOUNCING_S)
        name = f"Stay wide: change to {_name(after, rows.get(after.index))}"
        end_s = min(_shown_twice_s(after), after.end_s)
        if spans and start_s <= spans[-1].end_s:
            start_s = spans[-1].end_s
        if end_s > start_s:
            spans.append(Marker("stay-wide", start_s, end_s, name, "no close-up, no cut-away"))
    return spans


def _shown_twice_s(period: Period) -> float:
    """When the movement has been shown twice, in seconds; an alternating one on both sides."""
    known = catalogue().get(period.movement or "")
    needed = 4 if known and known.sides == "alternating" else 2
    whole: Sequence[Rep] = [r for r in period.reps.each if r.complete]
    if len(whole) >= needed:
        return whole[needed - 1].end_s
    return period.start_s + SHOWN_TWICE_S
