"""Findings worth a look, in sentences.

A sentence says only what a picture can show, compared with the person's own repetitions. It says
nothing about bones, load or injury, and gives no verdict on right or wrong. A point is reported
only when at least two of three neighbouring repetitions show it.
"""

from __future__ import annotations

from collections.abc import Sequence

from annotate.catalogue.model import catalogue
from annotate.form.back_line import two_of_three
from annotate.form.baseline import BASELINE_EARLIEST
from annotate.form.measures import DEPTH_WORDS
from annotate.form.points import MAX_KNEES_APART, POINTS
from annotate.form.sides import sides_differ
from annotate.review.model import Comparison, Drift, Notice, Period, Rep
from annotate.review.queries import NOT_ASSESSABLE, is_flagged, label_of, rows_by_delivered
from annotate.text import amount, plural

# A count with less confidence is told as "about": the limit from which spoken counts and the music
# are held against it, too.
_MIN_COUNT_CONFIDENCE = 0.6


def about_periods(periods: Sequence[Period], comparison: Sequence[Comparison]) -> list[Notice]:
    """Find what single periods show: back line, watched points, uncertain counts.

    Parameters
    ----------
    periods : sequence of Period
        With their repetitions and watched points.
    comparison : sequence of Comparison
        Gives the periods their names; empty without a plan.
    """
    rows = rows_by_delivered(comparison)
    out = []
    for period in periods:
        label = label_of(period, rows.get(period.index))
        out += (
            _unseen_notices(period, label)
            + _back_notices(period, label)
            + _point_notices(period, label)
            + _period_point_notices(period, label)
        )
        if (
            period.kind == "work"
            and period.reps.count
            and period.reps.confidence < _MIN_COUNT_CONFIDENCE
        ):
            text = (
                f"{label}: about {amount(period.reps.count, 'repetition')}; the movement was too "
                "uneven to be sure."
            )
            out.append(_period_notice(period, "info", "unsure-count", text))
    return out


def _unseen_notices(period: Period, label: str) -> list[Notice]:
    """What could not be judged or measured because it was not seen."""
    if period.not_assessable is not None:
        # A stretch may hide several planned periods; one that answers a single one has its name.
        name = "" if period.kind == "absent" or label == NOT_ASSESSABLE else f"{label}: "
        text = f"{name}not assessable: {period.not_assessable}."
        text = text[0].upper() + text[1:]
        return [_period_notice(period, "warning", "not-assessable", text)]
    each = period.reps.each
    reasons = [r.not_measured for r in each if r.not_measured is not None]
    if 2 * len(reasons) <= len(each):
        return []
    reason = max(sorted(set(reasons)), key=reasons.count)
    text = f"{label}: depth not assessable: {reason}."
    return [_period_notice(period, "info", "depth-not-assessable", text)]


def about_drift(drift: Sequence[Drift]) -> list[Notice]:
    """Report what changed over repetitions and rounds."""
    return [
        Notice(
            level="info" if d.measure == "time" else "look",
            code=f"drift-{d.measure}",
            text=d.statement,
        )
        for d in drift
        if d.statement is not None
    ]


def _back_notices(period: Period, label: str) -> list[Notice]:
    each = period.reps.each
    rounded = [is_flagged(r) for r in each]
    if any(rounded):
        with_what = "your first repetitions"
        if any(r.back.assessable and r.back.compared_with == BASELINE_EARLIEST for r in each):
            with_what = "the earliest bent-over repetitions of this clip"
        text = (
            f"{label}, {_rep_numbers_text(rounded)}: back line rounder than in {with_what}; "
            "worth a look."
        )
        return [_reps_notice(each, rounded, "back-rounder", text)]
    entry = catalogue().get(period.movement or "")
    if entry is None or "back" not in entry.watch or not each:
        return []
    reasons = [r.back.reason for r in each if not r.back.assessable]
    if 2 * len(reasons) <= len(each):
        return []
    reason = max(sorted(set(reasons)), key=reasons.count)
    fraction_text = (
        "" if len(reasons) == len(each) else f" in {len(reasons)} of {len(each)} repetitions"
    )
    text = f"{label}: back line not assessable{fraction_text}: {reason}."
    return [_period_notice(period, "info", "back-not-assessable", text)]


def _point_notices(period: Period, label: str) -> list[Notice]:
    each = period.reps.each
    out = []
    for name in dict.fromkeys(w.point for r in each for w in r.watched):
        point = POINTS[name]
        values = [next((w.value for w in r.watched if w.point == name), None) for r in each]
        shown_by = two_of_three([v is not None and point.notable(v) for v in values])
        if any(shown_by):
            text = f"{label}, {_rep_numbers_text(shown_by)}: {point.limit_words}; worth a look."
            out.append(_reps_notice(each, shown_by, f"watch-{name}", text))
    return out


def _period_point_notices(period: Period, label: str) -> list[Notice]:
    """Watched points that hold for a whole period."""
    out = []
    for w in period.watched:
        if w.value is None:
            continue
        if w.point == "knees-together" and w.value > MAX_KNEES_APART:
            text = f"{label}: knees apart in the thigh stretch; worth a look."
            out.append(_period_notice(period, "look", "watch-knees-together", text))
        if w.point == "left-right" and sides_differ(period.reps.each, w.unit):
            entry = catalogue()[str(period.movement)]
            words, unit = DEPTH_WORDS[str(entry.depth)]
            amount = f"{abs(w.value):.0f} deg" if unit == "deg" else f"{abs(w.value):.2f} {unit}"
            more, less = ("left", "right") if w.value > 0 else ("right", "left")
            text = f"{label}: {words} {amount} more on the {more} than on the {less}; worth a look."
            out.append(_period_notice(period, "look", "left-right", text))
    return out


def _rep_numbers_text(shown_by: Sequence[bool]) -> str:
    """Name the repetitions that show a point, as in "repetitions 3, 5-8"."""
    numbers = [i + 1 for i, here in enumerate(shown_by) if here]
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    parts = [f"{r[0]}-{r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs]
    return f"{plural('repetition', len(numbers))} {', '.join(parts)}"


def _reps_notice(each: Sequence[Rep], shown_by: Sequence[bool], code: str, text: str) -> Notice:
    shown = [r for r, here in zip(each, shown_by, strict=True) if here]
    return Notice(
        level="look", code=code, start_s=shown[0].start_s, end_s=shown[-1].end_s, text=text
    )


def _period_notice(period: Period, level: str, code: str, text: str) -> Notice:
    return Notice.model_validate(
        {"level": level, "code": code, "start_s": period.start_s, "end_s": period.end_s,
         "text": text}
    )  # fmt: skip
