"""The timed script for the next take: what to do and say when, with corrections from the last take.

Times are on the planned clock; each line also has the same moment of the last take.
"""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from annotate.plan.unroll import PlannedPeriod
from annotate.reading import Frozen
from annotate.review.model import Comparison, Period, Review, Status
from annotate.review.queries import delivered_as, label_of, rows_by_planned
from annotate.script.last_take import beside
from annotate.script.lines import wishes_of
from annotate.script.phrases import Phrases, default_phrases
from annotate.script.schedule import ScriptLine, placed
from annotate.text import clock

CAUTIONS = (
    "Stop when you feel dizzy, unwell or in pain, and say so to your class at the start.",
    "Anyone in doubt about exercising asks a doctor first.",
    "This sheet comes from a video: a screening aid for rehearsing, not a diagnosis. "
    "Qualified people and your local rules come first.",
)


class ScriptPeriod(Frozen):
    """One planned period with its planned and delivered times, and its lines."""

    block: str
    station: str | None = None
    label: str
    kind: str
    movement: str | None
    planned_start_s: float
    planned_duration_s: float
    planned_reps: int | None
    planned_cadence_per_min: float | None
    delivered_start_s: float | None
    delivered_duration_s: float | None
    delivered_reps: int | None
    delivered_cadence_per_min: float | None
    status: Status
    difference: str
    on_beat: str = Field(description="the last take against its music; empty where unknown")
    lines: tuple[ScriptLine, ...]


class Script(Frozen):
    """The whole script; times are seconds on the planned clock of the next take."""

    title: str
    duration_s: float
    periods: tuple[ScriptPeriod, ...]
    not_in_plan: tuple[str, ...]
    cautions: tuple[str, ...]


def make_script(review: Review, phrases: Phrases | None = None) -> Script:
    """Build the script of the next take from a review.

    Without a plan the script lists the delivered periods, without lines to say.

    Parameters
    ----------
    review : Review
    phrases : Phrases or None
        The instructor's own, from :func:`annotate.script.phrases.read_phrases`; None for the
        default phrases.
    """
    if review.plan is None:
        return _script_of_take(review)
    planned = review.plan.periods
    rows = rows_by_planned(review.comparison)
    wishes = wishes_of(review, planned, rows, phrases or default_phrases())
    lines = beside(placed(wishes), planned, rows, review)
    return Script(
        title=review.plan.title,
        duration_s=review.plan.total_s,
        periods=tuple(
            _script_period(p, rows.get(p.index), review, _during(lines, p, p is planned[-1]))
            for p in planned
        ),
        not_in_plan=tuple(
            f"{clock(done.start_s)} {row.text}"
            for row in review.comparison
            if row.planned is None and (done := delivered_as(row, review.periods)) is not None
        ),
        cautions=CAUTIONS,
    )


def _script_of_take(review: Review) -> Script:
    periods = tuple(
        ScriptPeriod(
            block="As delivered",
            label=label_of(p, None),
            kind=p.kind,
            movement=p.movement,
            planned_start_s=p.start_s,
            planned_duration_s=p.duration_s,
            planned_reps=None,
            planned_cadence_per_min=None,
            delivered_start_s=p.start_s,
            delivered_duration_s=p.duration_s,
            delivered_reps=p.reps.count,
            delivered_cadence_per_min=p.reps.cadence_per_min,
            status="as planned",
            difference="no plan given",
            on_beat=_on_beat(p, None, review),
            lines=(),
        )
        for p in review.periods
    )
    return Script(
        title=f"{review.clip.name}, as delivered (no plan given)",
        duration_s=review.clip.duration_s,
        periods=periods,
        not_in_plan=(),
        cautions=CAUTIONS,
    )


def _script_period(
    planned: PlannedPeriod,
    row: Comparison | None,
    review: Review,
    lines: tuple[ScriptLine, ...],
) -> ScriptPeriod:
    done = delivered_as(row, review.periods)
    return ScriptPeriod(
        block=planned.block,
        station=planned.station,
        label=planned.label,
        kind=planned.kind,
        movement=planned.movement,
        planned_start_s=planned.start_s,
        planned_duration_s=planned.duration_s,
        planned_reps=planned.reps,
        planned_cadence_per_min=planned.cadence_per_min,
        delivered_start_s=done.start_s if done else None,
        delivered_duration_s=done.duration_s if done else None,
        # Nobody was seen in an absence, so the repetitions are not known to be none.
        delivered_reps=done.reps.count if done and done.kind != "absent" else None,
        delivered_cadence_per_min=done.reps.cadence_per_min if done else None,
        status=row.status if row else "skipped",
        difference=(row.text if row else "left out") or "as planned",
        on_beat=_on_beat(done, row, review),
        lines=lines,
    )


def _on_beat(done: Period | None, row: Comparison | None, review: Review) -> str:
    """Sentences on a delivered period and the music: its repetitions and its first count."""
    if done is None:
        return ""
    texts = [b.text for b in review.on_beat if b.period == done.index]
    texts += [c.text for c in review.changes_on_beat if c.at_s == done.start_s]
    # Each begins with the label of the period, which is the heading here.
    return " ".join(t.removeprefix(f"{label_of(done, row)}: ").capitalize() for t in texts)


def _during(
    lines: Sequence[ScriptLine], period: PlannedPeriod, last: bool
) -> tuple[ScriptLine, ...]:
    return tuple(x for x in lines if period.start_s <= x.at_s and (x.at_s < period.end_s or last))
