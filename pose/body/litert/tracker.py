"""The LiteRT engine: one person tracked from crop to crop, everybody searched on request."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pose.body.landmarker import Crop, Person, Window
from pose.body.litert import detector, landmarks
from pose.body.litert.network import Network
from pose.body.model import DETECTOR, LANDMARKS

# An instructor and some of the class. Each further person takes 20 ms a picture.
MAX_PEOPLE = 4
# Crops are of one person where their middles are nearer than this fraction of a side, and one side
# is no longer than the other by more than this ratio.
_SAME_DISTANCE, _SAME_SIDE_RATIO = 0.12, 1.5


class LiteRtLandmarker:
    """A :class:`pose.body.landmarker.Landmarker`.

    Parameters
    ----------
    model : Path
        Bundle from :func:`pose.body.model.model_file`.

    Raises
    ------
    ModelError
        Not a bundle with the two networks.
    """

    def __init__(self, model: Path) -> None:
        self._detector = Network(model, DETECTOR, detector.ANSWERS)
        self._landmarks = Network(model, LANDMARKS, landmarks.ANSWERS)
        self._crop: Crop | None = None

    def track(self, rgb: NDArray[np.uint8]) -> Person | None:
        """The tracked person; where lost, whoever is most certain in the same picture."""
        if self._crop is not None:
            person = self._look(rgb, self._crop)
            if person is not None:
                return person
        found = detector.detect(rgb, self._detector)
        return self._look(rgb, found[0].crop) if found else None

    def search(
        self, rgb: NDArray[np.uint8], window: Window | None = None, known: Sequence[Crop] = ()
    ) -> list[Person]:
        """Up to `MAX_PEOPLE` people who are not known; whom it tracks does not change."""
        people = []
        for found in detector.detect(rgb, self._detector, window)[:MAX_PEOPLE]:
            if any(_same(found.crop, crop) for crop in known):
                continue
            person = landmarks.look(rgb, found.crop, self._landmarks)
            if person.score >= landmarks.MIN_SCORE:
                people.append(replace(person, score=min(person.score, found.score)))
        return people

    def retarget(self, rgb: NDArray[np.uint8], person: Person) -> Person | None:
        """Look again where the person was found, and track from there."""
        assert person.crop is not None, "a person of this engine has a crop"
        return self._look(rgb, person.crop)

    def reset(self) -> None:
        """Forget the tracked person."""
        self._crop = None

    def close(self) -> None:
        """Nothing to do: the networks go with their last reference."""

    def _look(self, rgb: NDArray[np.uint8], crop: Crop) -> Person | None:
        """The person in a crop, tracked from here; None, and nobody is tracked, where unlikely."""
        person = landmarks.look(rgb, crop, self._landmarks)
        found = person.score >= landmarks.MIN_SCORE
        self._crop = person.crop if found else None
        return person if found else None


def _same(a: Crop, b: Crop) -> bool:
    longer, shorter = max(a.side_px, b.side_px), min(a.side_px, b.side_px)
    apart_px = math.hypot(a.x_px - b.x_px, a.y_px - b.y_px)
    return apart_px < _SAME_DISTANCE * longer and longer < _SAME_SIDE_RATIO * shorter
