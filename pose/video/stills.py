"""Single pictures of a clip at given times, in full size."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from typing import Any

from pose.video.container import open_video, pictures_from
from pose.video.decode import STAMP_ROUNDING_S
from pose.video.picture import Frame, UprightScaler
from pose.video.source import Source

# Key frames are rarely further apart, so from here on seeking costs less than decoding on.
_MIN_SEEK_S = 10.0


def pictures_at(path: Source, times_s: Sequence[float]) -> Iterator[Frame | None]:
    """The first picture at or after each of some increasing times, in full size.

    Decoding goes on from one to the next where that is near, so several stills of one round cost
    little more than one.

    Yields
    ------
    Frame or None
        None after the last picture.

    Raises
    ------
    ClipError
        As :func:`probe`.
    """
    upright = UprightScaler(max_side_px=sys.maxsize)
    with open_video(path) as clip:
        pictures: Iterator[Any] = iter(())
        picture: Any = None
        for at_s in times_s:
            start_s = max(0.0, at_s - STAMP_ROUNDING_S)
            if picture is None or start_s - clip.time_s(picture) > _MIN_SEEK_S:
                pictures = pictures_from(clip, start_s)
                picture = next(pictures, None)
            while picture is not None and clip.time_s(picture) < start_s:
                picture = next(pictures, None)
            yield picture and Frame(clip.time_s(picture), upright(clip, picture))
