"""Pictures to body samples: landmarks and trunk outline of the main person.

Following one person costs 12 ms a picture, searching for all of them 19 to 29 ms. So one
landmarker follows, and a second one looks around only now and then: at the start, every two
seconds, and whenever the followed person jumped, changed size or was lost. If the follower sits
on somebody else it is shown the picture with everything but the main person blanked out, and
holds on to that person from there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pose import back
from pose import landmarks as lm
from pose.clip import Frame
from pose.landmarker import Landmarker, Person
from pose.track import BACK_FRACTIONS

Floats = NDArray[np.float64]

_LOOK_AROUND_S = 2.0
_LOST_LOOK_AROUND_S = 0.5
# In body sizes, between two samples; nobody leaps as far in a fifteenth of a second.
_JUMP = 0.4
_SIZE_JUMP = 1.5
# Two outlines nearer than this, in body sizes, are the same person.
_SAME = 0.25
# Somebody so much larger at two looks in a row is the one the film is about.
_TAKEOVER = 1.5


@dataclass(frozen=True, eq=False)
class Sample:
    """What was seen in one picture; arrays as the rows of :class:`pose.track.PoseTrack`."""

    time_s: float
    xy_px: Floats
    world_m: Floats
    visibility: Floats
    outline: NDArray[np.float32]


@dataclass(frozen=True)
class Place:
    """Where a person is and how large, in parts of the picture's longer side.

    `size` is the diagonal of the box around the landmarks: about the same upright and lying.
    """

    x: float
    y: float
    size: float

    def away(self, other: Place) -> float:
        """Distance in sizes of the larger of both."""
        return float(np.hypot(self.x - other.x, self.y - other.y)) / max(self.size, other.size)

    def unlike(self, other: Place) -> float:
        """Distance and difference in size as one number; 0 is the same."""
        return self.away(other) + abs(float(np.log(self.size / other.size)))


def estimate(
    frames: Iterable[Frame],
    shown_px: tuple[int, int],
    model: Path,
    main: Place | None = None,
) -> Iterator[Sample]:
    """Follow the main person through pictures in order of time.

    Parameters
    ----------
    frames : iterable of Frame
        All of one size.
    shown_px : (width, height)
        Of the full picture, in whose pixels the landmarks are given.
    main : Place or None
        Where the main person was when last seen, else the largest person is the main one.

    Yields
    ------
    Sample
        One for each picture; NaN, with visibility 0, where nobody is found.
    """
    with Landmarker(model, tracking=True) as follower, Landmarker(model, tracking=False) as lookout:
        follow = _Follow(main)
        for frame in frames:
            person = follow.next(frame, follower, lookout)
            yield _sample(frame, person, shown_px)


def find_main(frames: Iterable[Frame], model: Path) -> Place | None:
    """The largest person in some pictures of a clip."""
    with Landmarker(model, tracking=False) as lookout:
        places = [place_of(p, f) for f in frames for p in lookout.find(f.rgb)]
    return max(places, key=lambda p: p.size, default=None)


def place_of(person: Person, frame: Frame) -> Place:
    """Middle of the hips and size of the body."""
    height, width = frame.rgb.shape[:2]
    at = person.xy * (width, height) / max(width, height)
    x, y = at[list(lm.HIPS)].mean(axis=0)
    return Place(float(x), float(y), float(np.hypot(*np.ptp(at, axis=0))))


class _Follow:
    """Who is followed, and when to look around next."""

    def __init__(self, main: Place | None) -> None:
        self.main = main
        self.in_sight = False
        self.look_again_s = -np.inf
        self.rival_looks = 0

    def next(self, frame: Frame, follower: Landmarker, lookout: Landmarker) -> Person | None:
        """The main person in the next picture."""
        seen = follower.find(frame.rgb)
        person = seen[0] if seen else None
        place = place_of(person, frame) if person else None
        if frame.time_s >= self.look_again_s or (place and self._surprising(place)):
            others = [(place_of(p, frame), p) for p in lookout.find(frame.rgb)]
            chosen = self._choose([p for p, _ in others])
            if chosen and (place is None or place.away(chosen) > _SAME):
                person = _hold(follower, frame, next(p for q, p in others if q is chosen))
                place = place_of(person, frame) if person else None
            wait_s = _LOOK_AROUND_S if place else _LOST_LOOK_AROUND_S
            self.look_again_s = frame.time_s + wait_s
        if place:
            self.main = place
        elif self.in_sight:
            self.look_again_s = frame.time_s + _LOST_LOOK_AROUND_S
        self.in_sight = place is not None
        return person

    def _surprising(self, place: Place) -> bool:
        """True when the person followed may have become another one."""
        if not self.in_sight or self.main is None:
            return True
        ratio = place.size / self.main.size
        return place.away(self.main) > _JUMP or not 1 / _SIZE_JUMP < ratio < _SIZE_JUMP

    def _choose(self, places: list[Place]) -> Place | None:
        """The main person among those in the picture."""
        if not places:
            return None
        largest = max(places, key=lambda p: p.size)
        if self.main is None:
            return largest
        main = self.main
        likest = min(places, key=lambda p: p.unlike(main))
        self.rival_looks = self.rival_looks + 1 if largest.size > _TAKEOVER * likest.size else 0
        if self.rival_looks >= 2:
            self.rival_looks = 0
            return largest
        return likest


def _hold(follower: Landmarker, frame: Frame, person: Person) -> Person | None:
    """Make the follower let go of whom it has and take hold of `person`."""
    height, width = frame.rgb.shape[:2]
    low, high = person.xy.min(axis=0), person.xy.max(axis=0)
    margin = 0.15 * (high - low)
    left, top = np.maximum(0, np.floor((low - margin) * (width, height))).astype(int)
    right, bottom = np.ceil((high + margin) * (width, height)).astype(int)
    alone = np.full_like(frame.rgb, 128)
    alone[top:bottom, left:right] = frame.rgb[top:bottom, left:right]
    # The first look on an empty picture loses the other person, the second finds this one.
    follower.find(np.full_like(frame.rgb, 128))
    found = follower.find(alone)
    # Then the whole picture again, for a mask without the blank's edge.
    whole = follower.find(frame.rgb) if found else []
    return whole[0] if whole else None


def _sample(frame: Frame, person: Person | None, shown_px: tuple[int, int]) -> Sample:
    if person is None:
        return Sample(
            frame.time_s,
            np.full((lm.COUNT, 2), np.nan),
            np.full((lm.COUNT, 3), np.nan),
            np.zeros(lm.COUNT),
            np.full((2, len(BACK_FRACTIONS)), np.nan, dtype=np.float32),
        )
    height, width = frame.rgb.shape[:2]
    small = person.xy * (width, height)
    assert person.mask is not None
    outline = back.outline(person.mask, small[list(lm.SHOULDERS)], small[list(lm.HIPS)])
    return Sample(frame.time_s, person.xy * shown_px, person.world_m, person.visibility, outline)
