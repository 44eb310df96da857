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
from annotate.reading import KeyPath, Located
from annotate.text import closest_match, quoted

COLUMNS = (
    "name", "kind", "movement", "duration", "rounds", "work", "recovery", "last_recovery",
    "recovery_movement", "reps", "left", "right", "cadence", "sides", "watch",
)  # fmt: skip
# Rows are read before periods are counted; a plan within the limit of periods has at most 400.
MAX_ROWS = 1000
# Bytes: the sheet of a plan unpacks to some kilobytes; a workbook beyond this limit is not a plan.
MAX_UNPACKED_BYTES = 20_000_000

_PER_ROUND = {"work", "recovery", "reps", "cadence"}

Row = tuple[int, Sequence[str]]


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
            rows.append((reader.line_num, [_cell_text(cell) for cell in cells]))
            if len(rows) > MAX_ROWS:
                break
    except csv.Error as error:
        raise PlanError(
            f"{name}, line {reader.line_num}: not readable as CSV ({error}); save it again as CSV"
        ) from error
    return _located_rows(rows, name, "line")


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
        if unpacked > MAX_UNPACKED_BYTES:
            raise PlanError(
                f"{name}: unpacks to {unpacked / 1e6:.0f} MB, too large for a plan; "
                "keep only the plan's sheet"
            )
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        cells = sheet.iter_rows(max_row=MAX_ROWS + 2, max_col=len(COLUMNS) * 2)
        rows = [
            (number, [_cell_text(c.value, c.number_format or "") for c in row])
            for number, row in enumerate(cells, 1)
        ]
    except PlanError:
        raise
    except Exception as error:  # a broken workbook makes the reader fail in many ways
        raise PlanError(f"{name}: not a readable Excel workbook; save it again as .xlsx") from error
    return _located_rows(rows, name, "row")


def _located_rows(rows: Iterable[Row], name: str, row_word: str) -> Located:
    """Rows under a header, as the same nested data that YAML gives."""
    filled = [(n, cells) for n, cells in rows if any(cells)]
    if not filled:
        raise PlanError(f"{name}: is empty; start with the column names: {', '.join(COLUMNS)}")
    if len(filled) > MAX_ROWS:
        raise PlanError(f"{name}: has more than {MAX_ROWS} rows; too long for a class plan")
    header_line, header = filled[0]
    columns = _checked_columns(header, f"{name}, {row_word} {header_line}")
    if len(filled) == 1:
        raise PlanError(f"{name}: has column names but no rows; add one row per block")
    blocks: list[dict[str, object]] = []
    lines: dict[KeyPath, int] = {("blocks",): header_line}
    for number, cells in filled[1:]:
        where: KeyPath = ("blocks", len(blocks))
        block = _block_of_row(columns, cells, f"{name}, {row_word} {number}")
        lines[where] = number
        lines.update({(*where, key): number for key in block})
        blocks.append(block)
    stem = PurePath(name).name.split(".")[0]
    return Located({"title": stem or "Untitled class", "blocks": blocks}, lines, row_word)


def _checked_columns(header: Sequence[str], at: str) -> list[str]:
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
            suggestion = closest_match(column, COLUMNS)
            fix = (
                f'did you mean "{suggestion}"?'
                if suggestion
                else f"known columns: {', '.join(COLUMNS)}"
            )
            raise PlanError(f"{at}: unknown column {quoted(header[i])}; {fix}")
        if column in columns[:i]:
            raise PlanError(f'{at}: column "{column}" appears twice; keep one')
    return columns


def _block_of_row(columns: Sequence[str], cells: Sequence[str], at: str) -> dict[str, object]:
    if any(cells[len(columns) :]):
        raise PlanError(
            f'{at}: more values than columns; put quotes around a list, such as "20 30 40"'
        )
    given: dict[str, Any] = {k: v for k, v in zip(columns, cells, strict=False) if v}
    for key in _PER_ROUND & given.keys():
        if re.fullmatch(r"\d+,\d+", given[key]):
            whole, part = given[key].split(",")
            raise PlanError(
                f'{at}: {key} "{given[key]}" is either one number or two rounds; '
                f'write {whole}.{part} or "{whole} {part}"'
            )
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


def _cell_text(value: object, number_format: str = "") -> str:
    """A cell as text.

    A spreadsheet stores 4:00 as four hours and 0:20 as twenty minutes, and shows them with the
    format hours:minutes; in a plan they are minutes and seconds. A format with seconds in it shows
    the time that is meant, but for hours: nobody plans those.
    """
    if value is None:
        return ""
    if isinstance(value, dt.time):
        value = dt.timedelta(hours=value.hour, minutes=value.minute, seconds=value.second)
    if isinstance(value, dt.timedelta):
        total = int(value.total_seconds())
        shows_seconds = "s" in number_format.lower() and total < 3600
        if total % 60 == 0 and not shows_seconds:
            return f"{total // 3600}:{total // 60 % 60:02d}"
        return str(total)
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(value).strip()
