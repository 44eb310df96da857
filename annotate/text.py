"""Words and times for people: m:ss, and the known word somebody may have meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def clock(time_s: float) -> str:
    """Seconds as m:ss."""
    total = round(time_s)
    return f"{total // 60}:{total % 60:02d}"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`, or None when nothing is."""
    by_lower = {k.lower(): k for k in known}
    found = difflib.get_close_matches(word.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def plain(text: str) -> str:
    """User text without Markdown meaning, on one line."""
    text = " ".join(text.split())
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#|" else c for c in text)
