"""What a test knows of a value and its type does not say; where it is wrong the test fails."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def known(value: T | None) -> T:
    """A value that is there."""
    assert value is not None
    return value


def as_a(kind: type[T], value: object) -> T:
    """A value of one of the kinds that its type leaves open."""
    assert isinstance(value, kind), value
    return value
