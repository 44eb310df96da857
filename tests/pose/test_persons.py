"""People of a film as plain values: places, the nearest sighting, there and back through JSON."""

from __future__ import annotations

import math

import pytest

from pose.persons import People, PersonSeen, Place, people_from_json, people_to_json

RED = PersonSeen(
    times_s=(0.0, 3.0, 9.0),
    places=(Place(0.3, 0.4, 0.2), Place(0.4, 0.4, 0.25), Place(0.5, 0.4, 0.2)),
    boxes=((0.2, 0.1, 0.4, 0.9),) * 3,
    colours=(50.0, 1.0, 2.0, math.nan, math.nan, math.nan),
    presence=0.75,
    motion=0.08,
)


@pytest.mark.parametrize(("time_s", "x"), [(-1.0, 0.3), (1.4, 0.3), (1.6, 0.4), (100.0, 0.5)])
def test_the_nearest_sighting_in_time(time_s: float, x: float) -> None:
    assert RED.nearest(time_s)[1].x == x


def test_there_and_back_through_json() -> None:
    people = People((RED,), 0, (1.5, 2.5))
    read = people_from_json(people_to_json(people))
    assert (read.followed, read.doubts_s) == (0, (1.5, 2.5))
    assert read.seen[0].colours == pytest.approx(RED.colours, nan_ok=True)
    assert read.seen[0].places == RED.places and read.seen[0].boxes == RED.boxes
    assert read.seen[0].times_s == RED.times_s
    assert (read.seen[0].presence, read.seen[0].motion) == (0.75, 0.08)
    nobody = People()
    assert people_from_json(people_to_json(nobody)) == nobody


@pytest.mark.parametrize("text", ["{}", "[]", '{"seen": [{}], "followed": 0, "doubts_s": []}'])
def test_something_else_is_refused(text: str) -> None:
    with pytest.raises((KeyError, TypeError, ValueError)):
        people_from_json(text)
