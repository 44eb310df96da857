"""A class plan from a file: YAML, or a table with the same columns as CSV or XLSX.

Every fault in the file becomes a :class:`~annotate.errors.PlanError` of one line that names the
file, the line, the key, the value and the fix.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path, PurePath
from typing import Any

from pydantic import ValidationError

from annotate.errors import PlanError
from annotate.plan.messages import fault_line, refuse_unknown_and_empty_keys
from annotate.plan.model import ClassPlan
from annotate.plan.table_source import COLUMNS, read_csv, read_xlsx
from annotate.reading import FileKind, Located, read_bytes, read_yaml, text_of
from annotate.text import nearest, one_line

# Bytes: a plan of a hundred blocks has some 20 kB as text or as a workbook.
LARGEST_FILE = 1_000_000
# Rounds multiply stations: a short file could unroll to millions of periods. 2000 periods of five
# seconds are almost three hours.
MOST_PERIODS = 2000

PLAN_FILE = FileKind(
    PlanError,
    noun="plan",
    max_bytes=LARGEST_FILE,
    hint="a class plan is one screen of text",
    empty="a plan starts with title: and blocks:",
)
_TABLE_FILE = replace(PLAN_FILE, empty=f"start with the column names: {', '.join(COLUMNS)}")
# Kept as written: a block called 21 or a title of 2024 is still text.
_TEXT_KEYS = ("title", "name", "movement", "recovery_movement", "watch")


def read_plan(path: Path) -> ClassPlan:
    """Read a class plan from a ``.yaml``, ``.csv`` or ``.xlsx`` file.

    Raises
    ------
    PlanError
        The file cannot be read, or its values are wrong or contradict each other; the message is
        one plain line.
    """
    path = Path(path)
    return plan_from_bytes(read_bytes(path, PLAN_FILE, path.name), path.name)


def plan_from_bytes(data: bytes, name: str) -> ClassPlan:
    """Read a class plan from the content of a file.

    Parameters
    ----------
    data : bytes
    name : str
        Its suffix tells the format; messages show it.

    Raises
    ------
    PlanError
        As for :func:`read_plan`.
    """
    name = one_line(PurePath(name).name)
    suffix = PurePath(name).suffix.lower()
    if suffix == ".xlsx":
        if len(data) > LARGEST_FILE:
            raise PLAN_FILE.too_large(name)
        return _plan(read_xlsx(data, name), name)
    if suffix not in ("", ".yaml", ".yml", ".csv", ".txt"):
        raise PlanError(f"{name}: a plan is a .yaml, .csv or .xlsx file, not {suffix}")
    return parse_plan(data, name)


def parse_plan(given: str | bytes, name: str) -> ClassPlan:
    """Read a class plan from YAML text, or from CSV text when `name` ends in ``.csv``.

    Raises
    ------
    PlanError
        As for :func:`read_plan`.
    """
    if name.lower().endswith(".csv"):
        return _plan(read_csv(text_of(given, name, _TABLE_FILE), name), name)
    text = text_of(given, name, PLAN_FILE)
    return _plan(read_yaml(text, name, PLAN_FILE, _TEXT_KEYS), name)


def suggest_movement(word: str, known_ids: Iterable[str]) -> str | None:
    """The known movement id most like `word`, or None when none is similar."""
    known = list(known_ids)
    guess = movement_id(word)
    return nearest(guess, known) or nearest(guess.removesuffix("s"), known)


def movement_id(word: str) -> str:
    """The id of a movement as written by hand: ``Hip hinge`` -> ``hip-hinge``."""
    return re.sub(r"[\s_-]+", "-", word.strip().lower())


def _plan(located: Located, name: str) -> ClassPlan:
    data = located.data
    if not isinstance(data, dict):
        what = "empty" if data is None else "a list" if isinstance(data, list) else "plain text"
        raise PlanError(f"{name}: is {what}; a plan starts with title: and blocks:")
    refuse_unknown_and_empty_keys(located, name)
    blocks = data.get("blocks")
    for block in blocks if isinstance(blocks, list) else ():
        _tidy(block)
    try:
        plan = ClassPlan.model_validate(data)
    except ValidationError as error:
        raise PlanError(fault_line(error, located, name)) from error
    periods = sum(block.rounds * (4 * max(1, len(block.stations)) + 1) for block in plan.blocks)
    if periods > MOST_PERIODS:
        raise PlanError(f"{name}: comes to more than {MOST_PERIODS} periods; use fewer rounds")
    return plan


def _tidy(exercise: Any) -> None:
    """Normalise, in place, the hand-written words of a block or station for the model."""
    if not isinstance(exercise, dict):
        return
    for key in ("movement", "recovery_movement", "kind", "sides"):
        if isinstance(exercise.get(key), str):
            exercise[key] = movement_id(exercise[key])
    if isinstance(exercise.get("watch"), str):
        exercise["watch"] = [word for word in re.split(r"[\s,;]+", exercise["watch"]) if word]
    if isinstance(exercise.get("watch"), list):
        exercise["watch"] = [w.lower() if isinstance(w, str) else w for w in exercise["watch"]]
    stations = exercise.get("stations")
    for station in stations if isinstance(stations, list) else ():
        _tidy(station)
