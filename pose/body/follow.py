"""Pictures to body samples: landmarks and trunk outline of the main person.

Following one person costs 12 ms a picture, searching for all of them 19 to 29 ms. So one
landmarker follows, and a second one looks around only now and then: at the start, every two
seconds (four, where nobody else is in the picture), and whenever the followed person jumped,
changed size or was lost. If the follower sits on somebody else it is shown the picture with
everything but the main person blanked out, and holds on to that person from there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Landmarker, Person
from pose.body.outline import trunk_outline
from pose.body.people import Place, place_of
from pose.track import BACK_FRACTIONS
from pose.video.picture import Frame

Floats = NDArray[np.float64]

_LOOK_AROUND_S = 2.0
_ALONE_LOOK_AROUND_S = 4.0
_UNSURE_LOOK_AROUND_S = 0.5
# The rest in body sizes, or as ratios of them. Nobody leaps as far in a fifteenth of a second,
_JUMP = 0.4
# nor runs as fast (per second).
_SPEED = 1.5
# Growing or shrinking at once by more than this is another person or another posture,
_SIZE_JUMP = 1.5
# which is believed of the same person nearly on the same spot only.
_SPOT = 0.5
_POSTURE_SIZE_JUMP = 3.0
# A main person out of sight for so long is given up, and the largest person becomes it.
_GIVE_UP_S = 5.0
# Two places nearer than this are the same person.
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


@dataclass(frozen=True, eq=False)
class Eyes:
    """One landmarker that follows a person, and one that looks around."""

    follower: Landmarker
    lookout: Landmarker


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
    with open_eyes(model) as eyes:
        yield from follow(frames, shown_px, eyes, main)


@contextmanager
def open_eyes(model: Path) -> Iterator[Eyes]:
    """Both landmarkers: opening them takes as long as looking at a dozen pictures."""
    with Landmarker(model, tracking=True) as follower, Landmarker(model, tracking=False) as lookout:
        yield Eyes(follower, lookout)


def follow(
    frames: Iterable[Frame], shown_px: tuple[int, int], eyes: Eyes, main: Place | None = None
) -> Iterator[Sample]:
    """As :func:`estimate`, with landmarkers that may have been used before."""
    eyes.follower.let_go()
    following = _Follow(main)
    for frame in frames:
        person = following.next(frame, eyes.follower, eyes.lookout)
        yield _sample(frame, person, shown_px)


class _Follow:
    """Who is followed, and when to look around next."""

    def __init__(self, main: Place | None) -> None:
        self.main = main
        self.seen_s: float | None = None
        self.in_sight = False
        self.look_again_s = -np.inf
        self.rival_looks = 0

    def next(self, frame: Frame, follower: Landmarker, lookout: Landmarker) -> Person | None:
        """The main person in the next picture."""
        if self.seen_s is None:
            self.seen_s = frame.time_s
        gap_s = frame.time_s - self.seen_s
        if gap_s > _GIVE_UP_S:
            self.main = None
        seen = follower.find(frame.rgb)
        person = seen[0] if seen else None
        place = place_of(person, frame) if person else None
        known = place is not None and self._may_be_main(place, gap_s)
        # Lost, found again or jumped: somebody else may be followed from here on.
        changed = known != self.in_sight or (place and known and self._jumped(place))
        if changed or frame.time_s >= self.look_again_s:
            around = [(place_of(p, frame), p) for p in lookout.find(frame.rgb)]
            chosen = self._choose([p for p, _ in around], gap_s)
            if chosen and (place is None or place.away(chosen) > _SAME):
                person = _hold(follower, frame, next(p for q, p in around if q is chosen))
                place = place_of(person, frame) if person else None
                known = place is not None and place.away(chosen) < _SAME
            self.look_again_s = frame.time_s + self._look_again_in_s(known, len(around))
        self.in_sight = known
        if not known:
            return None
        self.main, self.seen_s = place, frame.time_s
        return person

    def _look_again_in_s(self, known: bool, people: int) -> float:
        """Who is alone in the picture can be mistaken for nobody until someone comes in."""
        if not known or self.rival_looks:
            return _UNSURE_LOOK_AROUND_S
        return _ALONE_LOOK_AROUND_S if people <= 1 else _LOOK_AROUND_S

    def _jumped(self, place: Place) -> bool:
        assert self.main is not None
        return place.away(self.main) > _JUMP or place.times_as_large(self.main) > _SIZE_JUMP

    def _may_be_main(self, place: Place, gap_s: float) -> bool:
        """True when the main person can have come to this place since last seen."""
        if self.main is None:
            return True
        away, ratio = place.away(self.main), place.times_as_large(self.main)
        if away < _SPOT and ratio < _POSTURE_SIZE_JUMP:
            return True
        return away < _JUMP + _SPEED * gap_s and ratio < _SIZE_JUMP

    def _choose(self, places: list[Place], gap_s: float) -> Place | None:
        """The main person among those in the picture."""
        if not places:
            return None
        largest = max(places, key=lambda p: p.size)
        main = self.main
        if main is None:
            return largest
        possible = [p for p in places if self._may_be_main(p, gap_s)]
        if not possible:
            return None
        likest = min(possible, key=lambda p: p.away(main) + np.log(p.times_as_large(main)))
        self.rival_looks = self.rival_looks + 1 if largest.size > _TAKEOVER * likest.size else 0
        if self.rival_looks < 2:
            return likest
        self.rival_looks = 0
        return largest


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
    outline = trunk_outline(person.mask, small[list(lm.SHOULDERS)], small[list(lm.HIPS)])
    return Sample(frame.time_s, person.xy * shown_px, person.world_m, person.visibility, outline)
