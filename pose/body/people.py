"""Who is in a picture: where each person is and how large, and whom the film is about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pose import landmarks as lm
from pose.body.landmarker import Landmarker, Person
from pose.video.picture import Frame


@dataclass(frozen=True)
class Place:
    """Where a person is and how large, as fractions of the picture's longer side.

    `size` is the diagonal of the box around the landmarks: about the same standing and lying.
    """

    x: float
    y: float
    size: float

    def distance(self, other: Place) -> float:
        """Distance between two places, in sizes of the larger one."""
        return float(np.hypot(self.x - other.x, self.y - other.y)) / max(self.size, other.size)

    def size_ratio(self, other: Place) -> float:
        """Ratio of two sizes, the larger to the smaller."""
        return max(self.size, other.size) / min(self.size, other.size)


def find_main_person(frames: Iterable[Frame], landmarker: Landmarker) -> Place | None:
    """The largest person in some pictures of a clip; None where there is nobody."""
    places = [place_of(p, f) for f in frames for p in landmarker.search(f.rgb)]
    return max(places, key=lambda p: p.size, default=None)


def place_of(person: Person, frame: Frame) -> Place:
    """Where a found person is: middle of the hips, and size of the body."""
    height, width = frame.rgb.shape[:2]
    at = person.xy * (width, height) / max(width, height)
    x, y = at[list(lm.HIPS)].mean(axis=0)
    return Place(float(x), float(y), float(np.hypot(*np.ptp(at, axis=0))))
