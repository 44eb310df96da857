"""The base of every value that leaves this package: immutable, and strict about its fields."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """Immutable; unknown fields are refused; fields may be given by name or alias."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
