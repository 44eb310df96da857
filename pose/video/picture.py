"""One decoded picture: upright, with square pixels, scaled down, as RGB."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from av.video.reformatter import Interpolation, VideoReformatter
from numpy.typing import NDArray

from pose.video.container import Video

# The usual formats of films. The scaler reads some others that it cannot write.
_SCALABLE_FORMATS = frozenset(
    {"yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuv420p10le", "yuv422p10le"}
)


class Frame(NamedTuple):
    """One picture: its time and (h, w, 3) uint8 RGB, upright."""

    time_s: float
    rgb: NDArray[np.uint8]


class UprightScaler:
    """Pictures of one clip scaled down, as RGB, the right way up.

    Scaling in the film's own colours and converting only the small picture to RGB takes half as
    long as both at once; keeping the scalers saves another third (docs/measurements.md). A pixel
    is the mean of those it stands for.
    """

    def __init__(self, max_side_px: int) -> None:
        self._max_side_px = max_side_px
        self._scaler, self._colours = VideoReformatter(), VideoReformatter()

    def __call__(self, clip: Video, picture: Any) -> NDArray[np.uint8]:
        """Scale one picture: (height, width, 3), its longer side at most `max_side_px`."""
        width, height = clip.display_size_px
        scale = min(1.0, self._max_side_px / max(width, height))
        small = self._scaler.reformat(
            picture,
            format=None if picture.format.name in _SCALABLE_FORMATS else "rgb24",
            width=max(1, round(width * scale)),
            height=max(1, round(height * scale)),
            interpolation=Interpolation.AREA,
            threads=1,
        )
        rgb = self._colours.reformat(small, format="rgb24", threads=1).to_ndarray()
        return np.ascontiguousarray(np.rot90(rgb, -clip.quarter_turns), dtype=np.uint8)
