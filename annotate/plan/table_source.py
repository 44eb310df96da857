"""A plan written as a table (CSV or XLSX): one row per block, columns named like the YAML keys.

Circuits need YAML; a table row is one exercise with its rounds, a warm-up, a cool-down or a break.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import PurePath
from typing import Any

from annotate.errors import PlanError
from annotate.reading import Located, Where
from annotate.text import nearest, shown

COLUMNS = (
    "name", "kind", "movement", "duration", "rounds", "work", "recovery", "last_recovery",
    "recovery_movement", "reps", "left", "right", "cadence", "sides", "watch",
)  # fmt: skip
# Rows are read before periods are counted; a plan within the limit of periods has at most 400.
MOST_ROWS = 1000
# Bytes: the sheet of a plan unpacks to some kilobytes; a workbook beyond this limit is not a plan.
MOST_UNPACKED = 20_000_000

_PER_ROUND = {"work", "recovery", "reps", "cadence"}

Row = tuple[int, Sequence[object]]


def read_csv(text: str, name: str) -> Located:
    """Read a plan from CSV with a header line; comma, semicolon or tab between columns.

    Raises
    ------
    PlanError
        Not CSV, empty, too many rows, or wrong columns.
    """
    head = text.lstrip("\n\r").split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        rows: list[Row] = []
        for cells in reader:
            rows.append((reader.line_num, cells))
            if len(rows) > MOST_ROWS:
                break
    except csv.Error as error:
        raise PlanError(
            f"{name}, line {reader.line_num}: not readable as CSV ({error}); save it again as CSV"
        ) from error
    return _located(rows, name, "line")


def read_xlsx(data: bytes, name: str) -> Located:
    """Read a plan from the first sheet of an Excel workbook.

    Raises
    ------
    PlanError
        Not a workbook, too large, empty, too many rows, or wrong columns.
    """
    from openpyxl import load_workbook  # slow to import and rarely needed

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            unpacked = sum(member.file_size for member in archive.infolist())
        if unpacked > MOST_UNPACKED:
            raise PlanError(
                f"{name}: unpacks to {unpacked / 1e6:.0f} MB, too large for a plan; "
                "keep only the plan's sheet"
            )
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = list(
            enumerate(
                sheet.iter_rows(max_row=MOST_ROWS + 2, max_col=len(COLUMNS) * 2, values_only=True),
                1,
            )
        )
    except PlanError:
        raise
    except Exception as error:  # a broken workbook makes the reader fail in many ways
        raise PlanError(f"{name}: not a readable Excel workbook; save it again as .xlsx") from error
    return _located(rows, name, "row")


def _located(rows: Iterable[Row], name: str, row_word: str) -> Located:
    """Rows under a header, as the same nested data that YAML gives."""
    filled = [(n, [_cell(c) for c in cells]) for n, cells in rows]
    filled = [(n, cells) for n, cells in filled if any(cells)]
    if not filled:
        raise PlanError(f"{name}: is empty; start with the column names: {', '.join(COLUMNS)}")
    if len(filled) > MOST_ROWS:
        raise PlanError(f"{name}: has more than {MOST_ROWS} rows; too long for a class plan")
    header_line, header = filled[0]
    columns = _columns(header, f"{name}, {row_word} {header_line}")
    if len(filled) == 1:
        raise PlanError(f"{name}: has column names but no rows; add one row per block")
    blocks: list[dict[str, object]] = []
    lines: dict[Where, int] = {("blocks",): header_line}
    for number, cells in filled[1:]:
        where: Where = ("blocks", len(blocks))
        block = _block(columns, cells, f"{name}, {row_word} {number}")
        lines[where] = number
        lines.update({(*where, key): number for key in block})
        blocks.append(block)
    stem = PurePath(name).name.split(".")[0]
    return Located({"title": stem or "Untitled class", "blocks": blocks}, lines, row_word)


def _columns(header: Sequence[str], at: str) -> list[str]:
    columns = [re.sub(r"[\s-]+", "_", cell.lower()) for cell in header]
    while columns and not columns[-1]:
        columns.pop()
    if "name" not in columns:
        raise PlanError(
            f'{at}: the first {at.split()[-2]} should hold the column names, including "name": '
            f"{', '.join(COLUMNS)}"
        )
    for i, column in enumerate(columns):
        if column not in COLUMNS:
            guess = nearest(column, COLUMNS)
            fix = f'did you mean "{guess}"?' if guess else f"known columns: {', '.join(COLUMNS)}"
            raise PlanError(f"{at}: unknown column {shown(header[i])}; {fix}")
        if column in columns[:i]:
            raise PlanError(f'{at}: column "{column}" appears twice; keep one')
    return columns


def _block(columns: Sequence[str], cells: Sequence[str], at: str) -> dict[str, object]:
    if any(cells[len(columns) :]):
        raise PlanError(
            f'{at}: more values than columns; put quotes around a list, such as "20 30 40"'
        )
    given: dict[str, Any] = {k: v for k, v in zip(columns, cells, strict=False) if v}
    for key in _PER_ROUND & given.keys():
        values = [v for v in re.split(r"[\s,;]+", given[key].replace("/ min", "/min")) if v]
        given[key] = values[0] if len(values) == 1 else values
    left, right = given.pop("left", None), given.pop("right", None)
    if left or right:
        if "reps" in given:
            raise PlanError(f'{at}: give either "reps", or "left" and "right"; not all three')
        if not (left and right):
            raise PlanError(f'{at}: "left" and "right" go together; fill in both')
        given["reps"] = {"left": left, "right": right}
    return given


def _cell(value: object) -> str:
    """A cell as text.

    A spreadsheet turns a typed ``4:00`` into four hours. No block lasts hours, so a time of one
    hour or more without seconds is read as the minutes and seconds that were typed.
    """
    if value is None:
        return ""
    if isinstance(value, dt.time):
        value = dt.timedelta(hours=value.hour, minutes=value.minute, seconds=value.second)
    if isinstance(value, dt.timedelta):
        total = int(value.total_seconds())
        if total >= 3600 and total % 60 == 0:
            return f"{total // 3600}:{total // 60 % 60:02d}"
        return str(total)
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(value).strip()
