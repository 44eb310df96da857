"""Who is in one picture: everybody, also small people, each with place, box and colours.

The detector looks at 224 x 224 pixels, so in a whole picture it misses people whose body is less
than a third of the picture high (measured: bodies of 64 of 224 pixels are found now and then, of
128 always). A thorough look searches overlapping squares as well, a quick one only around places
where somebody is known to be.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Landmarker, Person, Window
from pose.persons import Place
from pose.video.picture import Frame

Floats = NDArray[np.float64]

# Two finds nearer than this, in body sizes, and no more different in size are one person.
_SAME_DISTANCE = 0.25
_SAME_SIZE_RATIO = 1.8
# A find that lies in a larger body's box by this fraction, and is smaller by this ratio, is a part
# of that body.
_PART_INSIDE, _PART_SIZE_RATIO = 0.8, 1.2
# In a square of its own furniture looks like a body now and then. Measured on films of people:
# such finds are less sure, or most of their landmarks are hidden (people 0.8 to 0.99), or they go
# far beyond the square, because only a part of somebody larger is in it.
_MIN_SCORE, _MIN_VISIBILITY, _MAX_OF_SQUARE = 0.6, 0.7, 1.2
# Squares of a thorough look, as fractions of the shorter side of the picture, and how far apart
# they begin, as a fraction of their own side: bodies up to half a square are whole in one of them.
_SQUARES = (1.0, 0.5)
_SQUARE_STEP = 0.5
# The square around a known place, in body sizes: the body twice over.
_AROUND = 2.0
# Where colours are read: parts of the way from shoulders to hips, and from hips to knees. Clear of
# the neck and of the waist, where hands are.
_TOP, _LEGS = (0.25, 0.4, 0.55, 0.7), (0.25, 0.4, 0.55, 0.7)
_ACROSS = (0.3, 0.5, 0.7)


@dataclass(frozen=True, eq=False)
class Sighting:
    """One person in one picture.

    Attributes
    ----------
    box : (left, top, right, bottom)
        Fractions of the picture's width and height.
    colours : (6,) float64
        Median CIE L*a*b* of the top and of the legs; NaN where outside of the picture.
    posture : (33, 2) float64
        Landmarks from the middle of the hips, in body sizes.
    """

    time_s: float
    place: Place
    box: tuple[float, float, float, float]
    colours: Floats
    posture: Floats
    person: Person


def look_around(
    frame: Frame, landmarker: Landmarker, known: Sequence[Place] = (), *, thorough: bool = False
) -> list[Sighting]:
    """Everybody in a picture, the surest first.

    Parameters
    ----------
    known : sequence of Place
        Where people were before: who is not found in the whole picture is searched there.
    thorough : bool
        Search overlapping squares too.
    """
    height, width = frame.rgb.shape[:2]
    found = _distinct(_sightings(frame, landmarker.search(frame.rgb)))
    windows: Iterator[Window] = squares(width, height) if thorough else iter(())
    missing = (k for k in known if not any(_same(k, s.place) for s in found))
    around = (window_around(place, width, height) for place in missing)
    more = list(found)
    for window in itertools.chain(windows, around):
        known_crops = [s.person.crop for s in more if s.person.crop]
        people = landmarker.search(frame.rgb, window, known_crops)
        more += [
            sighting
            for sighting in _sightings(frame, people)
            if _believable(sighting, window, max(width, height))
        ]
    return _distinct(more)


def squares(width: int, height: int) -> Iterator[Window]:
    """Overlapping squares of two sizes that cover a picture."""
    for fraction in _SQUARES:
        side = max(1, round(fraction * min(width, height)))
        for top, left in itertools.product(_begins(height, side), _begins(width, side)):
            yield Window(left, top, left + side, top + side)


def _begins(length: int, side: int) -> list[int]:
    """Where squares of a side begin along a length, evenly spread."""
    count = 1 + int(np.ceil((length - side) / (_SQUARE_STEP * side)))
    return [int(begin) for begin in np.linspace(0, length - side, count).round()]


def window_around(place: Place, width: int, height: int) -> Window:
    """The square around a place, as far as it lies in the picture."""
    longer = max(width, height)
    half = _AROUND * place.size / 2 * longer
    x, y = place.x * longer, place.y * longer
    left, top = int(np.clip(x - half, 0, width - 1)), int(np.clip(y - half, 0, height - 1))
    right, bottom = int(np.clip(x + half, left + 1, width)), int(np.clip(y + half, top + 1, height))
    return Window(left, top, right, bottom)


def place_of(person: Person, frame: Frame) -> Place:
    """Where a found person is: middle of the hips, and size of the body."""
    height, width = frame.rgb.shape[:2]
    at = person.xy * (width, height) / max(width, height)
    x, y = at[list(lm.HIPS)].mean(axis=0)
    return Place(float(x), float(y), float(np.hypot(*np.ptp(at, axis=0))))


def colours_of(person: Person, frame: Frame) -> Floats:
    """Median CIE L*a*b* of the top and of the legs, (6,); NaN where outside of the picture."""
    shoulders, hips, knees = (person.xy[list(pair)] for pair in (lm.SHOULDERS, lm.HIPS, lm.KNEES))
    return np.concatenate(
        [_colour(frame.rgb, shoulders, hips, _TOP), _colour(frame.rgb, hips, knees, _LEGS)]
    )


def colour_distance(a: Floats, b: Floats) -> float:
    """Mean distance of the known colours of two people; NaN where none is known of both.

    Lightness counts half: people walk in and out of shade.
    """
    parts = (a - b).reshape(2, 3) * (0.5, 1.0, 1.0)
    distances = np.linalg.norm(parts, axis=1)
    known = np.isfinite(distances)
    return float(distances[known].mean()) if known.any() else float("nan")


def _sightings(frame: Frame, people: Iterable[Person]) -> list[Sighting]:
    return [sighting_of(person, frame) for person in people]


def _believable(sighting: Sighting, window: Window, longer_px: int) -> bool:
    """Whether a find in a part of the picture is a person, and a whole one."""
    side_px = max(window.right - window.left, window.bottom - window.top)
    return (
        sighting.person.score >= _MIN_SCORE
        and float(sighting.person.visibility.mean()) >= _MIN_VISIBILITY
        and sighting.place.size * longer_px <= _MAX_OF_SQUARE * side_px
    )


def sighting_of(person: Person, frame: Frame) -> Sighting:
    """A found person with place, box, colours and posture."""
    height, width = frame.rgb.shape[:2]
    place = place_of(person, frame)
    low, high = person.xy.min(axis=0), person.xy.max(axis=0)
    shape = person.xy * (width, height) / max(width, height)
    posture = (shape - shape[list(lm.HIPS)].mean(axis=0)) / max(place.size, 1e-6)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return Sighting(frame.time_s, place, box, colours_of(person, frame), posture, person)


def _distinct(found: Sequence[Sighting]) -> list[Sighting]:
    """Each person once: of two finds of one person the surer one."""
    kept: list[Sighting] = []
    for sighting in sorted(found, key=lambda s: -s.person.score):
        if not any(_same(sighting.place, k.place) or _part_of(sighting, k) for k in kept):
            kept.append(sighting)
    return kept


def _part_of(part: Sighting, whole: Sighting) -> bool:
    """Whether a find is a piece of a larger body: an arm in a square of its own."""
    if part.place.size * _PART_SIZE_RATIO > whole.place.size:
        return False
    low, high = np.array(part.box).reshape(2, 2)
    shared = np.minimum(high, whole.box[2:]) - np.maximum(low, whole.box[:2])
    return bool(np.prod(np.maximum(shared, 0)) > _PART_INSIDE * np.prod(high - low))


def _same(a: Place, b: Place) -> bool:
    return a.distance(b) < _SAME_DISTANCE and a.size_ratio(b) < _SAME_SIZE_RATIO


def _colour(
    rgb: NDArray[np.uint8], upper: Floats, lower: Floats, along: tuple[float, ...]
) -> Floats:
    """Median colour of a patch between two pairs of joints; NaN outside of the picture."""
    height, width = rgb.shape[:2]
    t, s = (a.ravel()[:, None] for a in np.meshgrid(along, _ACROSS))
    first = upper[0] + t * (lower[0] - upper[0])
    second = upper[1] + t * (lower[1] - upper[1])
    at = (first + s * (second - first)) * (width, height)
    inside = ((at >= 0) & (at < (width, height))).all(axis=1)
    if inside.mean() < 0.5:
        return np.full(3, np.nan)
    columns, rows = at[inside].astype(np.intp).T
    pixels = rgb[rows, columns].astype(np.float32)[:, None] / 255
    lab = cv2.cvtColor(pixels, cv2.COLOR_RGB2Lab)[:, 0]
    return np.asarray(np.median(lab, axis=0), dtype=np.float64)
