"""Frame rates as exact fractions, and SMPTE timecode with and without drop-frame.

Drop-frame leaves out the labels ;00 and ;01 (;00 to ;03 at 59.94) of every minute except each
tenth, so that labels agree with the clock (SMPTE ST 12-1:2014, 5.2.2). No picture is lost.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from annotate.errors import ExportError
from annotate.text import hms

# A clip has a usual rate within this fraction: less than half of the 0.1 % between 23.976 and 24.
_SAME_RATE_SHARE = 0.0004
_LABEL = re.compile(r"(\d\d):([0-5]\d):([0-5]\d)[:;.](\d\d)")


@dataclass(frozen=True)
class Rate:
    """A frame rate of video.

    Attributes
    ----------
    name : str
        As users write it: 25, 29.97 (non-drop), 29.97df.
    per_s : Fraction
        Frames a second, exactly.
    drop : bool
        Whether its timecode is drop-frame.
    """

    name: str
    per_s: Fraction
    drop: bool = False

    @property
    def nominal(self) -> int:
        """Labels in one second of timecode."""
        return -(-self.per_s.numerator // self.per_s.denominator)

    @property
    def _dropped(self) -> int:
        """Labels left out of a minute."""
        return self.nominal // 15 if self.drop else 0

    @property
    def _frames_per_day(self) -> int:
        return 24 * 6 * (600 * self.nominal - 9 * self._dropped)

    def frame_of(self, time_s: float) -> int:
        """The frame boundary nearest to a time in seconds: rounded, not truncated."""
        return round(time_s * float(self.per_s))

    def seconds_of(self, frame: int) -> Fraction:
        """The exact time in seconds at which a frame begins."""
        return frame / self.per_s

    def label(self, frame: int) -> str:
        """Timecode of a frame counted from 00:00:00:00; after 24 hours it starts again at 0."""
        frame %= self._frames_per_day
        if self.drop:
            tens, rest = divmod(frame, 600 * self.nominal - 9 * self._dropped)
            minute = 60 * self.nominal
            # The first minute of ten is whole; in the other nine the first labels are missing.
            minutes = 0 if rest < minute else 1 + (rest - minute) // (minute - self._dropped)
            frame += self._dropped * (9 * tens + minutes)
        total_s, frames = divmod(frame, self.nominal)
        return f"{hms(total_s)}{';' if self.drop else ':'}{frames:02d}"

    def frame_of_label(self, label: str) -> int:
        """The frame that a timecode stands for, counted from 00:00:00:00.

        Raises
        ------
        ExportError
            Not a timecode, or a label that does not exist at this rate.
        """
        match = _LABEL.fullmatch(label.strip())
        if match is None:
            raise ExportError(f'"{label}" is not a timecode; write it as 01:00:00:00')
        hours, minutes, seconds, frames = (int(part) for part in match.groups())
        if hours > 23 or frames >= self.nominal:
            raise ExportError(
                f'"{label}" does not exist at {self.name} frames a second: hours run to 23, '
                f"frames to {self.nominal - 1:02d}"
            )
        if minutes % 10 and seconds == 0 and frames < self._dropped:
            raise ExportError(
                f'"{label}" does not exist in drop-frame timecode: frames '
                f"00 to {self._dropped - 1:02d} are left out of this minute"
            )
        whole = (hours * 3600 + minutes * 60 + seconds) * self.nominal + frames
        passed = hours * 60 + minutes
        return whole - self._dropped * (passed - passed // 10)


RATES = {
    rate.name: rate
    for rate in (
        Rate("23.976", Fraction(24000, 1001)),
        Rate("24", Fraction(24)),
        Rate("25", Fraction(25)),
        Rate("29.97", Fraction(30000, 1001)),
        Rate("29.97df", Fraction(30000, 1001), drop=True),
        Rate("30", Fraction(30)),
        Rate("50", Fraction(50)),
        Rate("59.94", Fraction(60000, 1001)),
        Rate("59.94df", Fraction(60000, 1001), drop=True),
        Rate("60", Fraction(60)),
    )
}


def rate_named(name: str) -> Rate:
    """Look up a rate by its name.

    Raises
    ------
    ExportError
        Not one of :data:`RATES`.
    """
    rate = RATES.get("23.976" if name == "23.98" else name.strip().lower())
    if rate is None:
        raise ExportError(f'"{name}" is not a rate; choose one of {", ".join(RATES)}')
    return rate


def usual_rate(frame_rate: float) -> Rate | None:
    """Find the usual rate of a clip, or None; 29.97 and 59.94 are taken as drop-frame."""
    rate = nearest_rate(frame_rate)
    return rate if abs(frame_rate / float(rate.per_s) - 1) <= _SAME_RATE_SHARE else None


def nearest_rate(frame_rate: float) -> Rate:
    """Find the usual rate closest to a measured one; drop-frame where both exist."""
    return min(RATES.values(), key=lambda r: (abs(float(r.per_s) - frame_rate), not r.drop))
