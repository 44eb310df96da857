"""Sightings joined into people, and the one of them the film is about."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Person
from pose.body.look import Sighting
from pose.body.people import join_people, person_at
from pose.persons import PersonSeen, Place

GREEN, PINK = (50, -60, 40), (70, 60, 10)


def sighting(
    time_s: float,
    x: float,
    *,
    size: float = 0.3,
    colour: tuple[float, float, float] = GREEN,
    arms: float = 0.0,
) -> Sighting:
    """Somebody at a height of the middle; `arms`: how far the wrists are moved, body sizes."""
    posture = np.zeros((lm.COUNT, 2))
    posture[lm.WRISTS[0] - 10 :, 1] = arms
    ones = np.ones(lm.COUNT)
    person = Person(np.zeros((lm.COUNT, 2)), np.zeros((lm.COUNT, 3)), ones, ones, 1.0, None, None)
    box = (x - size / 4, 0.5 - size / 2, x + size / 4, 0.5 + size / 2)
    colours: NDArray[np.float64] = np.array([*colour, *colour], dtype=np.float64)
    return Sighting(time_s, Place(x, 0.5, size), box, colours, posture, person)


def moving(number: int) -> float:
    """Arms up in every other picture."""
    return 0.3 * (number % 2)


def xs(person: PersonSeen) -> list[float]:
    return [p.x for p in person.places]


def test_somebody_alone_is_one_person() -> None:
    (person,) = join_people([[sighting(3 * i, 0.5 + 0.02 * i, arms=moving(i))] for i in range(6)])
    assert person.times_s == (0, 3, 6, 9, 12, 15)
    assert person.presence == 1 and person.motion > 0.1
    assert person.colours == pytest.approx((*GREEN, *GREEN))


def test_two_who_change_places_are_known_by_their_clothes() -> None:
    looks = [
        [sighting(0, 0.3, colour=GREEN), sighting(0, 0.7, colour=PINK)],
        [sighting(3, 0.7, colour=GREEN), sighting(3, 0.3, colour=PINK)],
        [sighting(6, 0.3, colour=GREEN), sighting(6, 0.7, colour=PINK)],
    ]
    people = join_people(looks)
    assert sorted(xs(p) for p in people) == [[0.3, 0.7, 0.3], [0.7, 0.3, 0.7]]


def test_two_in_the_same_clothes_are_known_by_place_and_size() -> None:
    looks = [[sighting(3 * i, 0.3, size=0.4), sighting(3 * i, 0.6, size=0.2)] for i in range(4)]
    large, small = join_people(looks)
    assert xs(large) == [0.3] * 4 and xs(small) == [0.6] * 4


def test_somebody_who_was_missed_in_a_picture_is_still_the_same() -> None:
    both = [sighting(0, 0.3), sighting(0, 0.7, colour=PINK)]
    looks = [both, [sighting(3, 0.7, colour=PINK)], [replace(s, time_s=6.0) for s in both]]
    people = join_people(looks)
    assert sorted(p.presence for p in people) == pytest.approx([2 / 3, 1])


def test_a_find_of_one_picture_among_many_is_nobody() -> None:
    looks = [[sighting(3 * i, 0.5)] for i in range(10)]
    looks[4] = [*looks[4], sighting(12, 0.9, size=0.1, colour=PINK)]
    assert len(join_people(looks)) == 1


def test_in_a_film_of_one_picture_one_sighting_is_somebody() -> None:
    (person,) = join_people([[sighting(0, 0.5)]])
    assert person.presence == 1


def test_nobody_anywhere() -> None:
    assert join_people([[], []]) == ()


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ({"size": 0.15}, "smaller, behind"),
        ({"size": 0.3, "x": 0.95}, "as large, at the border"),
        ({"size": 0.36, "still": True}, "larger, sits and looks on"),
    ],
)
def test_the_film_is_about_who_is_large_in_the_middle_and_exercises(
    other: dict[str, float], why: str
) -> None:
    looks = [
        [
            sighting(3 * i, 0.45, arms=moving(i)),
            sighting(
                3 * i,
                other.get("x", 0.7),
                size=other["size"],
                colour=PINK,
                arms=0 if other.get("still") else moving(i),
            ),
        ]
        for i in range(8)
    ]
    first, _ = join_people(looks)
    assert xs(first) == [0.45] * 8, why


def test_somebody_large_who_only_passes_is_not_the_one() -> None:
    looks = [[sighting(3 * i, 0.5, arms=moving(i))] for i in range(10)]
    for i in (4, 5):
        looks[i] = [*looks[i], sighting(3 * i, 0.5, size=0.6, colour=PINK, arms=moving(i))]
    first, passer = join_people(looks)
    assert first.presence == 1 and passer.presence == pytest.approx(0.2)


def test_the_person_at_a_point() -> None:
    looks = [[sighting(3 * i, 0.3), sighting(3 * i, 0.7, colour=PINK)] for i in range(4)]
    people = join_people(looks)
    assert xs(people[person_at(people, 0.7, 0.5) or 0])[0] == 0.7
    assert xs(people[person_at(people, 0.32, 0.6) or 0])[0] == 0.3
    assert person_at(people, 0.02, 0.5) is None


def test_the_person_at_a_point_at_a_time() -> None:
    looks = [
        [sighting(0, 0.3, colour=GREEN), sighting(0, 0.7, colour=PINK)],
        [sighting(3, 0.7, colour=GREEN), sighting(3, 0.3, colour=PINK)],
    ]
    people = join_people(looks)
    for time_s, x in ((0.2, 0.3), (2.9, 0.7)):
        found = person_at(people, x, 0.5, time_s)
        assert found is not None and xs(people[found])[0] == 0.3


def test_somebody_who_is_there_at_the_time_goes_before_a_smaller_one_at_another_time() -> None:
    def seen(time_s: float, half: float) -> PersonSeen:
        box = (0.5 - half, 0.5 - half, 0.5 + half, 0.5 + half)
        return PersonSeen((time_s,), (Place(0.5, 0.5, half),), (box,), (), 0.5, 0.1)

    there, later = seen(3.0, 0.3), seen(60.0, 0.1)
    assert person_at([there, later], 0.5, 0.5, 3.0) == 0
    assert person_at([there, later], 0.5, 0.5, 59.0) == 1
    assert person_at([there, later], 0.5, 0.5) == 1


def test_of_two_boxes_around_a_point_the_smaller_is_meant() -> None:
    looks = [[sighting(0, 0.5, size=0.8), sighting(0, 0.5, size=0.2, colour=PINK)]]
    people = join_people(looks)
    found = person_at(people, 0.5, 0.5)
    assert found is not None and people[found].places[0].size == 0.2
