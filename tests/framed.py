"""The stick figure in front of a camera: a picture with edges, and things that stand in the way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pose import landmarks as lm
from pose.track import ClipInfo, PoseTrack

LEGS = (*lm.KNEES, *lm.ANKLES, *lm.HEELS, *lm.TOES)
FEET = (*lm.HEELS, *lm.TOES)
ARMS = (*lm.ELBOWS, *lm.WRISTS)
# Free room around the figure, in pixels of 300 a metre.
_ROOM_PX = 120.0


def framed(
    track: PoseTrack, *, top: float = 1.0, bottom: float = 1.0, left: float = 1.0
) -> PoseTrack:
    """The track in a picture that shows the whole figure; below 1, less of it on that side.

    Parameters
    ----------
    track : PoseTrack
        Of the stick figure, without a picture.
    top, bottom, left : float
        Fraction of the figure's height, or of its width left of its middle, that is in the picture.
    """
    xy = track.xy_px.copy()
    first = xy[0][np.isfinite(xy[0]).all(axis=1)]
    high, low, west = np.nanmin(xy[..., 1]), np.nanmax(xy[..., 1]), np.nanmin(xy[..., 0])
    middle_y, middle_x = 0.5 * (first[:, 1].min() + first[:, 1].max()), first[:, 0].mean()
    top_y = high - _ROOM_PX if top == 1 else middle_y - (2 * top - 1) * (middle_y - high)
    low_y = low + _ROOM_PX if bottom == 1 else middle_y + (2 * bottom - 1) * (low - middle_y)
    left_x = west - _ROOM_PX if left == 1 else middle_x - left * (middle_x - west)
    width = int(np.nanmax(xy[..., 0]) + _ROOM_PX - left_x)
    clip = ClipInfo("framed", width=width, height=int(low_y - top_y))
    return replace(track, xy_px=xy - (left_x, top_y), clip=clip)


def hidden(
    track: PoseTrack, landmarks: tuple[int, ...], visibility: float = 0.1, until_s: float = 1e9
) -> PoseTrack:
    """The track as the model gives it where something stands before these landmarks."""
    sure = track.visibility.copy()
    sure[:, list(landmarks)] = np.where(
        (track.times_s < until_s)[:, None], visibility, sure[:, list(landmarks)]
    )
    return replace(track, visibility=sure)


def leaping(track: PoseTrack, every_s: float = 1.0, by_px: float = 300.0) -> PoseTrack:
    """The track with the body thrown aside for one sample again and again."""
    step = round(every_s * len(track) / (track.times_s[-1] - track.times_s[0]))
    xy = track.xy_px.copy()
    xy[step::step] += (by_px, 0.0)
    return replace(track, xy_px=xy)
