"""The pictures of a clip at about a sampling rate, in order of time, each with its own time."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from pose.video.container import open_video, pictures_from
from pose.video.picture import Frame, UprightScaler
from pose.video.probe import ClipProbe
from pose.video.source import Source

# A picture may come early by this fraction of a sampling step and still count as on time:
# containers that keep milliseconds round 66.67 ms to 67 and 133.33 to 133.
_EARLY_FRACTION = 0.1
# More than the rounding of a time stamp (half a millisecond), less than the time of a picture.
STAMP_ROUNDING_S = 0.001


def disposable_stamps(clip: ClipProbe, sample_rate_hz: float) -> frozenset[int]:
    """Stamps of the pictures that need not be decoded to have one in every sampling step.

    A sampling step takes the picture that others refer to, which is decoded anyway. Where there
    is none it takes its first picture.
    """
    cells = np.floor(clip.times_s * sample_rate_hz + _EARLY_FRACTION).astype(np.int64)
    served = np.isin(cells, cells[~clip.is_disposable])
    first = np.diff(cells, prepend=-1) > 0
    drop = clip.is_disposable & (served | ~first)
    drop[0] = False  # time zero is known by decoding it
    return frozenset(clip.stamps[drop].tolist())


def frames(
    path: Source,
    *,
    sample_rate_hz: float,
    start_s: float = 0.0,
    end_s: float = math.inf,
    max_side_px: int = 640,
    skip: frozenset[int] = frozenset(),
) -> Iterator[Frame]:
    """Decode pictures at about `sample_rate_hz`, upright and scaled down, in order of time.

    Time is cut into cells of one sampling step, beginning at 0 whatever `start_s` is. The first
    picture of each cell is given, with its own time. So a clip slower than the rate gives all its
    pictures, and two calls that share a stretch of time give the same pictures there.

    Parameters
    ----------
    start_s, end_s : float
        Only pictures with ``start_s <= time < end_s``. Decoding begins at the key frame before.
    max_side_px : int
        The longer side of the pictures given; smaller pictures are not enlarged.
    skip : frozenset of int
        Pictures that are not decoded, see :func:`disposable_stamps`.

    Raises
    ------
    ClipError
        As :func:`probe`.
    """
    cell_s = 1.0 / sample_rate_hz
    last_cell, last_s = -1, -math.inf
    upright = UprightScaler(max_side_px)
    with open_video(path, skip) as clip:
        # One cell early, to know whether a picture at the start is the first of its cell.
        for picture in pictures_from(clip, start_s - cell_s):
            time_s = clip.time_s(picture)
            if time_s >= end_s:
                return
            cell = math.floor(time_s / cell_s + _EARLY_FRACTION)
            if cell <= last_cell or time_s <= last_s:
                continue
            last_cell, last_s = cell, time_s
            if time_s >= start_s:
                yield Frame(time_s, upright(clip, picture))
