"""Draw the stills of a review: picture, skeleton, outline of the back, first outline."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.form.baseline import OWN
from annotate.form.stills import Overlay, overlay
from annotate.review.model import Review, Still
from pose.signals.compute import movement_signals
from pose.track import PoseTrack
from pose.video.picture import Frame
from pose.video.source import Source
from pose.video.stills import pictures_at

Picture = NDArray[np.uint8]

_MAX_SIDE_PX = 960
_JPEG_QUALITY = 88
# Blue, green, red, as OpenCV has them; vermilion and sky blue of a set made for colour-blind eyes
# (Okabe & Ito 2008), and the first outline is also dotted.
_BONE, _BACK, _FIRST = (235, 235, 235), (0, 94, 213), (233, 180, 86)


def draw_stills(clip: Source, track: PoseTrack, review: Review) -> dict[str, bytes]:
    """Draw every still of a review.

    Returns
    -------
    dict of file name to JPEG data
        Without the stills whose picture cannot be read.

    Raises
    ------
    ClipError
        The clip cannot be opened.
    """
    if not review.stills:
        return {}
    signals = movement_signals(track)
    wanted = {key for still in review.stills for key in _moments(still)}
    overlays = {key: overlay(track, signals, review, *key) for key in wanted}
    moments = sorted(wanted, key=lambda key: overlays[key].time_s)
    seen = pictures_at(clip, [overlays[key].time_s for key in moments])
    # Scaled down one by one: an hour's stills in full size would take much memory.
    drawn = {
        key: _drawn(frame, overlays[key])
        for key, frame in zip(moments, seen, strict=True)
        if frame is not None
    }
    out = {}
    for still in review.stills:
        pictures = [drawn[key] for key in _moments(still) if key in drawn]
        if pictures:
            against = _compared_with(review, still)
            out[still.file] = _jpeg(_titled(_side_by_side(pictures), still, against))
    return out


def _moments(still: Still) -> list[tuple[int, float]]:
    """Period and time of each picture of a still, from left to right."""
    return [(still.period, at_s) for at_s in (still.at_s, still.beside_s) if at_s is not None]


def _drawn(frame: Frame, over: Overlay) -> Picture:
    """The picture with skeleton and outlines drawn over it."""
    picture = cv2.cvtColor(frame.rgb, cv2.COLOR_RGB2BGR)
    scale = _MAX_SIDE_PX / max(picture.shape[:2])
    picture = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    thick = max(1, round(_MAX_SIDE_PX / 480))
    for line in over.bones:
        _line(picture, line * scale, _BONE, thick)
    _line(picture, over.back * scale, _BACK, thick + 1)
    _dots(picture, over.first * scale, _FIRST, thick + 1)
    return np.asarray(picture, dtype=np.uint8)


def _line(picture: NDArray[np.uint8], points: NDArray[np.float64], colour: Sequence[int],
          thick: int) -> None:  # fmt: skip
    if len(points) < 2 or not np.isfinite(points).all():
        return
    # OpenCV counts from the middle of the first pixel, and in sixteenths with this shift.
    fixed = np.round((points - 0.5) * 16).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(picture, [fixed], False, colour, thick, cv2.LINE_AA, shift=4)


def _dots(picture: NDArray[np.uint8], points: NDArray[np.float64], colour: Sequence[int],
          radius: int) -> None:  # fmt: skip
    for x, y in points[np.isfinite(points).all(axis=1)][::4]:
        centre = (round((x - 0.5) * 16), round((y - 0.5) * 16))
        cv2.circle(picture, centre, radius * 16, colour, -1, cv2.LINE_AA, shift=4)


def _side_by_side(pictures: Sequence[Picture]) -> Picture:
    gap = np.full((pictures[0].shape[0], 8, 3), 255, dtype=np.uint8)
    parts = [pictures[0]]
    for picture in pictures[1:]:
        parts += [gap, picture]
    return np.hstack(parts)


def _compared_with(review: Review, still: Still) -> str:
    """What the dotted outline is, in words."""
    back = review.periods[still.period].reps.each[still.repetition].back
    own = not back.assessable or back.compared_with == OWN
    return "in the first repetitions" if own else "in the earliest bent-over repetitions"


def _titled(picture: Picture, still: Still, against: str) -> Picture:
    """A line of text and the meaning of the colours under the picture."""
    bar = np.full((52, picture.shape[1], 3), 255, dtype=np.uint8)
    font = cv2.FONT_HERSHEY_SIMPLEX
    cv2.putText(bar, still.text, (8, 20), font, 0.52, (30, 30, 30), 1, cv2.LINE_AA)
    x = 8
    for words, colour in (("back line here", _BACK), (against, _FIRST)):
        if colour is _FIRST:
            _dots(bar, np.array([[x + k, 38.5] for k in range(2, 26, 4)], dtype=float), colour, 3)
        else:
            cv2.line(bar, (x, 38), (x + 24, 38), colour, 3, cv2.LINE_AA)
        cv2.putText(bar, words, (x + 30, 43), font, 0.45, (30, 30, 30), 1, cv2.LINE_AA)
        x += 60 + 9 * len(words)
    return np.vstack([picture, bar])


def _jpeg(picture: Picture) -> bytes:
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, _JPEG_QUALITY])
    assert done
    return data.tobytes()
