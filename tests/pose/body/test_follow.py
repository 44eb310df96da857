"""Who is followed when people come, go and pass: on boxes whose ways are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.follow import Sample, follow
from pose.body.landmarker import Person
from pose.body.look import sighting_of
from pose.persons import People, PersonSeen
from pose.video.picture import Frame
from tests.pose.body.boxes import (
    BLUE,
    HEIGHT,
    RED,
    TWIN,
    WIDTH,
    Box,
    Boxes,
    Colour,
    around,
    film,
    people_in,
)

NEAR, FAR = around(50, 50, 80), around(150, 50, 40)
AWAY: dict[Colour, Box] = {}
SECOND = 15  # pictures
NOBODY_SURVEYED = People()


def people(pictures: list[Frame], followed: Colour) -> People:
    """Who is in the pictures, looked at every three seconds; the one of a colour is followed."""
    seen = {}
    for colour in (RED, BLUE, TWIN):
        sightings = [
            sighting_of(found[colour], frame)
            for frame in pictures[:: 3 * SECOND]
            if colour in (found := people_in(frame.rgb))
        ]
        if sightings:
            seen[colour] = PersonSeen(
                times_s=tuple(s.time_s for s in sightings),
                places=tuple(s.place for s in sightings),
                boxes=tuple(s.box for s in sightings),
                colours=tuple(sightings[0].colours.tolist()),
                presence=1.0,
                motion=1.0,
            )
    return People(tuple(seen.values()), list(seen).index(followed))


def followed(
    pictures: list[Frame], who: People = NOBODY_SURVEYED, landmarker: Boxes | None = None
) -> list[Sample]:
    return list(follow(pictures, (WIDTH, HEIGHT), landmarker or Boxes(), who))


def middles_px(samples: list[Sample]) -> list[float | None]:
    """Where the hips are across the picture, None where nobody is followed."""
    x = [float(s.xy_px[list(lm.HIPS), 0].mean()) for s in samples]
    return [None if np.isnan(v) else v for v in x]


def test_the_landmarks_are_given_in_pixels_of_the_full_picture() -> None:
    (sample,) = followed(film([{RED: NEAR}]))
    assert sample.xy_px[lm.ANKLES[0]] == pytest.approx((70, 90))
    (large,) = follow(film([{RED: NEAR}]), (10 * WIDTH, 10 * HEIGHT), Boxes(), NOBODY_SURVEYED)
    assert large.xy_px[lm.ANKLES[0]] == pytest.approx((700, 900))


def test_the_outline_is_read_from_the_mask() -> None:
    (sample,) = followed(film([{RED: NEAR}]))
    # Hips at 50 px, shoulders at 26: half of the box's 40 px over a chord of 24. That is further
    # than an outline may be, so nothing is known; a narrower box has one.
    assert np.isnan(sample.outline).all()
    (narrow,) = followed(film([{RED: (40, 10, 60, 90)}]))
    assert narrow.outline == pytest.approx(10 / 24, abs=0.05)


def test_nobody_is_not_a_number() -> None:
    for sample in followed(film([AWAY] * 3)):
        assert np.isnan(sample.xy_px).all() and np.isnan(sample.world_m).all()
        assert np.isnan(sample.outline).all() and (sample.visibility == 0).all()


def test_the_surveyed_person_is_followed_also_when_the_tracker_sits_on_the_other() -> None:
    # The tracker takes the first it finds, red; larger or not does not matter.
    for red, blue in ((FAR, NEAR), (NEAR, FAR)):
        pictures = film([{RED: red, BLUE: blue}] * SECOND)
        x_px = float(np.mean([blue[0], blue[2]]))
        assert middles_px(followed(pictures, people(pictures, BLUE))) == [x_px] * SECOND


def test_who_leaves_is_not_replaced_by_who_stays() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    pictures = film([both] * SECOND + [alone] * SECOND + [both] * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert found[:SECOND] == [50.0] * SECOND
    assert found[SECOND : 2 * SECOND] == [None] * SECOND
    # Looked for twice a second, so found again within half of one.
    assert found[2 * SECOND + 8 :] == [50.0] * (SECOND - 8)


@pytest.mark.parametrize("away_s", [2, 9])
def test_who_stays_is_not_taken_for_a_twin_who_left(away_s: int) -> None:
    # The same clothes and size: only the survey, who saw both, can tell them apart.
    both = {RED: around(50, 50, 60), TWIN: around(150, 50, 60)}
    alone = {TWIN: around(150, 50, 60)}
    pictures = film([both] * 4 * SECOND + [alone] * away_s * SECOND + [both] * 4 * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert 150.0 not in found
    assert found[-SECOND:] == [50.0] * SECOND


def test_who_is_gone_for_long_is_not_given_up() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    pictures = film([both] * SECOND + [alone] * 9 * SECOND + [both] * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert found[SECOND : 10 * SECOND] == [None] * 9 * SECOND
    assert found[-SECOND + 8 :] == [50.0] * (SECOND - 8)


def test_who_comes_in_later_is_waited_for() -> None:
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: NEAR}
    pictures = film([alone] * 4 * SECOND + [both] * 4 * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert found[: 4 * SECOND] == [None] * 4 * SECOND
    assert found[4 * SECOND + 8 :] == [50.0] * (4 * SECOND - 8)


def test_somebody_much_larger_does_not_take_over() -> None:
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: NEAR}
    pictures = film([alone] * SECOND + [both] * 6 * SECOND)
    assert middles_px(followed(pictures, people(pictures, BLUE))) == [150.0] * 7 * SECOND


def test_who_comes_back_in_another_place_is_the_same_one() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    moved = {RED: around(100, 50, 80), BLUE: FAR}
    pictures = film([both] * SECOND + [alone] * SECOND + [moved] * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert found[-SECOND + 8 :] == [100.0] * (SECOND - 8)


def test_who_comes_back_after_long_in_another_place_is_known_by_the_clothes() -> None:
    here, there = {RED: NEAR}, {RED: around(150, 50, 70)}
    pictures = film([here] * SECOND + [AWAY] * 7 * SECOND + [there] * SECOND)
    only_once = replace(people(pictures, RED).seen[0], times_s=(0.0,))
    found = middles_px(followed(pictures, People((only_once,), 0)))
    assert found[-SECOND + 8 :] == [150.0] * (SECOND - 8)


def test_a_stranger_in_other_clothes_who_comes_after_is_nobody() -> None:
    pictures = film([{RED: NEAR}] * SECOND + [AWAY] * 7 * SECOND + [{BLUE: NEAR}] * SECOND)
    only_red = People(people(pictures, RED).seen[:1], 0)
    assert middles_px(followed(pictures, only_red))[8 * SECOND :] == [None] * SECOND


def test_a_jump_to_somebody_else_is_noticed_at_once() -> None:
    # The tracker loses red for one picture and is on blue from there; red comes back.
    both, hidden = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    pictures = film([both] * SECOND + [hidden] + [both] * SECOND)
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert 150.0 not in found
    assert found[-SECOND + 8 :] == [50.0] * (SECOND - 8)


def test_two_who_cross_are_not_exchanged_unannounced() -> None:
    # Red walks behind the twin from left to right; for a moment only the twin is seen.
    red = [around(30 + 4 * i, 50, 60) for i in range(36)]
    twin = [around(170 - 4 * i, 50, 60) for i in range(36)]
    pictures = film([{RED: a, TWIN: b} for a, b in zip(red, twin, strict=True)])
    samples = followed(pictures, people(pictures, RED))
    found = middles_px(samples)
    assert found[:10] == pytest.approx([30 + 4 * i for i in range(10)])
    # Nobody could tell them apart while one hides the other: right again after, or in doubt.
    right = found[-1] == pytest.approx(30 + 4 * 35)
    assert right or any(s.in_doubt for s in samples[14:24])


class Gliding(Boxes):
    """Tracks whatever is nearest to where it was, as a tracker does where people cross."""

    def __init__(self) -> None:
        super().__init__()
        self.at = np.array([0.0, 0.5])

    def track(self, rgb: NDArray[np.uint8]) -> Person | None:
        found = [(p.xy[list(lm.HIPS)].mean(axis=0), p) for p in people_in(rgb).values()]
        if not found:
            return None
        self.at, person = min(found, key=lambda f: float(np.hypot(*(f[0] - self.at))))
        return person

    def retarget(self, rgb: NDArray[np.uint8], person: Person) -> Person | None:
        self.at = person.xy[list(lm.HIPS)].mean(axis=0)
        return person


def test_a_tracker_that_glides_to_somebody_else_is_called_back() -> None:
    # Blue walks past in front of red, who is hidden for a moment: the tracker leaves with blue.
    blue = [around(160 - min(i, 120), 50, 80) for i in range(12 * SECOND)]
    pictures = film([{RED: around(100, 50, 60), BLUE: box} for box in blue])
    found = middles_px(followed(pictures, people(pictures, RED), Gliding()))
    assert found[:3] == [100.0] * 3
    # Nobody is told to be red who was not: from the search before on, nothing is known.
    assert [x for x in found if x is not None and abs(x - 100) > 20] == []
    # Blue covers red for two to three seconds; four before that may pass without a search.
    assert found.count(None) <= 7 * SECOND
    assert found[-2 * SECOND :] == [100.0] * 2 * SECOND


def test_one_alone_on_the_spot_stays_the_same_when_the_light_changes() -> None:
    pictures = film([{RED: NEAR}] * 3 * SECOND + [{BLUE: NEAR}] * 3 * SECOND)
    only_red = People(people(pictures, RED).seen[:1], 0)
    assert middles_px(followed(pictures, only_red, Gliding())) == [50.0] * 6 * SECOND


def test_who_walks_off_in_foreign_clothes_is_somebody_else() -> None:
    # Red goes out behind blue, whom the survey did not see: the tracker leaves with blue.
    blue = [around(60 + 3 * i, 50, 80) for i in range(2 * SECOND)]
    pictures = film([{RED: NEAR}] * 3 * SECOND + [{BLUE: box} for box in blue])
    only_red = People(people(pictures, RED).seen[:1], 0)
    found = middles_px(followed(pictures, only_red, Gliding()))
    assert found[: 3 * SECOND - 8] == [50.0] * (3 * SECOND - 8)
    assert found[-SECOND:] == [None] * SECOND


def test_one_who_walks_through_the_picture_is_followed_all_the_way() -> None:
    way = [around(30 + 4 * i, 50, 60) for i in range(30)]
    pictures = film([{RED: box} for box in way])
    found = middles_px(followed(pictures, people(pictures, RED)))
    assert found == pytest.approx([30 + 4 * i for i in range(30)])


def test_where_the_survey_found_nobody_the_largest_is_followed() -> None:
    pictures = film([AWAY] * 3 + [{RED: FAR, BLUE: NEAR}] * SECOND)
    assert middles_px(followed(pictures)) == [None] * 3 + [50.0] * SECOND


def test_a_hole_in_the_film_is_crossed() -> None:
    before, after = film([{RED: NEAR}] * 3), film([{RED: around(60, 50, 80)}] * 3)
    later = [Frame(f.time_s + 8, f.rgb) for f in after]
    assert middles_px(followed([*before, *later])) == [50.0] * 3 + [60.0] * 3
    known = people(before, RED)
    assert middles_px(followed([*before, *later], known)) == [50.0] * 3 + [60.0] * 3


def test_who_is_alone_is_looked_around_less_often() -> None:
    looks = []
    for shown in ({RED: NEAR}, {RED: NEAR, BLUE: FAR}):
        landmarker, pictures = Boxes(), film([shown] * 12 * SECOND)
        followed(pictures, people(pictures, RED), landmarker)
        looks.append(landmarker.searches)
    # At the start, then every four seconds, or every two where somebody else is about.
    assert looks == [pytest.approx(12 / 4 + 1, abs=1), pytest.approx(12 / 2 + 1, abs=1)]
    assert looks[0] < looks[1]


def test_a_used_tracker_is_reset_first() -> None:
    landmarker = Boxes()
    for shown in ({BLUE: FAR}, {RED: NEAR}):
        assert None not in middles_px(followed(film([shown] * 3), People(), landmarker))
    assert landmarker.resets == 2
