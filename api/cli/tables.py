"""What the command line prints: a review against its plan, and an unrolled plan.

Names come from users: they go into ``Text``, never into markup.
"""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from annotate.catalogue.model import name_of
from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import Comparison, Notice, Period, Review
from annotate.review.queries import delivered_as
from annotate.text import amount, clock, one_line
from api.work.folder import ReviewFolder
from api.work.produce import Produced

_STATUS_STYLE = {"as planned": "green", "skipped": "red", "swapped": "red", "added": "yellow"}
_LEVEL_STYLE = {"warning": "bold red", "look": "yellow", "info": "dim"}


def print_review(review: Review, console: Console) -> None:
    """Print planned, delivered, difference (without a plan: delivered), totals and notices."""
    table = _table()
    table.add_column("At", justify="right", no_wrap=True)
    if review.plan is not None:
        table.add_column("Planned", ratio=3)
    table.add_column("Delivered", ratio=3)
    if review.plan is not None:
        table.add_column("Difference", ratio=3)
        for row in review.comparison:
            table.add_row(*_comparison_cells(row, review))
    else:
        for period in review.periods:
            table.add_row(clock(period.start_s), _delivered(period))
    console.print(table)
    for line in _totals(review):
        console.print(Text(line))
    if review.notices:
        console.print()
    for notice in review.notices:
        console.print(_notice(notice))


def print_edited_copies(produced: Produced, folder: ReviewFolder, console: Console) -> None:
    """Say which files had been edited by hand, and where the edited versions are."""
    for name, kept in produced.edited_copies:
        line = f"{name} had been edited: your version is kept as {folder.file(kept)}"
        console.print(Text(one_line(line)), soft_wrap=True)


def print_timeline(timeline: Timeline, console: Console) -> None:
    """Print the unrolled plan with its totals."""
    console.print(Text(one_line(timeline.title), style="bold"))
    table = _table()
    table.add_column("At", justify="right", no_wrap=True)
    table.add_column("For", justify="right", no_wrap=True)
    table.add_column("What", ratio=3)
    table.add_column("Movement", ratio=2)
    table.add_column("Asked", ratio=2)
    for period in timeline.periods:
        table.add_row(
            clock(period.start_s),
            clock(period.duration_s),
            _text(period.label, style="dim" if period.kind in ("recovery", "break") else ""),
            _text(name_of(period.movement) if period.movement else ""),
            _text(_asked(period)),
        )
    console.print(table)
    other_s = timeline.total_s - timeline.work_s - timeline.recovery_s
    console.print(
        Text(
            f"Total {clock(timeline.total_s)}: work {clock(timeline.work_s)}, "
            f"recovery {clock(timeline.recovery_s)}, the rest {clock(other_s)}."
        )
    )
    console.print(Text(last_recovery_sentence(timeline)))


def last_recovery_sentence(timeline: Timeline) -> str:
    """Say whether the last recovery counts: totals are easily wrong by this one period."""
    recoveries = [p for p in timeline.periods if p.kind == "recovery"]
    if not recoveries:
        return "No recovery is planned."
    if not timeline.ends_with_recovery:
        return "The last recovery is left out: the exercise ends with work."
    last = recoveries[-1].duration_s
    return (
        f"The last recovery ({clock(last)}) counts; without it the total is "
        f"{clock(timeline.total_s - last)} (last_recovery: false leaves it out)."
    )


def _table() -> Table:
    return Table(box=box.SIMPLE_HEAD, expand=True, pad_edge=False)


def _text(text: str, style: str = "") -> Text:
    return Text(one_line(text), style=style)


def _comparison_cells(row: Comparison, review: Review) -> tuple[Text, ...]:
    done = delivered_as(row, review.periods)
    start_s = row.planned.start_s if row.planned else done.start_s if done else 0.0
    planned = "not planned"
    if row.planned:
        parts = (f"{row.planned.label}: {clock(row.planned.duration_s)}", _asked(row.planned))
        planned = ", ".join(part for part in parts if part)
    return (
        Text(clock(start_s)),
        _text(planned, style="" if row.planned else "yellow"),
        _delivered(done, kind=row.planned is None),
        _text(row.text or row.status, style=_STATUS_STYLE.get(row.status, "yellow")),
    )


def _delivered(period: Period | None, *, kind: bool = True) -> Text:
    """Duration and repetitions; with `kind`, also what it was."""
    if period is None:
        return Text("-", style="red")
    text = clock(period.duration_s)
    if period.reps.count:
        text += f", {_reps(period.reps.count, period.reps.left, period.reps.right)}"
    if period.not_assessable is not None:
        return _text(f"not assessable: {period.not_assessable}: {text}", style="yellow")
    if kind:
        movement = f", {name_of(period.movement)}" if period.movement else ""
        text = f"{period.kind}{movement}: {text}"
    return _text(text)


def _asked(period: PlannedPeriod) -> str:
    parts = []
    if period.reps is not None:
        parts.append(_reps(period.reps, period.left, period.right))
    if period.cadence_per_min is not None:
        parts.append(f"{period.cadence_per_min:g}/min")
    return ", ".join(parts)


def _reps(count: int, left: int | None, right: int | None) -> str:
    sides = f" ({left} left, {right} right)" if left is not None and right is not None else ""
    return f"{amount(count, 'rep')}{sides}"


def _totals(review: Review) -> list[str]:
    totals = review.totals
    rows = (
        ("Class", totals.planned_s, totals.delivered_s),
        ("Work", totals.planned_work_s, totals.delivered_work_s),
        ("Recovery", totals.planned_recovery_s, totals.delivered_recovery_s),
    )
    lines = []
    for name, planned, delivered in rows:
        if planned is None:
            lines.append(f"{name}: {clock(delivered)} delivered")
        else:
            difference = round(delivered - planned)
            lines.append(
                f"{name}: {clock(planned)} planned, {clock(delivered)} delivered"
                + (f" ({difference:+d} s)" if difference else "")
            )
    return lines


def _notice(notice: Notice) -> Text:
    at = ""
    if notice.start_s is not None:
        at = f" {clock(notice.start_s)}"
        if notice.end_s is not None and round(notice.end_s) > round(notice.start_s):
            at += f"-{clock(notice.end_s)}"
    return Text.assemble(
        (f"{notice.level}{at}: ", _LEVEL_STYLE[notice.level]), one_line(notice.text)
    )
