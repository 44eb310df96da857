"""What a review says about the clip's music, and about the movement against its beat."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from annotate.reading import Frozen


class Music(Frozen):
    """A stretch of the clip's music at one tempo."""

    start_s: float
    end_s: float
    beats_per_min: float
    first_beat_s: float
    sure: bool = Field(description="whether the beat is clear enough to judge by it")
    accent_every: int = Field(description="beats from accent to accent: 8, 4, or 1 for unknown")
    accent_beat: int = Field(description="beats from the first beat to the first accent")


class OnBeat(Frozen):
    """The repetitions of one period against the music's beat."""

    period: int
    beats_per_rep: float
    tempo: Literal["half", "double"] | None = Field(description="against the planned cadence")
    gained_beats: float | None = Field(
        description="over the period; positive is ahead; null when not on the beat at all"
    )
    text: str


class ChangeOnBeat(Frozen):
    """Where a change of movement fell in the music."""

    at_s: float
    count: int | None = Field(description="count of the eight or four, 1 is the accent")
    out_of: int | None
    announced_counts: int | None = Field(description="counts from its announcement to the change")
    text: str
