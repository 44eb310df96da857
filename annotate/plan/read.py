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

from annotate.catalogue.model import catalogue
from annotate.errors import PlanError
from annotate.plan.messages import check_keys, fault_line
from annotate.plan.model import ClassPlan
from annotate.plan.table_source import COLUMNS, read_csv, read_xlsx
from annotate.plan.unroll import Timeline
from annotate.reading import FileKind, Located, checked_text, read_bytes, read_yaml
from annotate.text import closest_match, one_line

# Bytes: a plan of a hundred blocks has some 20 kB as text or as a workbook.
MAX_BYTES = 1_000_000
# Rounds multiply stations: a short file could unroll to millions of periods. 2000 periods of five
# seconds are almost three hours.
MAX_PERIODS = 2000

PLAN_FILE = FileKind(
    PlanError,
    noun="plan",
    max_bytes=MAX_BYTES,
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
        if len(data) > MAX_BYTES:
            raise PLAN_FILE.too_large(name)
        return _checked_plan(read_xlsx(data, name), name)
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
        return _checked_plan(read_csv(checked_text(given, name, _TABLE_FILE), name), name)
    text = checked_text(given, name, PLAN_FILE)
    return _checked_plan(read_yaml(text, name, PLAN_FILE, _TEXT_KEYS), name)


def suggest_movement(word: str, known_ids: Iterable[str]) -> str | None:
    """The known movement id most like `word`, or None when none is similar."""
    known = list(known_ids)
    suggestion = movement_id(word)
    return closest_match(suggestion, known) or closest_match(suggestion.removesuffix("s"), known)


def unknown_movement_remarks(timeline: Timeline) -> list[str]:
    """One line for each movement of a plan that is not in the catalogue; this is no fault."""
    known = catalogue()
    words = dict.fromkeys(p.movement for p in timeline.periods if p.movement)
    remarks = []
    for word in (w for w in words if w not in known):
        suggestion = suggest_movement(word, known)
        hint = f'; did you mean "{suggestion}"?' if suggestion else ""
        remarks.append(f'"{word}" is not a known movement: it is counted as it comes{hint}')
    return remarks


def movement_id(word: str) -> str:
    """The id of a movement as written by hand: ``Hip hinge`` -> ``hip-hinge``."""
    return re.sub(r"[\s_-]+", "-", word.strip().lower())


def _checked_plan(located: Located, name: str) -> ClassPlan:
    data = located.data
    if not isinstance(data, dict):
        what = "empty" if data is None else "a list" if isinstance(data, list) else "plain text"
        raise PlanError(f"{name}: is {what}; a plan starts with title: and blocks:")
    check_keys(located, name)
    blocks = data.get("blocks")
    for block in blocks if isinstance(blocks, list) else ():
        _normalise_words(block)
    try:
        plan = ClassPlan.model_validate(data)
    except ValidationError as error:
        raise PlanError(fault_line(error, located, name)) from error
    periods = sum(block.rounds * (4 * max(1, len(block.stations)) + 1) for block in plan.blocks)
    if periods > MAX_PERIODS:
        raise PlanError(f"{name}: comes to more than {MAX_PERIODS} periods; use fewer rounds")
    return plan


def _normalise_words(exercise: Any) -> None:
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
        _normalise_words(station)
