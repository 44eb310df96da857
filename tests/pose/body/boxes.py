"""People as coloured boxes, and a landmarker that finds boxes: whom to follow, without the model.

It reads the picture it is given, as the true one does, so a box that is covered is not found. It
tracks the colour it has for as long as it sees it, and needs a picture to notice that it is gone
before it takes another.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Crop, Mask, Person, Window
from pose.video.picture import Frame

WIDTH, HEIGHT = 200, 100
RATE_HZ = 15.0
BACKGROUND = 128
# The twin wears the same as red, to the eye.
RED, BLUE, TWIN = (250, 10, 10), (10, 10, 250), (246, 10, 10)
# From pixels of the picture to pixels of a mask as large.
SAME_PIXELS = np.eye(2, 3)
Colour = tuple[int, int, int]
Box = tuple[int, int, int, int]  # left, top, right, bottom, pixels


def around(x: int, y: int, height: int) -> Box:
    """A box half as wide as high around a point."""
    return (x - height // 4, y - height // 2, x + height // 4, y + height // 2)


def frame(time_s: float, boxes: dict[Colour, Box]) -> Frame:
    """A picture of boxes, the first one hidden by those after it."""
    rgb = np.full((HEIGHT, WIDTH, 3), BACKGROUND, dtype=np.uint8)
    for colour, (left, top, right, bottom) in boxes.items():
        rgb[top:bottom, left:right] = colour
    return Frame(time_s, rgb)


def film(boxes: Sequence[dict[Colour, Box]]) -> list[Frame]:
    """Pictures at `RATE_HZ`."""
    return [frame(i / RATE_HZ, shown) for i, shown in enumerate(boxes)]


def people_in(rgb: NDArray[np.uint8]) -> dict[Colour, Person]:
    """All boxes of a picture."""
    height, width = rgb.shape[:2]
    found = {}
    for colour in (RED, BLUE, TWIN):
        rows, columns = np.nonzero((rgb == colour).all(axis=2))
        if len(rows):
            box = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
            mask = (rgb == colour).all(axis=2).astype(np.float32)
            found[colour] = _person(np.array(box) / (width, height, width, height), mask)
    return found


def _person(box: NDArray[np.float64], mask: NDArray[np.float32]) -> Person:
    """Head at the top of the box, feet at its corners, hips in its middle."""
    low, high = box[:2], box[2:]
    parts = np.full((lm.COUNT, 2), 0.5)
    for (left, right), y in (
        *((pair, 0.0) for pair in (lm.EARS,)),
        (lm.SHOULDERS, 0.2),
        (lm.HIPS, 0.5),
        (lm.KNEES, 0.75),
        (lm.ANKLES, 1.0),
    ):
        parts[left], parts[right] = (1.0, y), (0.0, y)
    xy = low + parts * (high - low)
    ones = np.ones(lm.COUNT)
    return Person(xy, np.zeros((lm.COUNT, 3)), ones, ones, 1.0, Mask(mask, SAME_PIXELS), None)


class Boxes:
    """Stands for a :class:`pose.body.landmarker.Landmarker`."""

    def __init__(self) -> None:
        self.follows: Colour | None = None
        self.searches = 0
        self.resets = 0

    def reset(self) -> None:
        self.follows = None
        self.resets += 1

    def track(self, rgb: NDArray[np.uint8]) -> Person | None:
        found = people_in(rgb)
        if self.follows is None:
            self.follows = next(iter(found), None)
        elif self.follows not in found:
            self.follows = None
        return found[self.follows] if self.follows else None

    def search(
        self, rgb: NDArray[np.uint8], window: Window | None = None, known: Sequence[Crop] = ()
    ) -> list[Person]:
        self.searches += 1
        at = window or Window(0, 0, rgb.shape[1], rgb.shape[0])
        low, high = np.array([at.left, at.top]), np.array([at.right, at.bottom])
        found = [
            (p, p.xy[list(lm.HIPS)].mean(axis=0) * rgb.shape[1::-1])
            for p in people_in(rgb).values()
        ]
        return [p for p, hips in found if ((hips >= low) & (hips < high)).all()]

    def retarget(self, rgb: NDArray[np.uint8], person: Person) -> Person | None:
        found = people_in(rgb)
        same = [colour for colour, p in found.items() if np.array_equal(p.xy, person.xy)]
        self.follows = same[0] if same else None
        return found[same[0]] if same else None

    def close(self) -> None:
        pass
