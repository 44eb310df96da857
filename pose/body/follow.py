"""Follow one person through pictures: landmarks and outline of the trunk in each.

Who it is was found out before, by looking all over the film (:mod:`pose.body.people`); here nobody
takes over because he is larger or nearer. Tracking one person takes 10 ms a picture, searching for
everybody 15 to 25 ms. So everybody is searched only now and then: at the start, every two seconds
(four, where nobody else is in the picture), and whenever the tracked person jumped, changed size or
was lost. If it is somebody else who is tracked, the followed person is, from there.

Somebody is the followed person by the way (nobody gets far between two pictures), by where the
survey saw this person at about the same time, and by the colours of the clothes; never where
another person was seen.

The limits below were set by hand on films of two people side by side; tests/pose/body holds them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Landmarker, Person
from pose.body.look import Sighting, colour_distance, look_around, sighting_of
from pose.body.outline import trunk_outline
from pose.persons import People, PersonSeen, Place
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
# The way tells less and less the longer a person is out of sight: after this it tells nothing, and
# only clothes and the survey do.
_MAX_WAY_GAP_S = 5.0
# A sighting of the survey this near in time says where somebody is now: surveys look every 3 s.
_SURVEY_STEP_S = 3.5
# Two places nearer than this are the same person.
_SAME_PERSON = 0.25
# Colours that differ by less are of the same clothes in another light; colours that fit one person
# better than another by this much decide between the two. A difference of 2 is just visible.
_SAME_COLOURS = 18.0
_COLOUR_MARGIN = 8.0
# Who fits better by less than this, in units, may be the wrong one.
_MIN_LEAD = 0.3
# The survey looks at pictures that are sampled here too; times are rounded to milliseconds.
_SAME_PICTURE_S = 0.002
# What counts as one unit when the best of several is chosen, as in pose.body.people.
_COLOUR_UNIT = 20.0


@dataclass(frozen=True, eq=False)
class Sample:
    """What one picture shows; arrays as the rows of :class:`pose.track.PoseTrack`.

    `in_doubt` : from here on it may be somebody else who is followed.
    """

    time_s: float
    xy_px: Floats
    world_m: Floats
    visibility: Floats
    outline: NDArray[np.float32]
    in_doubt: bool = False


def follow(
    frames: Iterable[Frame], shown_px: tuple[int, int], landmarker: Landmarker, people: People
) -> Iterator[Sample]:
    """Follow a person through pictures in order of time.

    Parameters
    ----------
    frames : iterable of Frame
        All of one size.
    shown_px : (width, height)
        Of the full picture, in whose pixels the landmarks are given.
    landmarker : Landmarker
        May have been used before.
    people : People
        Who is in the film and who of them is followed. Where the survey found nobody, the largest
        person of the first picture with anybody is.

    Yields
    ------
    Sample
        One for each picture; NaN, with visibility 0, where the person is not found.
    """
    landmarker.reset()
    following = _Follower(people)
    for frame in frames:
        person = following.next(frame, landmarker)
        yield replace(_sample(frame, person, shown_px), in_doubt=following.in_doubt)


class _Follower:
    """Where the followed person was last, and when to search next."""

    def __init__(self, people: People) -> None:
        self.target = None if people.followed is None else people.seen[people.followed]
        self.others = [p for k, p in enumerate(people.seen) if k != people.followed]
        self.surveyed = self.target is not None
        self.place: Place | None = None
        self.seen_s = -np.inf
        self.in_sight = False
        self.in_doubt = False
        self.next_search_s = -np.inf

    def next(self, frame: Frame, landmarker: Landmarker) -> Person | None:
        """The followed person in the next picture."""
        time_s = frame.time_s
        self.in_doubt = False
        if not self.surveyed and time_s - self.seen_s > _MAX_WAY_GAP_S:
            self.target = None
        person = landmarker.track(frame.rgb)
        tracked = sighting_of(person, frame) if person else None
        known = tracked is not None and self._may_be(tracked)
        # Lost, found again or jumped: from here on it may be somebody else.
        changed = known != self.in_sight or (tracked and known and self._jumped(tracked.place))
        if changed or time_s >= self.next_search_s:
            expected = () if known else self._expected(time_s)
            around = look_around(frame, landmarker, expected)
            others = len(around) > 1
            chosen = self._choose([*around, *([tracked] if tracked else [])])
            self.in_doubt = chosen is not None and self._has_rival(chosen, around)
            if chosen is None:
                known = False
            elif tracked is None or tracked.place.distance(chosen.place) > _SAME_PERSON:
                person = landmarker.retarget(frame.rgb, chosen.person)
                tracked = sighting_of(person, frame) if person else None
                known = tracked is not None and (
                    tracked.place.distance(chosen.place) < _SAME_PERSON
                )
            else:
                known = True
            self.next_search_s = time_s + _search_interval_s(known, others)
        self.in_sight = known
        if not known or tracked is None:
            return None
        self.in_doubt = self.in_doubt or self._surveyed_elsewhere(tracked)
        if self.target is None:
            self.target = _as_seen(tracked)
        self.place, self.seen_s = tracked.place, time_s
        return person

    def _expected(self, time_s: float) -> tuple[Place, ...]:
        """Where to look closely for who is lost: the last place, and where the survey saw it."""
        last = () if self.place is None else (self.place,)
        surveyed = self._surveyed_at(time_s)
        return last if surveyed is None else (*last, surveyed)

    def _surveyed_at(self, time_s: float) -> Place | None:
        """Where the survey saw the person about now."""
        if self.target is None or not self.surveyed:
            return None
        at_s, place = self.target.nearest(time_s)
        return place if abs(at_s - time_s) <= _SURVEY_STEP_S else None

    def _jumped(self, place: Place) -> bool:
        return self.place is not None and (
            place.distance(self.place) > _MAX_JUMP or place.size_ratio(self.place) > _MAX_SIZE_RATIO
        )

    def _may_be(self, seen: Sighting) -> bool:
        """Whether this may be the followed person."""
        if self.target is None:
            return True
        gap_s = seen.time_s - self.seen_s
        if self.place is not None and gap_s <= _MAX_WAY_GAP_S:
            if _reachable(seen.place, self.place, gap_s):
                return gap_s < _UNSURE_SEARCH_INTERVAL_S or not self._is_other(seen)
            return False
        surveyed = self._surveyed_at(seen.time_s)
        if surveyed is not None and _reachable(seen.place, surveyed, _UNSURE_SEARCH_INTERVAL_S):
            return not self._is_other(seen)
        return self._wears_the_same(seen) and not self._is_other(seen)

    def _wears_the_same(self, seen: Sighting) -> bool:
        """Whether the clothes fit; in doubt (colours not seen) they do."""
        assert self.target is not None
        return not self._colours_off(seen, self.target) > _SAME_COLOURS

    def _is_other(self, seen: Sighting) -> bool:
        """Whether this is somebody else: by the clothes, or by where the survey saw others."""
        assert self.target is not None
        own = self._colours_off(seen, self.target)
        for other in self.others:
            difference = own - self._colours_off(seen, other)
            if difference > _COLOUR_MARGIN:
                return True
            at_s, place = other.nearest(seen.time_s)
            there = abs(at_s - seen.time_s) <= _SURVEY_STEP_S and (
                place.distance(seen.place) < _SAME_SPOT
                and place.size_ratio(seen.place) < _MAX_SIZE_RATIO
            )
            if there and not difference < -_COLOUR_MARGIN and not self._is_nearer(seen, place):
                return True
        return False

    def _is_nearer(self, seen: Sighting, other: Place) -> bool:
        """Whether the survey saw the followed person nearer to this place than the other one."""
        surveyed = self._surveyed_at(seen.time_s)
        return surveyed is not None and seen.place.distance(surveyed) < seen.place.distance(other)

    @staticmethod
    def _colours_off(seen: Sighting, person: PersonSeen) -> float:
        return colour_distance(seen.colours, np.array(person.colours))

    def _choose(self, seen: Sequence[Sighting]) -> Sighting | None:
        """The followed person among those in the picture."""
        if self.target is None:
            return max(seen, key=lambda s: s.place.size, default=None)
        return min((s for s in seen if self._may_be(s)), key=self._misfit, default=None)

    def _has_rival(self, chosen: Sighting, around: Sequence[Sighting]) -> bool:
        """Whether somebody else in the picture fits nearly as well."""
        if self.target is None:
            return False
        fit = self._misfit(chosen)
        rivals = (s for s in around if s.place.distance(chosen.place) > _SAME_PERSON)
        return any(self._may_be(s) and self._misfit(s) - fit < _MIN_LEAD for s in rivals)

    def _surveyed_elsewhere(self, tracked: Sighting) -> bool:
        """Whether the survey saw the person somewhere else in this very picture."""
        if self.target is None or not self.surveyed:
            return False
        at_s, place = self.target.nearest(tracked.time_s)
        return abs(at_s - tracked.time_s) < _SAME_PICTURE_S and not _reachable(
            tracked.place, place, 0.0
        )

    def _misfit(self, seen: Sighting) -> float:
        assert self.target is not None
        colours = self._colours_off(seen, self.target) / _COLOUR_UNIT
        off = colours if np.isfinite(colours) else 1.0
        expected = self._expected(seen.time_s)
        if expected:
            off += min(
                seen.place.distance(p) + float(np.log(seen.place.size_ratio(p))) for p in expected
            )
        return off


def _reachable(place: Place, before: Place, gap_s: float) -> bool:
    """Whether a person can have got from one place to another in a time."""
    distance, ratio = place.distance(before), place.size_ratio(before)
    if distance < _SAME_SPOT and ratio < _MAX_POSTURE_SIZE_RATIO:
        return True
    return distance < _MAX_JUMP + _MAX_SPEED_PER_S * gap_s and ratio < _MAX_SIZE_RATIO


def _search_interval_s(known: bool, others: bool) -> float:
    """Time to the next search. Somebody who is alone cannot be mistaken for anybody else."""
    if not known:
        return _UNSURE_SEARCH_INTERVAL_S
    return _SEARCH_INTERVAL_S if others else _ALONE_SEARCH_INTERVAL_S


def _as_seen(sighting: Sighting) -> PersonSeen:
    """A person of whom one sighting is all that is known."""
    return PersonSeen(
        times_s=(sighting.time_s,),
        places=(sighting.place,),
        boxes=(sighting.box,),
        colours=tuple(sighting.colours.tolist()),
        presence=0.0,
        motion=0.0,
    )


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
    assert person.mask is not None, "a tracked person has a mask"
    shoulders_px, hips_px = small[list(lm.SHOULDERS)], small[list(lm.HIPS)]
    outline = trunk_outline(person.mask, shoulders_px, hips_px, (width, height))
    return Sample(frame.time_s, person.xy * shown_px, person.world_m, person.visibility, outline)
