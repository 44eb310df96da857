"""Sightings all over a film joined into people, and the one the film is about.

Pictures of a survey lie seconds apart, so a person may have gone anywhere in the room. What stays
is the clothes, the size, and that nobody is in two places at once: in each picture, everybody seen
is given to somebody known so that all together fit best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from pose.body.look import Sighting, colour_distance
from pose.persons import PersonSeen, Place

Floats = NDArray[np.float64]

# What counts as one unit of misfit: a body size of way, a doubling of the size, or this difference
# of colour (a difference of 2 is just visible, 20 is another shade of the same colour).
_COLOUR_UNIT = 20.0
# Further than this apart nothing more is learned from the way: people walk through the room.
_MAX_WAY = 2.0
# Two sightings that fit worse are two people.
_MAX_MISFIT = 2.5
# Postures that change by this much from picture to picture, in body sizes, are exercise. Measured
# on scenes and films, pictures two to three seconds apart: 0.025 (a march in step with the
# pictures) to 0.5; of people who stand and look on 0.007 to 0.009.
_FULL_MOTION = 0.03
# Of the landmarks that move most: a march moves the legs only.
_MOVING_PERCENTILE = 80.0
# A person who does not move at all, or stands at the border of the picture, counts this fraction.
_STILL_WEIGHT, _BORDER_WEIGHT = 0.25, 0.6
# Somebody seen in fewer pictures may be a mistake of the detector. Of a film with three pictures
# in all, one is enough.
_MIN_SIGHTINGS, _MIN_PRESENCE = 2, 0.3


@dataclass(eq=False)
class _Known:
    """A person while the sightings are joined."""

    sightings: list[Sighting] = field(default_factory=list)

    @property
    def place(self) -> Place:
        return self.sightings[-1].place

    @property
    def colours(self) -> Floats:
        return _median([s.colours for s in self.sightings])


def join_people(looks: Sequence[Sequence[Sighting]]) -> tuple[PersonSeen, ...]:
    """Join sightings into people.

    Parameters
    ----------
    looks : sequence of sequence of Sighting
        Who was seen in each picture looked at, in order of time; empty where nobody was.

    Returns
    -------
    tuple of PersonSeen
        The one the film is about first: by size, presence, place in the picture and how much the
        person exercises.
    """
    known: list[_Known] = []
    for look in looks:
        _assign(list(look), known)
    seen = [_person(k, len(looks)) for k in known]
    real = [p for p in seen if len(p.times_s) >= _MIN_SIGHTINGS or p.presence >= _MIN_PRESENCE]
    return tuple(sorted(real, key=weight, reverse=True))


def weight(person: PersonSeen) -> float:
    """How much a film is about a person; comparable within one film."""
    size = float(np.median([p.size for p in person.places]))
    off_middle = float(np.median([abs(p.x - 0.5) for p in person.places])) / 0.5
    central = 1 - (1 - _BORDER_WEIGHT) * min(1.0, off_middle)
    active = _STILL_WEIGHT + (1 - _STILL_WEIGHT) * min(1.0, person.motion / _FULL_MOTION)
    return size * person.presence * central * active


def person_at(
    people: Sequence[PersonSeen], x: float, y: float, time_s: float | None = None
) -> int | None:
    """The person at a point of the picture, given as fractions of its width and height.

    Parameters
    ----------
    time_s : float or None
        In the picture nearest to this time; None: in any picture.

    Returns
    -------
    int or None
        Place in `people`: whose box holds the point nearest to the time or, without one, most
        often; the smallest such box first (the one in front of a larger one was meant). None where
        nobody is there.
    """
    held: list[tuple[float, int, float, int]] = []
    for number, person in enumerate(people):
        boxes, nearest = person.boxes, 0.0
        if time_s is not None:
            nearest = min(abs(t - time_s) for t in person.times_s)
            boxes = tuple(
                b
                for b, t in zip(person.boxes, person.times_s, strict=True)
                if abs(t - time_s) <= nearest
            )
        inside = [b for b in boxes if b[0] <= x <= b[2] and b[1] <= y <= b[3]]
        if inside:
            area = float(np.median([(b[2] - b[0]) * (b[3] - b[1]) for b in inside]))
            held.append((nearest, -len(inside), area, number))
    return min(held)[3] if held else None


def _assign(look: list[Sighting], known: list[_Known]) -> None:
    """Give each sighting of a picture to somebody known, or to somebody new."""
    if look and known:
        misfits = np.array([[_misfit(s, k) for k in known] for s in look])
        rows, columns = linear_sum_assignment(np.minimum(misfits, 2 * _MAX_MISFIT))
        pairs = dict(zip(rows.tolist(), columns.tolist(), strict=True))
    else:
        misfits, pairs = np.zeros((0, 0)), {}
    for row, sighting in enumerate(look):
        column = pairs.get(row)
        if column is not None and misfits[row, column] <= _MAX_MISFIT:
            known[column].sightings.append(sighting)
        else:
            known.append(_Known([sighting]))


def _misfit(sighting: Sighting, known: _Known) -> float:
    """How badly a sighting fits a person, in units: see the constants."""
    way = min(_MAX_WAY, sighting.place.distance(known.place))
    size = float(np.log2(sighting.place.size_ratio(known.place)))
    colour = colour_distance(sighting.colours, known.colours) / _COLOUR_UNIT
    # Colours that are not seen say nothing for or against.
    return way + size + (colour if np.isfinite(colour) else 1.0)


def _person(known: _Known, looks: int) -> PersonSeen:
    sightings = known.sightings
    postures = np.array([s.posture for s in sightings])
    steps = np.linalg.norm(np.diff(postures, axis=0), axis=2)
    return PersonSeen(
        times_s=tuple(s.time_s for s in sightings),
        places=tuple(s.place for s in sightings),
        boxes=tuple(s.box for s in sightings),
        colours=tuple(known.colours.tolist()),
        presence=len(sightings) / looks,
        # Of somebody seen once nothing is known: taken for exercise, so that size decides.
        motion=(
            float(np.median(np.percentile(steps, _MOVING_PERCENTILE, axis=1)))
            if steps.size
            else _FULL_MOTION
        ),
    )


def _median(colours: list[Floats]) -> Floats:
    stacked = np.array(colours)
    known = np.isfinite(stacked)
    return np.array(
        [
            np.median(stacked[known[:, k], k]) if known[:, k].any() else np.nan
            for k in range(stacked.shape[1])
        ]
    )
