"""The shape of the back: outline of the trunk along the hip-to-shoulder chord, and its arc.

The model has no landmark between hips and shoulders. What the picture shows of the back is the
edge of the body's mask: at points along the chord from the middle of the hips to the middle of the
shoulders, how far away is the edge, perpendicular to the chord, on either side? All distances are
in chord lengths, so the size of the person and of the picture does not matter.

An arc is the angle by which the outline turns between its two ends. 0 is straight, positive is
convex to the outside (on the back: rounded), negative hollow. For an arc of a circle with
sagitta s over a chord c it is 4 atan(2 s / c).
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from pose.body.landmarker import Mask
from pose.track import BACK_FRACTIONS

Floats = NDArray[np.float64]

# An edge further away than this, in chord lengths, is not the trunk's own (an arm stretched out,
# another person): that is mostly nearer than half a chord.
MAX_REACH = 0.75
# The mask is read at steps of half a pixel; the edge is then found between two of them.
_STEP_PX = 0.5
# The edge of the body is where it is as likely as not.
_EDGE = 0.5
# On a shorter chord an edge found to half a pixel is an eighth of the chord off.
_MIN_CHORD_PX = 4.0
# A parabola needs three points. Fewer than seven tenths of them leave a whole end open.
_MIN_KNOWN_FRACTION = 0.7
_CORNERS = (np.array([0, 0, -1, -1]), np.array([0, -1, 0, -1]))


def trunk_outline(
    mask: Mask, shoulders_px: ArrayLike, hips_px: ArrayLike, picture_px: tuple[int, int]
) -> NDArray[np.float32]:
    """Distance from the chord to the edge of the body at ``BACK_FRACTIONS``, both sides.

    Parameters
    ----------
    mask : Mask
        The edge is where it crosses 0.5, found between its pixels by interpolation. It is read
        in its own pixels, whatever their size, so nothing is lost by scaling it first.
    shoulders_px, hips_px : (2, 2) array_like
        Both shoulders and both hips in pixels of the picture; (0, 0) is the corner of the
        picture, (0.5, 0.5) the middle of its first pixel.
    picture_px : (width, height)

    Returns
    -------
    (2, 47) float32
        In chord lengths: [0] towards the left when looking from the hips to the shoulders, [1]
        towards the right. Negative where the point of the chord lies outside the body and the
        edge was found inwards. NaN where there is no edge within `MAX_REACH`, or the picture or
        the mask ends first.
    """
    hips = np.asarray(hips_px, dtype=np.float64).mean(axis=0)
    chord = np.asarray(shoulders_px, dtype=np.float64).mean(axis=0) - hips
    length = float(np.hypot(*chord))
    nothing = np.full((2, len(BACK_FRACTIONS)), np.nan, dtype=np.float32)
    if not length >= _MIN_CHORD_PX:  # NaN too
        return nothing
    to_left = np.array([chord[1], -chord[0]]) / length
    count = int(np.ceil(MAX_REACH * length / _STEP_PX))
    steps_px = np.arange(-count, count + 1) * (MAX_REACH * length / count)
    # (47, 2 count + 1) each: across the trunk from right to left at each fraction.
    x, y = ((hips[k] + BACK_FRACTIONS * chord[k])[:, None] + steps_px * to_left[k] for k in (0, 1))
    # OpenCV puts (0, 0) at the middle of the first pixel, and so do masks.
    (xx, xy, x0), (yx, yy, y0) = mask.from_picture
    column, row = (
        xx * (x - 0.5) + xy * (y - 0.5) + x0,
        yx * (x - 0.5) + yy * (y - 0.5) + y0,
    )
    values = cv2.remap(
        mask.values, column.astype(np.float32), row.astype(np.float32), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    ).astype(np.float64)  # fmt: skip
    height, width = mask.values.shape
    bounded = ((x, picture_px[0]), (y, picture_px[1]), (column + 0.5, width), (row + 0.5, height))
    for at_px, size_px in bounded:
        # A rectangle within bounds at its corners is within them everywhere.
        if not _within(at_px[_CORNERS], size_px).all():
            values[~_within(at_px, size_px)] = np.nan
    step = MAX_REACH / count
    leftwards, rightwards = values[:, count:], values[:, count::-1]
    sides = [_edge(leftwards, rightwards), _edge(rightwards, leftwards)]
    return (step * np.stack(sides)).astype(np.float32)


def _within(at_px: Floats, size_px: int) -> NDArray[np.bool_]:
    return np.asarray((at_px >= 0) & (at_px <= size_px))


def outline_px(chord_px: ArrayLike, offsets: ArrayLike, side: int) -> Floats:
    """Points of an outline in the picture: the inverse of :func:`trunk_outline`.

    Parameters
    ----------
    chord_px : (2, 2) array_like
        Middle of the hips and of the shoulders.
    offsets : (47,) array_like
        Outline of one side, chord lengths.
    side : int
        0 left, 1 right of the way from hips to shoulders.

    Returns
    -------
    (47, 2) float64
    """
    hips, shoulders = np.asarray(chord_px, dtype=np.float64)
    along = shoulders - hips
    across = np.array([along[1], -along[0]]) * (1.0 if side == 0 else -1.0)
    away = np.asarray(offsets, dtype=np.float64)[:, None] * across
    return np.asarray(hips + BACK_FRACTIONS[:, None] * along + away)


def arc_deg(sagitta: ArrayLike, chord: ArrayLike) -> Floats:
    """Turning angle of an arc of a circle from its height over its chord (same unit), degrees."""
    ratio = np.asarray(sagitta, dtype=np.float64) / np.asarray(chord, dtype=np.float64)
    return np.asarray(np.degrees(4 * np.arctan(2 * ratio)))


def profile_arc_deg(
    fractions: ArrayLike, offsets: ArrayLike, start: float = 0.0, end: float = 0.6
) -> Floats:
    """Arc of the outline between two fractions of the chord, degrees.

    A parabola is fitted to the outline there: enough for the profile of the lower back, and
    steadier than a sagitta from single points. The arc is that of the parabola's sagitta over
    its own chord, so a slant of the outline against the chord does not count.

    Parameters
    ----------
    fractions : (k,) array_like
        Along the chord, as ``BACK_FRACTIONS``.
    offsets : (..., k) array_like
        Outline of one side, chord lengths, as in ``PoseTrack.outline[:, side]``.
    start, end : float
        The default leaves out the upper back, where the noise of the shoulder landmarks sits.

    Returns
    -------
    (...) float64
        Positive: convex to the outside. NaN where fewer than 70 % of the points are known.
    """
    t = np.asarray(fractions, dtype=np.float64)
    within = (t >= start) & (t <= end)
    d = np.asarray(offsets, dtype=np.float64)[..., within]
    x = t[within] - (start + end) / 2
    known = np.isfinite(d)
    weight = known.astype(np.float64)
    terms = np.stack([np.ones_like(x), x, x**2])
    normal = np.einsum("ik,jk,...k->...ij", terms, terms, weight)
    right = np.einsum("ik,...k->...i", terms, np.where(known, d, 0.0))
    enough = known.mean(axis=-1) >= _MIN_KNOWN_FRACTION
    normal = np.where(enough[..., None, None], normal, np.eye(3))
    _, slope, bend = np.moveaxis(np.linalg.solve(normal, right[..., None])[..., 0], -1, 0)
    span = end - start
    # Height of the parabola over its chord in the middle, turned perpendicular to that chord.
    slant = np.hypot(1.0, slope)
    arc = arc_deg(-bend * span**2 / 4 / slant, span * slant)
    return np.where(enough, arc, np.nan)


def _edge(outwards: Floats, inwards: Floats) -> Floats:
    """Steps from the chord to the edge of the body; negative when it lies inwards.

    Both (47, k), beginning on the chord; NaN outside the picture.
    """
    starts_inside = outwards[:, 0] >= _EDGE
    walked = np.where(starts_inside[:, None], outwards, inwards)
    # A step counts as crossing when it leaves the state of the start; NaN stops the walk.
    other = (walked >= _EDGE) != starts_inside[:, None]
    stop = other | np.isnan(walked)
    after = stop.argmax(axis=1)
    row = np.arange(len(walked))
    before = walked[row, np.maximum(after - 1, 0)]
    beyond = walked[row, after]
    with np.errstate(invalid="ignore", divide="ignore"):
        crossing = after - 1 + (before - _EDGE) / (before - beyond)
    found = stop.any(axis=1) & (after > 0)
    return np.where(found, np.where(starts_inside, crossing, -crossing), np.nan)
