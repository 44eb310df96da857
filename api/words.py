"""Times and user text as shown to people; no markup, no control characters."""

from __future__ import annotations


def clock(seconds: float) -> str:
    """``m:ss``, or ``h:mm:ss`` from one hour up."""
    whole = round(seconds)
    minutes, rest = divmod(abs(whole), 60)
    hours, minutes = divmod(minutes, 60)
    sign = "-" if whole < 0 else ""
    return f"{sign}{hours}:{minutes:02d}:{rest:02d}" if hours else f"{sign}{minutes}:{rest:02d}"


def one_line(text: str) -> str:
    """Text from a file or a user, safe to print: one line, nothing a terminal would obey."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
