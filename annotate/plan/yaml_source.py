"""YAML text -> plain values, each remembered with the line it was written on.

Read from the event stream, not through a loader: that keeps line numbers, stops at the first
oversized or aliased thing, and leaves nothing for a loader to construct.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from annotate.errors import PlanError

Where = tuple[str | int, ...]

# A class fits one screen; these stop a file made to exhaust the machine.
MOST_VALUES = 20_000
DEEPEST = 8

# Kept as written: a block called 21 or a title of 2024 is text all the same.
TEXT_KEYS = {"title", "name", "movement", "recovery_movement", "watch"}


@dataclass(frozen=True)
class Located:
    """Values of a plan file and where each was written.

    Attributes
    ----------
    data : object
        Nested dict / list / scalars, ready for the plan model.
    lines : dict
        Path of keys and list positions -> 1-based line (or spreadsheet row).
    row_word : str
        What a line is called in this kind of file.
    """

    data: Any
    lines: dict[Where, int]
    row_word: str = "line"

    def line_of(self, where: Where) -> int | None:
        """Line of the deepest written thing on the path `where`."""
        return self.lines.get(self.deepest(where))

    def deepest(self, where: Where) -> Where:
        """The longest start of `where` that was really written in the file."""
        while where and where not in self.lines:
            where = where[:-1]
        return where


def read_yaml(text: str, name: str) -> Located:
    """Read one YAML document.

    Raises
    ------
    PlanError
        Not YAML, empty, aliased, tagged, a key twice, more than one document, or too large.
    """
    for number, line in enumerate(text.splitlines(), 1):
        if "\t" in line[: len(line) - len(line.lstrip())]:
            raise PlanError(f"{name}, line {number}: indented with a tab; use spaces instead")
    lines: dict[Where, int] = {}
    try:
        events = YAML(typ="safe", pure=True).parse(text)
        data = _document(_guarded(events, name), lines, name)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        at = f", line {mark.line + 1}" if mark else ""
        raise PlanError(
            f"{name}{at}: not readable as YAML ({error.problem or error.context}); "
            "check the indentation, the colons and the brackets near this line"
        ) from error
    except YAMLError as error:
        raise PlanError(f"{name}: not a plain text file; save the plan as UTF-8 text") from error
    return Located(data, lines)


def _guarded(events: Iterator[Any], name: str) -> Iterator[Any]:
    """Pass events on; refuse those a plan has no use for."""
    values = depth = documents = 0
    for event in events:
        at = f"{name}, line {event.start_mark.line + 1}"
        if isinstance(event, DocumentStartEvent):
            documents += 1
            if documents > 1:
                raise PlanError(f'{at}: a second plan starts here ("---"); keep one a file')
        if isinstance(event, AliasEvent) or getattr(event, "anchor", None):
            raise PlanError(f"{at}: references (& and *) are not used in plans; write it out")
        if isinstance(event, NodeEvent):
            values += 1
            if getattr(event, "tag", None) not in (None, "!"):
                raise PlanError(f"{at}: tags (!) are not used in plans; write the plain value")
        if isinstance(event, MappingStartEvent | SequenceStartEvent):
            depth += 1
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            depth -= 1
        if values > MOST_VALUES or depth > DEEPEST:
            raise PlanError(f"{at}: too long or too deeply nested for a class plan")
        yield event


def _document(events: Iterator[Any], lines: dict[Where, int], name: str) -> object:
    data: object = None
    for event in events:
        if isinstance(event, NodeEvent):
            data = _value(event, events, (), lines, name)
    return data


def _value(
    event: Any, events: Iterator[Any], where: Where, lines: dict[Where, int], name: str
) -> object:
    """The value that starts with `event`, reading on as far as it goes."""
    lines.setdefault(where, event.start_mark.line + 1)
    if isinstance(event, MappingStartEvent):
        return _mapping(events, where, lines, name)
    if isinstance(event, SequenceStartEvent):
        items: list[object] = []
        while not isinstance(event := next(events), SequenceEndEvent):
            items.append(_value(event, events, (*where, len(items)), lines, name))
        return items
    plain = event.implicit[0]
    as_text = next((key for key in reversed(where) if isinstance(key, str)), None) in TEXT_KEYS
    return _scalar(event.value, as_text=as_text) if plain else event.value


def _mapping(
    events: Iterator[Any], where: Where, lines: dict[Where, int], name: str
) -> dict[str, object]:
    found: dict[str, object] = {}
    while not isinstance(event := next(events), MappingEndEvent):
        line = event.start_mark.line + 1
        if not isinstance(event, ScalarEvent):
            raise PlanError(f"{name}, line {line}: a key should be one plain word")
        key = str(event.value)
        if key in found:
            raise PlanError(
                f'{name}, line {line}: "{key}" is given twice (first on line '
                f"{lines[(*where, key)]}); keep one"
            )
        lines[(*where, key)] = line
        found[key] = _value(next(events), events, (*where, key), lines, name)
    return found


def _scalar(text: str, *, as_text: bool) -> object:
    """An unquoted value: number, true/false, nothing, or text."""
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if as_text:
        return text
    if text.lower() in ("true", "false"):
        return text.lower() == "true"
    if re.fullmatch(r"[-+]?\d{1,15}", text):
        return int(text)
    if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?", text) and math.isfinite(float(text)):
        return float(text)
    return text
