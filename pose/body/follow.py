"""Follow one person through pictures: landmarks and outline of the trunk in each.

Who it is was found out before, by looking all over the film (:mod:`pose.body.people`); here nobody
takes over because he is larger or nearer. Tracking one person takes 10 ms a picture, searching for
everybody 15 to 25 ms. So everybody is searched only now and then: at the start, every two seconds
(four, where nobody else is in the picture), and whenever the tracked person jumped, changed size or
was lost. If it is somebody else who is tracked, the followed person is, from there.

Somebody is the followed person by the way (nobody gets far between two pictures), by where the
survey saw this person at about the same time, and by the colours of the clothes; never where
another person was seen (:mod:`pose.body.identity`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.identity import identity_from, identity_of, jumped, reachable
from pose.body.landmarker import Landmarker, Person
from pose.body.look import Sighting, look_around, place_of, sighting_of
from pose.body.outline import trunk_outline
from pose.persons import People, Place
from pose.track import BACK_FRACTIONS
from pose.video.picture import Frame

Floats = NDArray[np.float64]

# Time from one search to the next: with others in the picture, alone, and when unsure.
_SEARCH_INTERVAL_S = 2.0
_ALONE_SEARCH_INTERVAL_S = 4.0
_UNSURE_SEARCH_INTERVAL_S = 0.5
# Time from one look at the clothes of the tracked person to the next: a tracker may glide to
# somebody who passes in front.
_GLANCE_INTERVAL_S = 0.5
# The way tells less and less the longer a person is out of sight: after this it tells nothing, and
# only clothes and the survey do.
_MAX_WAY_GAP_S = 5.0
# Nobody gets this far between two looks at the clothes while exercising on the spot; who passes by
# does: 0.65 m in half a second.
_STAYS = 0.35
# Nor does anybody get this much larger or smaller by it; who passes in front is nearer.
_STAYS_SIZE_RATIO = 1.3
# Two places nearer than this are the same person.
_SAME_PERSON = 0.25
# Who fits better by less than this, in units, may be the wrong one.
_MIN_LEAD = 0.3


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
    # Samples since it was last looked who it is: that is only known at the next look.
    pending: list[Sample] = []
    for frame in frames:
        person = following.next(frame, landmarker)
        if following.strayed:
            pending = [_lost(s.time_s) for s in pending]
        pending.append(replace(_sample(frame, person, shown_px), in_doubt=following.in_doubt))
        if following.confirmed:
            yield from pending
            pending = []
    yield from pending


class _Follower:
    """Where the followed person was last, and when to search next."""

    def __init__(self, people: People) -> None:
        self.identity = identity_of(people)
        self.place: Place | None = None
        self.seen_s = -np.inf
        self.in_sight = False
        self.in_doubt = False
        # Looked who it is, by a search or by the clothes.
        self.confirmed = False
        # When and where the person was found by the last search.
        self.sure: tuple[float, Place] | None = None
        # The tracker has glided to somebody else since the last search.
        self.strayed = False
        self.next_search_s = self.next_glance_s = -np.inf

    def next(self, frame: Frame, landmarker: Landmarker) -> Person | None:
        """The followed person in the next picture."""
        time_s = frame.time_s
        self.in_doubt = self.strayed = False
        unsurveyed = self.identity is not None and not self.identity.surveyed
        if unsurveyed and time_s - self.seen_s > _MAX_WAY_GAP_S:
            self.identity = None
        person = landmarker.track(frame.rgb)
        place = place_of(person, frame) if person else None
        # Colours are only read where the way does not answer: they take half a millisecond.
        known = bool(
            person
            and place
            and (self._goes_on(place, time_s) or self._may_be(sighting_of(person, frame)))
        )
        # Lost, found again or jumped: from here on it may be somebody else.
        changed = known != self.in_sight or (
            place and known and self.place and jumped(place, self.place)
        )
        glance = known and time_s >= self.next_glance_s
        suspect = bool(
            glance
            and person
            and self.identity
            and self.identity.wears_others(sighting_of(person, frame))
        )
        searched = bool(changed or suspect or time_s >= self.next_search_s)
        self.confirmed = searched or glance
        if self.confirmed:
            self.next_glance_s = time_s + _GLANCE_INTERVAL_S
        foreign = False
        if searched:
            expected = () if known and not suspect else self._expected(time_s)
            around = look_around(frame, landmarker, expected)
            others = len(around) > 1
            tracked = [sighting_of(person, frame)] if person else []
            chosen = self._choose([*around, *tracked])
            foreign = chosen is None and known and bool(place)
            if foreign and place and self._stays_alone(place, around):
                chosen = tracked[0]
            self.in_doubt = chosen is not None and self._has_rival(chosen, around)
            self.strayed = not changed and known and not _is_at(chosen, place)
            if chosen is None:
                known = False
            elif not _is_at(chosen, place):
                person = landmarker.retarget(frame.rgb, chosen.person)
                place = place_of(person, frame) if person else None
                known = _is_at(chosen, place)
            else:
                known = True
            self.next_search_s = time_s + _search_interval_s(known, others)
        self.in_sight = known
        if not known or place is None or person is None:
            return None
        if self.identity is None:
            self.identity = identity_from(sighting_of(person, frame))
        self.in_doubt = self.in_doubt or self.identity.surveyed_elsewhere(place, time_s)
        self.place, self.seen_s = place, time_s
        # In foreign clothes it is only believed on the spot where it was last known by its own.
        if self.confirmed and not foreign:
            self.sure = (time_s, place)
        return person

    def _stays_alone(self, place: Place, around: Sequence[Sighting]) -> bool:
        """Whether nobody else is in the picture, and the tracked one is where it was for sure.

        Then it is the same person, whatever the colours: of small or bent bodies they are misread.
        """
        return (
            self.sure is not None
            and place.distance(self.sure[1]) < _STAYS
            and place.size_ratio(self.sure[1]) < _STAYS_SIZE_RATIO
            and all(_is_at(s, place) for s in around)
        )

    def _goes_on(self, place: Place, time_s: float) -> bool:
        """Whether this is where the person seen a moment ago would be now."""
        gap_s = time_s - self.seen_s
        return (
            self.identity is not None
            and self.place is not None
            and gap_s < _UNSURE_SEARCH_INTERVAL_S
            and reachable(place, self.place, gap_s)
        )

    def _expected(self, time_s: float) -> tuple[Place, ...]:
        """Where to look closely for who is lost: the last place, and where the survey saw it."""
        surveyed = None if self.identity is None else self.identity.surveyed_at(time_s)
        return tuple(place for place in (self.place, surveyed) if place is not None)

    def _may_be(self, seen: Sighting) -> bool:
        """Whether this may be the followed person."""
        if self.identity is None:
            return True
        gap_s = seen.time_s - self.seen_s
        if self.place is not None and gap_s <= _MAX_WAY_GAP_S:
            if self._goes_on(seen.place, seen.time_s):
                return True
            # From where it was a moment ago, or where it was for sure: the tracker may have glided
            # away since.
            near = reachable(seen.place, self.place, gap_s) or (
                self.sure is not None
                and reachable(seen.place, self.sure[1], seen.time_s - self.sure[0])
            )
            return near and not self.identity.is_other(seen)
        surveyed = self.identity.surveyed_at(seen.time_s)
        near = surveyed is not None and reachable(seen.place, surveyed, _UNSURE_SEARCH_INTERVAL_S)
        fits = near or self.identity.wears_the_same(seen)
        return fits and not self.identity.is_other(seen)

    def _choose(self, seen: Sequence[Sighting]) -> Sighting | None:
        """The followed person among those in the picture."""
        identity = self.identity
        if identity is None:
            return max(seen, key=lambda s: s.place.size, default=None)
        possible = (s for s in seen if self._may_be(s) and not identity.wears_others(s))
        return min(
            possible, key=lambda s: identity.misfit(s, self._expected(s.time_s)), default=None
        )

    def _has_rival(self, chosen: Sighting, around: Sequence[Sighting]) -> bool:
        """Whether somebody else in the picture fits nearly as well."""
        if self.identity is None:
            return False
        expected = self._expected(chosen.time_s)
        limit = self.identity.misfit(chosen, expected) + _MIN_LEAD
        rivals = (s for s in around if not _is_at(chosen, s.place))
        return any(self._may_be(s) and self.identity.misfit(s, expected) < limit for s in rivals)


def _is_at(seen: Sighting | None, place: Place | None) -> bool:
    return bool(seen and place and place.distance(seen.place) < _SAME_PERSON)


def _search_interval_s(known: bool, others: bool) -> float:
    """Time to the next search. Somebody who is alone cannot be mistaken for anybody else."""
    if not known:
        return _UNSURE_SEARCH_INTERVAL_S
    return _SEARCH_INTERVAL_S if others else _ALONE_SEARCH_INTERVAL_S


def _sample(frame: Frame, person: Person | None, shown_px: tuple[int, int]) -> Sample:
    if person is None:
        return _lost(frame.time_s)
    height, width = frame.rgb.shape[:2]
    small = person.xy * (width, height)
    assert person.mask is not None, "a tracked person has a mask"
    shoulders_px, hips_px = small[list(lm.SHOULDERS)], small[list(lm.HIPS)]
    outline = trunk_outline(person.mask, shoulders_px, hips_px, (width, height))
    return Sample(frame.time_s, person.xy * shown_px, person.world_m, person.visibility, outline)


def _lost(time_s: float) -> Sample:
    """The sample of a picture in which the person was not found."""
    return Sample(
        time_s,
        np.full((lm.COUNT, 2), np.nan),
        np.full((lm.COUNT, 3), np.nan),
        np.zeros(lm.COUNT),
        np.full((2, len(BACK_FRACTIONS)), np.nan, dtype=np.float32),
    )
