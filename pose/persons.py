"""People of a film: where each was seen, and which of them is followed."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class Place:
    """Where a person is and how large, as fractions of the picture's longer side.

    `x`, `y` : middle of the hips. `size` : diagonal of the box around the landmarks, about the same
    standing and lying.
    """

    x: float
    y: float
    size: float

    def distance(self, other: Place) -> float:
        """Distance between two places, in sizes of the larger one."""
        return math.hypot(self.x - other.x, self.y - other.y) / max(self.size, other.size)

    def size_ratio(self, other: Place) -> float:
        """Ratio of two sizes, the larger to the smaller."""
        return max(self.size, other.size) / min(self.size, other.size)


@dataclass(frozen=True)
class PersonSeen:
    """One person, seen in some pictures all over a film.

    Attributes
    ----------
    times_s : tuple of float
        Of the pictures, increasing.
    places : tuple of Place
    boxes : tuple of (left, top, right, bottom)
        Around the landmarks, fractions of the picture's width and height.
    colours : tuple of 6 float
        Median CIE L*a*b* of the top and of the legs; NaN where not seen.
    presence : float
        Fraction of the pictures looked at in which the person was seen.
    motion : float
        How much the posture changes from one picture to the next, in body sizes: of the landmarks
        that move most, median over the pictures.
    """

    times_s: tuple[float, ...]
    places: tuple[Place, ...]
    boxes: tuple[tuple[float, float, float, float], ...]
    colours: tuple[float, ...]
    presence: float
    motion: float

    def nearest(self, time_s: float) -> tuple[float, Place]:
        """Time and place of the sighting nearest in time."""
        i = min(range(len(self.times_s)), key=lambda k: abs(self.times_s[k] - time_s))
        return self.times_s[i], self.places[i]


@dataclass(frozen=True)
class People:
    """Everybody found in a film, the followed one, and where that is in doubt.

    Attributes
    ----------
    seen : tuple of PersonSeen
        The one the film is about first, then by how much they are in it.
    followed : int or None
        Place in `seen` of who is followed; None: nobody was found.
    doubts_s : tuple of float
        Times at which the followed person may have become somebody else.
    picked : str or None
        Where the followed person was pointed at by hand; None: chosen by what the film is about.
    """

    seen: tuple[PersonSeen, ...] = ()
    followed: int | None = None
    doubts_s: tuple[float, ...] = ()
    picked: str | None = None


@dataclass(frozen=True)
class Pick:
    """Whom to follow, told by hand: a point of the picture as it is shown.

    Attributes
    ----------
    x, y : float
        Fractions of the width and height; pixels where either is above 1.
    time_s : float or None
        None: whoever is there in most pictures.
    """

    x: float
    y: float
    time_s: float | None = None

    def __str__(self) -> str:
        at = "" if self.time_s is None else f"@{_plain(self.time_s)}"
        return f"{_plain(self.x)},{_plain(self.y)}{at}"


def _plain(number: float) -> str:
    """A number to a millionth, never with an exponent: people write none."""
    return f"{number:.6f}".rstrip("0").rstrip(".")


def people_to_json(people: People) -> str:
    """Everything as JSON; numbers that are not known as null."""
    raw = asdict(people)
    for person in raw["seen"]:
        # JSON has no NaN.
        person["colours"] = [None if math.isnan(c) else c for c in person["colours"]]
    return json.dumps(raw)


def people_from_json(text: str | bytes) -> People:
    """Read what :func:`people_to_json` wrote.

    Raises
    ------
    KeyError, TypeError, ValueError
        Something else.
    """
    raw = json.loads(text)
    seen = tuple(
        PersonSeen(
            times_s=tuple(p["times_s"]),
            places=tuple(Place(**place) for place in p["places"]),
            boxes=tuple(tuple(box) for box in p["boxes"]),
            colours=tuple(math.nan if c is None else c for c in p["colours"]),
            presence=p["presence"],
            motion=p["motion"],
        )
        for p in raw["seen"]
    )
    return People(seen, raw["followed"], tuple(raw["doubts_s"]), raw.get("picked"))
