"""Text for people and for the files they open: times, amounts, one safe line, tables.

All times in the package are formatted here, so that one moment looks the same in the script, in
the tables, on the command line and in a subtitle file.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence

# Invisible, but some scripts and emoji are spelt wrongly without them.
_JOINERS = "\u200c\u200d"
# Characters of a quoted value: a name fits, and the message stays on one line of a terminal
# (common practice, no source).
_MAX_SHOWN = 40


def clock(time_s: float) -> str:
    """A time in seconds for people: ``m:ss``, or ``h:mm:ss`` from one hour up.

    Rounded to the second; an exact half goes to the even second, as in all other numbers here.
    A time before zero has a minus sign.
    """
    whole_s = round(time_s)
    minutes, seconds = divmod(abs(whole_s), 60)
    hours, minutes = divmod(minutes, 60)
    text = f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"
    return f"-{text}" if whole_s < 0 else text


def hms(whole_s: int) -> str:
    """Whole seconds, zero or more, as ``hh:mm:ss``, for files and timecode."""
    minutes, seconds = divmod(whole_s, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}"


def stamp(units: int, mark: str = ".", *, per_s: int = 1000) -> str:
    """A time for a file: ``hh:mm:ss.mmm`` from milliseconds.

    The file formats have no times before zero: these are written as zero.

    Parameters
    ----------
    units : int
        The time, in units of ``1 / per_s`` seconds; milliseconds by default.
    mark : str
        Between seconds and their fraction: SubRip has a comma, others a point.
    per_s : int
        Units per second, a power of ten; it sets the number of digits after the mark.
    """
    whole_s, fraction = divmod(max(units, 0), per_s)
    return f"{hms(whole_s)}{mark}{fraction:0{len(str(per_s)) - 1}d}"


def plural(noun: str, count: int) -> str:
    """The noun as it follows a count: ``1 repetition``, ``0 repetitions``."""
    return noun if count == 1 else f"{noun}s"


def amount(count: int, noun: str) -> str:
    """A count and its noun: ``1 repetition``, ``12 repetitions``."""
    return f"{count} {plural(noun, count)}"


def one_line(text: str) -> str:
    """Text from a file or a user on one line, without characters that a terminal would act on.

    Line breaks, tabs and control characters become one space, together with the spaces around
    them. Invisible marks, such as those that change the direction of writing, are left out.
    """
    return re.sub(r" *\n[ \n]*", " ", "".join(map(_safe_character, text))).strip()


def _safe_character(character: str) -> str:
    """The character itself, nothing, or a line feed for what has to become a space."""
    if character.isprintable() or character in _JOINERS:
        return character
    return "" if unicodedata.category(character) == "Cf" else "\n"


def quoted(value: object) -> str:
    """A value as quoted in a message: short, on one line."""
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list | tuple):
        return "a list" if value else "empty"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = one_line(str(value))
    text = text if len(text) <= _MAX_SHOWN else f"{text[: _MAX_SHOWN - 3]}..."
    return f'"{text}"' if isinstance(value, str) else text


def closest_match(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`, ignoring case; None when none is similar."""
    by_lower = {k.lower(): k for k in known}
    # 0.6 is difflib's own default.
    found = difflib.get_close_matches(word.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as CSV (RFC 4180, but lines end in a line feed); None becomes an empty field.

    A spreadsheet takes text that begins like a formula for one. Such text gets an apostrophe before
    it, which spreadsheets hide (OWASP, "CSV Injection").
    """
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(columns)
    out.writerows([_no_formula(value) for value in row] for row in rows)
    return text.getvalue()


def _no_formula(value: object) -> object:
    """A cell that no spreadsheet computes; a signed number with its unit is none anyway."""
    if isinstance(value, str) and value[:1] in tuple("=+-@\t\r"):
        return value if re.fullmatch(r"[+-]\d+(\.\d+)?( \w+)?", value) else f"'{value}"
    return value


def markdown_escaped(text: str) -> str:
    """User text on one line, with the characters that Markdown interprets escaped."""
    text = one_line(text)
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#|" else c for c in text)
