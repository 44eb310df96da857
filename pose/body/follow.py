"""Follow the main person through pictures: landmarks and outline of the trunk in each.

Tracking one person takes 12 ms a picture, searching for everybody 19 to 29 ms. So one landmarker
tracks, and a second one searches only now and then: at the start, every two seconds (four, where
nobody else is in the picture), and whenever the tracked person jumped, changed size or was lost.
If the tracker is on somebody else, it is shown the picture with everything but the main person
blanked out, and tracks that person from there.

The limits below were set by hand on films of two people side by side; tests/pose/body holds them.
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

# Time from one search to the next: with others in the picture, alone, and when unsure.
_SEARCH_INTERVAL_S = 2.0
_ALONE_SEARCH_INTERVAL_S = 4.0
_UNSURE_SEARCH_INTERVAL_S = 0.5
# Distances and sizes from here on are in body sizes. Nobody gets further than this between two
# pictures (a fifteenth of a second), ...
_MAX_JUMP = 0.4
# ... nor runs faster than this, per second: a body size is about 1.8 m.
_MAX_SPEED_PER_S = 1.5
# A body that grows or shrinks by more than this ratio at once is another person or another
# posture. It counts as the same person in another posture ...
_MAX_SIZE_RATIO = 1.5
# ... only this near to the place before, and up to this ratio.
_SAME_SPOT = 0.5
_MAX_POSTURE_SIZE_RATIO = 3.0
# A main person out of sight for longer is given up, and the largest person becomes the main one.
_GIVE_UP_S = 5.0
# Two places nearer than this are the same person.
_SAME_PERSON = 0.25
# Somebody larger by this ratio in two searches in a row is the one the film is about.
_TAKEOVER_SIZE_RATIO = 1.5
# Around the body, a fraction of its width and height that is left visible when all else is
# blanked out: hands and feet reach over the landmarks.
_MARGIN = 0.15


@dataclass(frozen=True, eq=False)
class Sample:
    """What one picture shows; arrays as the rows of :class:`pose.track.PoseTrack`."""

    time_s: float
    xy_px: Floats
    world_m: Floats
    visibility: Floats
    outline: NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Landmarkers:
    """One landmarker that tracks a person, and one that searches the whole picture."""

    tracker: Landmarker
    searcher: Landmarker


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
        Where the main person was last seen; None: the largest person becomes the main one.

    Yields
    ------
    Sample
        One for each picture; NaN, with visibility 0, where nobody is found.
    """
    with open_landmarkers(model) as landmarkers:
        yield from follow(frames, shown_px, landmarkers, main)


@contextmanager
def open_landmarkers(model: Path) -> Iterator[Landmarkers]:
    """Open both landmarkers; this takes as long as a dozen pictures do."""
    with Landmarker(model, tracking=True) as tracker, Landmarker(model, tracking=False) as searcher:
        yield Landmarkers(tracker, searcher)


def follow(
    frames: Iterable[Frame],
    shown_px: tuple[int, int],
    landmarkers: Landmarkers,
    main: Place | None = None,
) -> Iterator[Sample]:
    """Like :func:`estimate`, with landmarkers that may have been used before."""
    landmarkers.tracker.reset()
    following = _Follower(main)
    for frame in frames:
        person = following.next(frame, landmarkers.tracker, landmarkers.searcher)
        yield _sample(frame, person, shown_px)


class _Follower:
    """Who is followed, and when to search next."""

    def __init__(self, main: Place | None) -> None:
        self.main = main
        self.seen_s: float | None = None
        self.in_sight = False
        self.next_search_s = -np.inf
        self.larger_seen = 0

    def next(self, frame: Frame, tracker: Landmarker, searcher: Landmarker) -> Person | None:
        """The main person in the next picture."""
        if self.seen_s is None:
            self.seen_s = frame.time_s
        gap_s = frame.time_s - self.seen_s
        if gap_s > _GIVE_UP_S:
            self.main = None
        seen = tracker.find(frame.rgb)
        person = seen[0] if seen else None
        place = place_of(person, frame) if person else None
        known = place is not None and self._may_be_main(place, gap_s)
        # Lost, found again or jumped: from here on it may be somebody else.
        changed = known != self.in_sight or (place and known and self._jumped(place))
        if changed or frame.time_s >= self.next_search_s:
            around = [(place_of(p, frame), p) for p in searcher.find(frame.rgb)]
            chosen = self._choose([p for p, _ in around], gap_s)
            if chosen and (place is None or place.distance(chosen) > _SAME_PERSON):
                person = _retarget(tracker, frame, next(p for q, p in around if q is chosen))
                place = place_of(person, frame) if person else None
                known = place is not None and place.distance(chosen) < _SAME_PERSON
            self.next_search_s = frame.time_s + self._search_interval_s(known, len(around))
        self.in_sight = known
        if not known:
            return None
        self.main, self.seen_s = place, frame.time_s
        return person

    def _search_interval_s(self, known: bool, people: int) -> float:
        """Time to the next search. Somebody who is alone cannot be mistaken for anybody else."""
        if not known or self.larger_seen:
            return _UNSURE_SEARCH_INTERVAL_S
        return _ALONE_SEARCH_INTERVAL_S if people <= 1 else _SEARCH_INTERVAL_S

    def _jumped(self, place: Place) -> bool:
        # Nobody is the main person any more after a long hole in the pictures.
        return self.main is None or (
            place.distance(self.main) > _MAX_JUMP or place.size_ratio(self.main) > _MAX_SIZE_RATIO
        )

    def _may_be_main(self, place: Place, gap_s: float) -> bool:
        """Whether the main person can have got to this place since last seen."""
        if self.main is None:
            return True
        distance, ratio = place.distance(self.main), place.size_ratio(self.main)
        if distance < _SAME_SPOT and ratio < _MAX_POSTURE_SIZE_RATIO:
            return True
        return distance < _MAX_JUMP + _MAX_SPEED_PER_S * gap_s and ratio < _MAX_SIZE_RATIO

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
        most_alike = min(possible, key=lambda p: p.distance(main) + np.log(p.size_ratio(main)))
        self.larger_seen = (
            self.larger_seen + 1 if largest.size > _TAKEOVER_SIZE_RATIO * most_alike.size else 0
        )
        if self.larger_seen < 2:
            return most_alike
        self.larger_seen = 0
        return largest


def _retarget(tracker: Landmarker, frame: Frame, person: Person) -> Person | None:
    """Make the tracker lose whom it tracks and track `person` instead."""
    height, width = frame.rgb.shape[:2]
    low, high = person.xy.min(axis=0), person.xy.max(axis=0)
    margin = _MARGIN * (high - low)
    left, top = np.maximum(0, np.floor((low - margin) * (width, height))).astype(int)
    right, bottom = np.ceil((high + margin) * (width, height)).astype(int)
    alone = np.full_like(frame.rgb, 128)
    alone[top:bottom, left:right] = frame.rgb[top:bottom, left:right]
    # On the empty picture it loses the other person, on the next one it finds this one.
    tracker.find(np.full_like(frame.rgb, 128))
    found = tracker.find(alone)
    # Then the whole picture again, for a mask without the edge of the blank.
    whole = tracker.find(frame.rgb) if found else []
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
