"""Whom to follow, as people write it."""

from __future__ import annotations

import pytest

from api.work.person import read_person
from pose.errors import PersonNotFound
from pose.persons import Pick


@pytest.mark.parametrize(
    ("text", "pick"),
    [
        ("0.3,0.5", Pick(0.3, 0.5)),
        (" 0.3 , 0.5 ", Pick(0.3, 0.5)),
        ("320,180@65", Pick(320, 180, 65)),
        ("0.3,0.5@1:05", Pick(0.3, 0.5, 65)),
        ("0.3,0.5@0", Pick(0.3, 0.5, 0)),
        ("0.3,0.5@0:00", Pick(0.3, 0.5, 0)),
        ("0.3,0.5@0.0", Pick(0.3, 0.5, 0)),
        ("0.3,0.5@0s", Pick(0.3, 0.5, 0)),
        ("0.00001,0.5@0.00001", Pick(0.00001, 0.5, 0.00001)),
        ("0.3,0.5@10000", Pick(0.3, 0.5, 10000)),
        ("1,1", Pick(1, 1)),
    ],
)
def test_a_point_and_a_time(text: str, pick: Pick) -> None:
    assert read_person(text) == pick
    assert read_person(str(pick)) == pick  # as it is kept


@pytest.mark.parametrize(
    "text",
    [
        "",
        "left",
        "0.3",
        "0.3;0.5",
        "-0.1,0.5",
        "0.3,0.5@",
        "0.3,0.5@soon",
        "1e9,nan",
        "0,3,1",
        "0.3,0.5@:",
        "0.3,0.5@::0",
        "0.3,0.5@0:0:0:0",
        f"{'9' * 400},0.5",
    ],
)
def test_anything_else_is_one_line(text: str) -> None:
    with pytest.raises(PersonNotFound, match=r"should be X,Y or X,Y@TIME, such as 0\.3,0\.5@1:05"):
        read_person(text)
