"""Times for people: m:ss."""

from __future__ import annotations


def clock(time_s: float) -> str:
    """Seconds as m:ss."""
    total = round(time_s)
    return f"{total // 60}:{total % 60:02d}"


def plain(text: str) -> str:
    """User text without Markdown meaning, on one line."""
    text = " ".join(text.split())
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#|" else c for c in text)
