"""Whom the review is about, who else is there, and where the person was lost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate.compare.people_notices import about_people, lost_spans_s
from annotate.review.model import Notice
from pose.persons import People, PersonSeen, Place
from pose.track import PoseTrack
from tests import stick

STILL = stick.Stance()


def track(seconds: float = 20, *, lost: tuple[tuple[float, float], ...] = ()) -> PoseTrack:
    """Somebody standing at ten samples a second, out of sight during the spans."""
    made = stick.track(seconds, lambda t: STILL, rate_hz=10)
    xy = made.xy_px.copy()
    for start_s, end_s in lost:
        xy[(made.times_s >= start_s) & (made.times_s < end_s)] = np.nan
    return replace(made, xy_px=xy)


def person(x: float, *, size: float = 0.3, presence: float = 1.0) -> PersonSeen:
    times_s = tuple(float(t) for t in range(0, 20, 4))
    box = (x - 0.05, 0.2, x + 0.05, 0.8)
    n = len(times_s)
    return PersonSeen(times_s, (Place(x, 0.5, size),) * n, (box,) * n, (0.0,) * 6, presence, 0.1)


def with_people(
    *seen: PersonSeen, followed: int = 0, doubts_s: tuple[float, ...] = ()
) -> PoseTrack:
    return replace(track(), people=People(seen, followed, doubts_s))


def only(notices: list[Notice]) -> Notice:
    (notice,) = notices
    return notice


def test_somebody_alone_needs_no_word() -> None:
    assert about_people(with_people(person(0.5))) == []
    assert about_people(track()) == []


def test_of_several_it_is_said_whom_the_review_is_about() -> None:
    notice = only(about_people(with_people(person(0.3, size=0.5), person(0.5), person(0.8))))
    assert (notice.level, notice.code) == ("warning", "several-people")
    assert notice.text == (
        "3 people in the picture. This review is about the largest, on the left, around 0.30,0.50 "
        "of the picture at 0:08. Others: one all through, one all through. If you meant somebody "
        "else, choose that person and review again."
    )


@pytest.mark.parametrize(
    ("followed", "words"),
    [(0, "the one on the left"), (1, "the one in the middle"), (2, "the one on the right")],
)
def test_people_of_one_size_are_told_apart_by_side(followed: int, words: str) -> None:
    people = with_people(person(0.2), person(0.5), person(0.8), followed=followed)
    assert f"about {words}, around" in only(about_people(people)).text


def test_when_others_are_there_is_told() -> None:
    passer, once = person(0.8, presence=0.5), replace(person(0.9, presence=0.2), times_s=(8.0,))
    text = only(about_people(with_people(person(0.5), passer, once))).text
    assert "Others: one 0:00-0:16, one at 0:08. " in text


def test_who_only_passes_through_is_not_told() -> None:
    assert about_people(with_people(person(0.5), person(0.8, presence=0.05))) == []


def test_an_exchange_that_may_have_happened_is_told_with_its_time() -> None:
    notices = about_people(with_people(person(0.5), doubts_s=(65.0, 65.1, 66.0, 90.0)))
    assert [(n.code, n.start_s) for n in notices] == [
        ("person-in-doubt", 65.0), ("person-in-doubt", 90.0),
    ]  # fmt: skip
    assert notices[0].text.startswith("At 1:05 two people were close together and look alike")


def test_when_the_person_was_lost_is_told() -> None:
    lost = track(lost=((3, 6), (8, 8.5), (15, 20)))
    # The clip ends where the last sample is.
    assert lost_spans_s(lost) == [
        (3.0, 6.0), (15.0, pytest.approx(20, abs=0.2)),
    ]  # fmt: skip
    notice = only(about_people(lost))
    assert (notice.code, notice.start_s) == ("absent", None)
    assert notice.text == "The person was not found 0:03-0:06, 0:15-0:20: not assessable there."


def test_when_the_person_was_lost_once_the_notice_has_the_time() -> None:
    notice = only(about_people(track(lost=((3, 6),))))
    assert (notice.code, notice.start_s, notice.end_s) == ("absent", 3.0, 6.0)
    assert notice.text == "The person was not found here: not assessable."


def test_many_losses_are_counted() -> None:
    spans = tuple((10.0 * i, 10.0 * i + 3) for i in range(6))
    text = only(about_people(track(60, lost=spans))).text
    assert "0:30-0:33 and 2 more times: not assessable" in text


@pytest.mark.parametrize(("every", "told"), [(10, True), (40, False)])
def test_short_gaps_are_told_where_there_are_many(every: int, told: bool) -> None:
    made = track()
    xy = made.xy_px.copy()
    xy[::every] = np.nan
    codes = [n.code for n in about_people(replace(made, xy_px=xy))]
    assert codes == (["absent"] if told else [])


@pytest.mark.parametrize(
    ("scale", "width", "told"), [(1.0, 640, False), (0.2, 640, True), (0.5, 1920, True)]
)
def test_a_person_who_is_small_in_the_picture_is_told(scale: float, width: int, told: bool) -> None:
    made = track()
    clip = replace(made.clip, width=width, height=width * 9 // 16)
    small = replace(made, xy_px=made.xy_px * scale, clip=clip)
    codes = [n.code for n in about_people(small)]
    assert codes == (["small-person"] if told else [])
