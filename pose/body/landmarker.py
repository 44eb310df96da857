"""What an engine finds in a picture, and what every engine can do.

There are two: :mod:`pose.body.litert` and :mod:`pose.body.mediapipe_engine`. Both run the same
two networks, and :mod:`pose.body.engine` opens one of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Crop:
    """A square of the picture, turned around its middle: where landmarks are looked for.

    `x_px`, `y_px` : its middle. `turn_deg` : clockwise; 0 for somebody upright.
    """

    x_px: float
    y_px: float
    side_px: float
    turn_deg: float


@dataclass(frozen=True)
class Window:
    """Part of a picture to search, pixels: columns ``left <= x < right``, rows likewise."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True, eq=False)
class Mask:
    """How likely each place belongs to a person, in pixels of the mask's own.

    Attributes
    ----------
    values : (h, w) float32
        0-1.
    from_picture : (2, 3) float64
        Matrix from pixels of the picture to those of the mask; (0, 0) is the middle of the first
        pixel in both.
    """

    values: NDArray[np.float32]
    from_picture: Floats


@dataclass(frozen=True, eq=False)
class Person:
    """One person in one picture.

    Attributes
    ----------
    xy : (33, 2) float64
        Landmarks as fractions of the picture's width and height, (0, 0) its upper left corner.
    world_m : (33, 3) float64
        As in :class:`pose.track.PoseTrack`.
    visibility, presence : (33,) float64
        0-1: not hidden, and not outside of what was looked at, as the network estimates it.
    score : float
        0-1: how sure the engine is that this is a person.
    mask : Mask or None
    crop : Crop or None
        Where to look for this person in the next picture; None: the engine does not say.
    """

    xy: Floats
    world_m: Floats
    visibility: Floats
    presence: Floats
    score: float
    mask: Mask | None
    crop: Crop | None


class Landmarker(Protocol):
    """An engine at work on the pictures of one clip, in order of time.

    Pictures are (h, w, 3) uint8 RGB.
    """

    def track(self, rgb: NDArray[np.uint8]) -> Person | None:
        """The person tracked from picture to picture; one is searched where none is tracked."""

    def search(
        self, rgb: NDArray[np.uint8], window: Window | None = None, known: Sequence[Crop] = ()
    ) -> list[Person]:
        """Everybody found in a picture on its own, or in a part of it, the most certain first.

        Masks may be missing. People in `known` crops need not be found again; an engine may leave
        them out to save time.
        """

    def retarget(self, rgb: NDArray[np.uint8], person: Person) -> Person | None:
        """Track this person, found in this picture, from here on."""

    def reset(self) -> None:
        """Track nobody: from here on it finds bit for bit what a new one would."""

    def close(self) -> None:
        """Give its memory back; it cannot be used any more."""
