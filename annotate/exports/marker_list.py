"""The one list every format is written from, with its times in frames or milliseconds.

Where the rate is known, all formats put a marker on the same frame: round(seconds x rate). Text
formats hold the time at which that frame begins, rounded to their unit, which gives the same frame
when read back (cutting off instead would lose most frames at 59.94).
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
    markers : tuple of Marker
        In order of time.
    rate : Rate or None
        What frames are counted in; None keeps to the clip's own seconds.
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
        """The rate, for formats that cannot do without."""
        assert self.rate is not None  # export() gives one to every format in frames
        return self.rate

    @property
    def chapters(self) -> tuple[Marker, ...]:
        """The periods one after the other: a chapter ends no later than the next begins."""
        periods = [m for m in self.markers if m.kind == "period"]
        cut = [
            Marker(m.kind, m.start_s, min(m.end_s, n.start_s), m.name, m.note)
            for m, n in pairwise(periods)
            # Two that begin on the same frame cannot both be chapters: the later one counts.
            if self.units(n, 1000)[0] > self.units(m, 1000)[0]
        ]
        return (*cut, *periods[-1:])

    def frames(self, marker: Marker) -> tuple[int, int]:
        """First frame and the one after the last, from the clip's first picture; one at least."""
        start = self.counted.frame_of(marker.start_s)
        return start, max(start + 1, self.counted.frame_of(marker.end_s))

    def units(self, marker: Marker, per_s: int) -> tuple[int, int]:
        """Start and end in whole units of which `per_s` make a second; the end is later."""
        if self.rate is None:
            start = round(marker.start_s * per_s)
            return start, max(start + 1, round(marker.end_s * per_s))
        first, after = self.frames(marker)
        start = round(self.rate.seconds_of(first) * per_s)
        return start, max(start + 1, round(self.rate.seconds_of(after) * per_s))

    def label(self, frame: int) -> str:
        """Timecode of a frame of the clip."""
        return self.counted.label(self.start_frame + frame)
