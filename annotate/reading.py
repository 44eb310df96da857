"""The one reader of text files that users give: plans, captions, phrases, corrections, reviews.

Every fault in a file becomes one line, "what, where, what to do", raised as the error of its kind.
YAML is read from the event stream, not through a loader: that keeps line numbers, stops at the
first alias or oversized part, and constructs no objects.

:class:`Frozen` is here because refusing unknown fields is the second half of reading: it holds
what was read, and every value that leaves the package.
"""

from __future__ import annotations

import codecs
import math
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict
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

from annotate.text import one_line, shown
from pose.errors import InputError

Where = tuple[str | int, ...]

# Limits against a file made to exhaust the machine. A plan of a hundred blocks with all 15 keys
# has about 3,100 keys and values; its deepest value, the left count of one round of a station,
# lies in 7 nested groups and lists.
MAX_VALUES = 20_000
MAX_DEPTH = 8

# Byte-order marks and the encoding each one announces.
_MARKS = {
    codecs.BOM_UTF8: "utf-8",
    codecs.BOM_UTF16_LE: "utf-16-le",
    codecs.BOM_UTF16_BE: "utf-16-be",
}


class Frozen(BaseModel):
    """A model that is immutable, refuses unknown fields, and takes a field by name or alias."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


@dataclass(frozen=True)
class FileKind:
    """One kind of text file that users give, and how its faults are reported.

    Attributes
    ----------
    error : type of InputError
        Class of the error that is raised.
    noun : str
        What the file is called, as in "save the plan as UTF-8 text".
    max_bytes : int
        A larger file is refused.
    hint : str
        What to give instead, or what such a file contains.
    empty : str
        What to add to an empty file; "" where an empty file is allowed.
    missing : str
        What to do when the file does not exist.
    """

    error: type[InputError]
    noun: str
    max_bytes: int
    hint: str
    empty: str = ""
    missing: str = "check the name and the folder"

    def fault(self, name: str, what: str, line: int | None = None) -> InputError:
        """The error to raise: the file, the line if known, what is wrong and the fix."""
        at = "" if line is None else f", line {line}"
        return self.error(one_line(f"{name}{at}: {what}"))

    def too_large(self, name: str) -> InputError:
        """The error for a file beyond the limit."""
        most = self.max_bytes
        size = f"{most // 1000} kB" if most < 1_000_000 else f"{most // 1_000_000} MB"
        return self.fault(name, f"larger than {size}; {self.hint}")


def read_bytes(path: Path, kind: FileKind, name: str | None = None) -> bytes:
    """The content of a file, up to the size limit of its kind.

    Parameters
    ----------
    path : Path
    kind : FileKind
        Its size limit and its messages.
    name : str or None
        What messages call the file; by default its path.

    Raises
    ------
    InputError
        The file is missing, a folder, unreadable or too large; of the class ``kind.error``.
    """
    name = str(path) if name is None else name
    try:
        with path.open("rb") as file:
            data = file.read(kind.max_bytes + 1)
    except FileNotFoundError as error:
        raise kind.fault(name, f"no such file; {kind.missing}") from error
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        if isinstance(error, OSError) and path.is_dir():
            raise kind.fault(name, f"cannot be read: it is a folder; {kind.hint}") from error
        reason = getattr(error, "strerror", None) or str(error)
        raise kind.fault(name, f"cannot be read ({reason.lower()}); {kind.hint}") from error
    if len(data) > kind.max_bytes:
        raise kind.too_large(name)
    return data


def text_of(given: bytes | str, name: str, kind: FileKind) -> str:
    """The text of a file's content: UTF-8, or UTF-16 where a byte-order mark says so.

    Text that was typed into a form passes the same checks.

    Raises
    ------
    InputError
        The content is too large, not text, or empty; of the class ``kind.error``.
    """
    if len(given) > kind.max_bytes:
        raise kind.too_large(name)
    text = given.removeprefix("\ufeff") if isinstance(given, str) else _decoded(given, name, kind)
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise kind.fault(name, f"not text; save the {kind.noun} as UTF-8 text", line)
    if kind.empty and not text.strip():
        raise kind.fault(name, f"is empty; {kind.empty}")
    return text


def read_text(path: Path, kind: FileKind, name: str | None = None) -> str:
    """The text of a file; see :func:`read_bytes` and :func:`text_of`."""
    name = str(path) if name is None else name
    return text_of(read_bytes(path, kind, name), name, kind)


def _decoded(data: bytes, name: str, kind: FileKind) -> str:
    mark = next((m for m in _MARKS if data.startswith(m)), b"")
    encoding = _MARKS.get(mark, "utf-8")
    body = data[len(mark) :]
    try:
        return body.decode(encoding)
    except UnicodeDecodeError as error:
        line = body[: error.start].decode(encoding, "replace").count("\n") + 1
        what = "not UTF-8 text" if encoding == "utf-8" else "not text"
        raise kind.fault(name, f"{what}; save the {kind.noun} as UTF-8 text", line) from error


@dataclass(frozen=True)
class Located:
    """Values of a file and where each was written.

    Attributes
    ----------
    data : object
        Nested dicts, lists and scalars.
    lines : dict
        Path of keys and list positions -> line (or spreadsheet row), from 1.
    row_word : str
        What messages call a line: "line", or "row" in a spreadsheet.
    """

    data: Any
    lines: dict[Where, int]
    row_word: str = "line"

    def line_of(self, where: Where) -> int | None:
        """Line of the deepest part of the path `where` that is in the file."""
        return self.lines.get(self.deepest(where))

    def deepest(self, where: Where) -> Where:
        """The longest leading part of `where` that is in the file."""
        while where and where not in self.lines:
            where = where[:-1]
        return where


def read_yaml(text: str, name: str, kind: FileKind, text_keys: Collection[str] = ()) -> Located:
    """Read one YAML document (or JSON, which is YAML).

    Parameters
    ----------
    text_keys : collection of str
        Keys whose values stay as written: a name of 21 is still text.

    Raises
    ------
    InputError
        Not YAML, an alias, a tag, a key given twice, more than one document, or too many or too
        deeply nested values; of the class ``kind.error``.
    """
    if not text.lstrip().startswith(("{", "[")):  # YAML allows tabs between brackets
        for number, line in enumerate(text.split("\n"), 1):
            if "\t" in line[: len(line) - len(line.lstrip())]:
                raise kind.fault(name, "indented with a tab; use spaces instead", number)
    builder = _Builder(kind, name, frozenset(text_keys))
    try:
        return builder.document(YAML(typ="safe", pure=True).parse(text))
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise kind.fault(
            name,
            f"not readable as YAML ({error.problem or error.context}); check the indentation, the "
            "colons and the brackets near this line",
            mark.line + 1 if mark else None,
        ) from error
    except (YAMLError, ValueError, OverflowError, AssertionError) as error:
        # The parser raises these on invalid escapes and version lines.
        at = getattr(error, "position", None)  # of a character that YAML does not allow
        raise kind.fault(
            name,
            f"not readable as YAML; keep the {kind.noun} to plain UTF-8 text, without \\ and %",
            None if at is None else text[:at].count("\n") + 1,
        ) from error


class _Builder:
    """Builds plain values and their lines from the events of one document."""

    def __init__(self, kind: FileKind, name: str, text_keys: Collection[str]) -> None:
        self._kind, self._name, self._text_keys = kind, name, text_keys
        self._lines: dict[Where, int] = {}

    def document(self, stream: Iterator[Any]) -> Located:
        data: object = None
        events = self._guarded(stream)
        for event in events:
            if isinstance(event, NodeEvent):
                data = self._value(event, events, ())
        return Located(data, self._lines)

    def _fault(self, what: str, event: Any) -> InputError:
        return self._kind.fault(self._name, what, event.start_mark.line + 1)

    def _guarded(self, events: Iterator[Any]) -> Iterator[Any]:
        """Pass events on; refuse those that such a file has no use for, and too many of them."""
        noun = self._kind.noun
        values = depth = documents = 0
        for event in events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise self._fault(
                        f'a second {noun} starts here ("---"); keep one per file', event
                    )
            if isinstance(event, AliasEvent) or getattr(event, "anchor", None):
                raise self._fault(
                    f"references (& and *) are not used in a {noun}; write it out", event
                )
            if isinstance(event, NodeEvent):
                values += 1
                if getattr(event, "tag", None) not in (None, "!"):
                    raise self._fault(
                        f"tags (!) are not used in a {noun}; write the plain value", event
                    )
            if isinstance(event, MappingStartEvent | SequenceStartEvent):
                depth += 1
            elif isinstance(event, MappingEndEvent | SequenceEndEvent):
                depth -= 1
            if values > MAX_VALUES or depth > MAX_DEPTH:
                raise self._fault(f"too long or too deeply nested for a {noun}", event)
            yield event

    def _value(self, event: Any, events: Iterator[Any], where: Where) -> object:
        """The value that starts with `event`, read to its end."""
        self._lines.setdefault(where, event.start_mark.line + 1)
        if isinstance(event, MappingStartEvent):
            return self._mapping(events, where)
        if isinstance(event, SequenceStartEvent):
            items: list[object] = []
            while not isinstance(event := next(events), SequenceEndEvent):
                items.append(self._value(event, events, (*where, len(items))))
            return items
        key = next((step for step in reversed(where) if isinstance(step, str)), None)
        plain = event.implicit[0]
        return _scalar(event.value, as_text=key in self._text_keys) if plain else event.value

    def _mapping(self, events: Iterator[Any], where: Where) -> dict[str, object]:
        found: dict[str, object] = {}
        while not isinstance(event := next(events), MappingEndEvent):
            if not isinstance(event, ScalarEvent):
                raise self._fault("a key should be one plain word", event)
            key = str(event.value)
            if key in found:
                first = self._lines[(*where, key)]
                raise self._fault(
                    f"{shown(key)} is given twice (first on line {first}); keep one", event
                )
            self._lines[(*where, key)] = event.start_mark.line + 1
            found[key] = self._value(next(events), events, (*where, key))
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
