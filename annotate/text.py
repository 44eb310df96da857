"""Times for people: m:ss."""

from __future__ import annotations


def clock(time_s: float) -> str:
    """Seconds as m:ss."""
    total = round(time_s)
    return f"{total // 60}:{total % 60:02d}"
