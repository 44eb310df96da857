"""The list that every format is written from, with its times in frames or in parts of a second.

Where the rate is known, all formats put a marker on the same frame: round(seconds x rate). Text
formats give the time at which that frame begins, rounded to their unit. Read back, it is the same
frame (truncated instead of rounded, most frames at 59.94 would be lost).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from annotate.exports.markers import Marker
from annotate.exports.timecode import Rate


@dataclass(frozen=True)
class MarkerList:
    """Markers of one clip.

    Attributes
    ----------
    duration_s : float
        Length of the clip.
    markers : tuple of Marker
        In order of time.
    rate : Rate or None
        Rate to count frames in; None writes the clip's own seconds.
    start_frame : int
        Timecode of the first picture, as frames from 00:00:00:00.
    """

    clip_name: str
    duration_s: float
    markers: tuple[Marker, ...]
    rate: Rate | None
    start_frame: int = 0

    @property
    def counted(self) -> Rate:
        """The rate, for formats that count frames."""
        assert self.rate is not None  # export() gives one to every format in frames
        return self.rate

    @property
    def chapters(self) -> tuple[Marker, ...]:
        """The periods in order, each cut where the next one begins."""
        periods = [m for m in self.markers if m.kind == "period"]
        cut = [
            Marker(m.kind, m.start_s, min(m.end_s, n.start_s), m.name, m.note)
            for m, n in pairwise(periods)
            # Two that begin on the same frame cannot both be chapters; the later one is kept.
            if self.units(n, 1000)[0] > self.units(m, 1000)[0]
        ]
        return (*cut, *periods[-1:])

    def frames(self, marker: Marker) -> tuple[int, int]:
        """First frame and the one after the last (at least one frame), from the clip's start."""
        start = self.counted.frame_of(marker.start_s)
        return start, max(start + 1, self.counted.frame_of(marker.end_s))

    def units(self, marker: Marker, per_s: int) -> tuple[int, int]:
        """Start and end in units of 1 / `per_s` seconds; the end is at least one unit later."""
        if self.rate is None:
            start = round(marker.start_s * per_s)
            return start, max(start + 1, round(marker.end_s * per_s))
        first, after = self.frames(marker)
        start = round(self.rate.seconds_of(first) * per_s)
        return start, max(start + 1, round(self.rate.seconds_of(after) * per_s))

    def label(self, frame: int) -> str:
        """Timecode of a frame of the clip."""
        return self.counted.label(self.start_frame + frame)
