"""Is this the followed person? By the clothes, by where the survey saw everybody, by the way.

Distances and sizes are in body sizes. The limits were set by hand on films of two people side by
side; tests/pose/body holds them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pose.body.look import Sighting, colour_distance
from pose.persons import People, PersonSeen, Place

# Nobody gets further than this between two pictures (a fifteenth of a second), ...
_MAX_JUMP = 0.4
# ... nor runs faster than this, per second: a body size is about 1.8 m.
_MAX_SPEED_PER_S = 1.5
# A body that grows or shrinks by more than this ratio at once is another person or another
# posture. It counts as the same person in another posture ...
_MAX_SIZE_RATIO = 1.5
# ... only this near to the place before, and up to this ratio.
_SAME_SPOT = 0.5
_MAX_POSTURE_SIZE_RATIO = 3.0
# A sighting of the survey this near in time says where somebody is now: surveys look every 3 s.
_SURVEY_STEP_S = 3.5
# The survey looks at pictures that are sampled too; times are rounded to milliseconds.
_SAME_PICTURE_S = 0.002
# Colours that differ by less are of the same clothes in another light; colours that fit one person
# better than another by this much decide between the two. A difference of 2 is just visible.
_SAME_COLOURS = 18.0
_COLOUR_MARGIN = 8.0
# By this much they decide against the way too. Arms and shade change colours of one person less.
_CLEARLY_OTHER_COLOURS = 20.0
# Clothes this far off are of somebody the survey has not seen at all. Measured on films of people
# and figures: the same person within 22, others from 33 on.
_FOREIGN_COLOURS = 28.0
# What counts as one unit of misfit, as in pose.body.people.
_COLOUR_UNIT = 20.0


@dataclass(frozen=True)
class Identity:
    """What is known of the followed person and of everybody else.

    Attributes
    ----------
    person : PersonSeen
    others : tuple of PersonSeen
    surveyed : bool
        False: the survey did not find the person, so it says nothing of places.
    """

    person: PersonSeen
    others: tuple[PersonSeen, ...]
    surveyed: bool

    def surveyed_at(self, time_s: float) -> Place | None:
        """Where the survey saw the person about now."""
        if not self.surveyed:
            return None
        at_s, place = self.person.nearest(time_s)
        return place if abs(at_s - time_s) <= _SURVEY_STEP_S else None

    def surveyed_elsewhere(self, place: Place, time_s: float) -> bool:
        """Whether the survey saw the person somewhere else in this very picture."""
        if not self.surveyed:
            return False
        at_s, surveyed = self.person.nearest(time_s)
        return abs(at_s - time_s) < _SAME_PICTURE_S and not reachable(place, surveyed, 0.0)

    def wears_the_same(self, seen: Sighting) -> bool:
        """Whether the clothes fit; in doubt (colours not seen) they do."""
        return not _colours_off(seen, self.person) > _SAME_COLOURS

    def wears_others(self, seen: Sighting) -> bool:
        """Whether the clothes are clearly another person's, whatever the way says.

        A tracker may glide from one person to another where they cross.
        """
        own = _colours_off(seen, self.person)
        return own > _FOREIGN_COLOURS or any(
            own - _colours_off(seen, other) > _CLEARLY_OTHER_COLOURS for other in self.others
        )

    def is_other(self, seen: Sighting) -> bool:
        """Whether this is somebody else: by the clothes, or by where the survey saw others."""
        own = _colours_off(seen, self.person)
        for other in self.others:
            difference = own - _colours_off(seen, other)
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
        surveyed = self.surveyed_at(seen.time_s)
        return surveyed is not None and seen.place.distance(surveyed) < seen.place.distance(other)

    def misfit(self, seen: Sighting, expected: tuple[Place, ...]) -> float:
        """How badly somebody fits, by clothes and by the nearest of the places expected."""
        colours = _colours_off(seen, self.person) / _COLOUR_UNIT
        off = colours if np.isfinite(colours) else 1.0
        if expected:
            off += min(
                seen.place.distance(p) + float(np.log(seen.place.size_ratio(p))) for p in expected
            )
        return off


def identity_of(people: People) -> Identity | None:
    """What a survey knows of the followed person; None where it found nobody."""
    if people.followed is None:
        return None
    others = tuple(p for k, p in enumerate(people.seen) if k != people.followed)
    return Identity(people.seen[people.followed], others, surveyed=True)


def identity_from(sighting: Sighting) -> Identity:
    """A person of whom one sighting is all that is known."""
    person = PersonSeen(
        times_s=(sighting.time_s,),
        places=(sighting.place,),
        boxes=(sighting.box,),
        colours=tuple(sighting.colours.tolist()),
        presence=0.0,
        motion=0.0,
    )
    return Identity(person, (), surveyed=False)


def reachable(place: Place, before: Place, gap_s: float) -> bool:
    """Whether a person can have got from one place to another in a time."""
    distance, ratio = place.distance(before), place.size_ratio(before)
    if distance < _SAME_SPOT and ratio < _MAX_POSTURE_SIZE_RATIO:
        return True
    return distance < _MAX_JUMP + _MAX_SPEED_PER_S * gap_s and ratio < _MAX_SIZE_RATIO


def jumped(place: Place, before: Place) -> bool:
    """Whether a body is too far from where it was a picture ago, or of another size."""
    return place.distance(before) > _MAX_JUMP or place.size_ratio(before) > _MAX_SIZE_RATIO


def _colours_off(seen: Sighting, person: PersonSeen) -> float:
    return colour_distance(seen.colours, np.array(person.colours))
