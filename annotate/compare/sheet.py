"""The coach's sheet: planned against delivered, a row for each round and block, with totals."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from annotate.catalogue.model import name_of
from annotate.review.model import Comparison, Period, Review, SheetRow
from annotate.review.queries import counted_reps, delivered_as, round_label
from annotate.text import clock, csv_text, markdown_escaped

RowKind = Literal["round", "block", "added", "class"]
COLUMNS = (
    "row", "name", "planned_start_s", "delivered_start_s", "planned_work_s", "delivered_work_s",
    "planned_recovery_s", "delivered_recovery_s", "planned_reps", "delivered_reps",
    "delivered_left", "delivered_right", "cadence_per_min", "difference",
)  # fmt: skip


def sheet_rows(periods: Sequence[Period], comparison: Sequence[Comparison]) -> tuple[SheetRow, ...]:
    """Make the rows: each round, the sum of each block of several rounds, and the class.

    Without a plan there is nothing to compare, so there are no rows.
    """
    if not comparison:
        return ()
    rounds = _group_by_round(comparison)
    of_block: dict[int | None, list[list[Comparison]]] = {}
    for parts in rounds:
        of_block.setdefault(_block_index(parts[0]), []).append(parts)
    rows: list[SheetRow] = []
    for parts in rounds:
        block = _block_index(parts[0])
        several = len(of_block[block]) > 1
        kind: RowKind = "added" if block is None else "round" if several else "block"
        rows.append(_sheet_row(kind, _row_name(parts, kind), parts, periods))
        if kind == "round" and parts is of_block[block][-1]:
            whole = [c for each in of_block[block] for c in each]
            rows.append(_sheet_row("block", _row_name(whole, "block"), whole, periods))
    rows.append(_sheet_row("class", "Whole class", comparison, periods))
    return tuple(rows)


def _group_by_round(comparison: Sequence[Comparison]) -> list[list[Comparison]]:
    """Group the rows by round, in order; behind each round what was added in or after it."""
    found: dict[tuple[object, bool], list[Comparison]] = {}
    here: tuple[int, int | None] | None = None
    for row in comparison:
        if row.planned is not None:
            here = (row.planned.block_index, row.planned.round)
        found.setdefault((here, row.planned is None), []).append(row)
    return list(found.values())


def _block_index(row: Comparison) -> int | None:
    return None if row.planned is None else row.planned.block_index


def _row_name(rows: Sequence[Comparison], kind: RowKind) -> str:
    planned = rows[0].planned
    if planned is None:
        return "Not in the plan"
    return round_label(planned) if kind == "round" else planned.block


def _sheet_row(
    kind: RowKind, name: str, rows: Sequence[Comparison], periods: Sequence[Period]
) -> SheetRow:
    planned = [c.planned for c in rows if c.planned is not None]
    done = [p for c in rows if (p := delivered_as(c, periods)) is not None]
    work = [p for p in done if p.kind == "work"]
    rest = [p for p in done if p.kind == "recovery"]
    asked = [p.reps for p in planned if p.kind == "work"]
    sided = [p for p in work if p.reps.left is not None and p.reps.right is not None]
    rates = [p.reps.cadence_per_min for p in work if p.reps.cadence_per_min]
    words = [_difference_text(c, periods) for c in rows if c.status != "as planned"]
    return SheetRow(
        row=kind,
        name=name,
        planned_start_s=planned[0].start_s if planned else None,
        delivered_start_s=done[0].start_s if done else None,
        planned_work_s=sum(p.duration_s for p in planned if p.kind == "work"),
        delivered_work_s=round(sum(p.duration_s for p in work), 2),
        planned_recovery_s=sum(p.duration_s for p in planned if p.kind == "recovery"),
        delivered_recovery_s=round(sum(p.duration_s for p in rest), 2),
        planned_reps=sum(n for n in asked if n) if asked and None not in asked else None,
        delivered_reps=counted_reps(done),
        delivered_left=sum(p.reps.left or 0 for p in sided) if sided else None,
        delivered_right=sum(p.reps.right or 0 for p in sided) if sided else None,
        cadence_per_min=(round(sum(rates) / len(rates), 1) if rates and kind != "class" else None),
        difference=_differences_text(words, kind),
    )


def _difference_text(row: Comparison, periods: Sequence[Period]) -> str:
    text = row.text or row.status
    if row.planned is not None and row.planned.kind == "recovery":
        return f"recovery: {text}"
    done = delivered_as(row, periods)
    if row.planned is None and done is not None and not row.text:
        return name_of(done.movement)
    return text


def _differences_text(words: Sequence[str], kind: str) -> str:
    """Differences in full for a round; only their number for a block or the class."""
    if kind in ("round", "added") or len(words) <= 1:
        return "; ".join(words)
    return f"{len(words)} differences"


def sheet_csv(rows: Iterable[SheetRow]) -> str:
    """Write the rows as CSV; a cell without a value is empty."""
    return csv_text(COLUMNS, ([getattr(row, column) for column in COLUMNS] for row in rows))


def sheet_markdown(review: Review) -> str:
    """Write the rows as a Markdown table, with "planned / delivered" in each cell."""
    title = review.plan.title if review.plan else review.clip.name
    lines = [f"# {markdown_escaped(title)}: planned / delivered", ""]
    if not review.sheet:
        return "\n".join([*lines, "No plan was given: there is nothing to compare.", ""])
    lines += [
        "| | start | work | recovery | repetitions | left, right | cadence | difference |",
        "|---|---|---|---|---|---|---|---|",
        *(f"| {' | '.join(_cells(row))} |" for row in review.sheet),
        "",
    ]
    return "\n".join(lines)


def _cells(row: SheetRow) -> Iterator[str]:
    name = markdown_escaped(row.name)
    yield f"**{name}**" if row.row in ("block", "class") else name
    yield _planned_delivered_cell(row.planned_start_s, row.delivered_start_s)
    yield _planned_delivered_cell(row.planned_work_s, row.delivered_work_s)
    yield _planned_delivered_cell(row.planned_recovery_s, row.delivered_recovery_s)
    asked = "-" if row.planned_reps is None else str(row.planned_reps)
    yield f"{asked} / {'-' if row.delivered_reps is None else row.delivered_reps}"
    sided = row.delivered_left is not None
    yield f"{row.delivered_left}, {row.delivered_right}" if sided else ""
    yield "" if row.cadence_per_min is None else f"{row.cadence_per_min:.0f}/min"
    yield markdown_escaped(row.difference)


def _planned_delivered_cell(planned_s: float | None, delivered_s: float | None) -> str:
    return " / ".join("-" if s is None else clock(s) for s in (planned_s, delivered_s))
