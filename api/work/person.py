"""Whom to follow, as people write it: ``X,Y`` or ``X,Y@TIME``."""

from __future__ import annotations

import re

from annotate.plan.model import seconds
from annotate.text import quoted
from pose.errors import PersonNotFound
from pose.persons import Pick

# Five digits: no picture has more pixels on a side.
_NUMBER = r"(\d{1,5}(?:\.\d+)?)"
_FORM = re.compile(rf"\s*{_NUMBER}\s*,\s*{_NUMBER}\s*(?:@\s*(\S+)\s*)?", re.ASCII)
# The first picture is at 0, which is no duration.
_START = re.compile(r"0+(:00?){0,2}|0+\.0+|0+(\.0+)?s")


def read_person(text: str) -> Pick:
    """Read a point of the picture, and when it is meant.

    Parameters
    ----------
    text : str
        ``0.3,0.5`` or ``0.3,0.5@1:05``: fractions of the picture's width and height, or pixels
        where either is above 1; the time as seconds or m:ss.

    Raises
    ------
    PersonNotFound
        Written in another way.
    """
    match = _FORM.fullmatch(text)
    problem = PersonNotFound(
        f"person {quoted(text)}: should be X,Y or X,Y@TIME, such as 0.3,0.5@1:05 (fractions of the "
        "picture's width and height, or pixels)"
    )
    if match is None:
        raise problem
    x, y, time = match.groups()
    try:
        at_s = None if time is None else 0.0 if _START.fullmatch(time) else seconds(time)
    except ValueError:
        raise problem from None
    return Pick(float(x), float(y), at_s)
