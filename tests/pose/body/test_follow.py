"""Who is followed when people come, go and pass: on boxes whose ways are known."""

from __future__ import annotations

from typing import cast

import numpy as np
import pytest

from pose import landmarks as lm
from pose.body.follow import Landmarkers, Sample, follow
from pose.body.landmarker import Landmarker
from pose.body.people import Place
from pose.video.picture import Frame
from tests.pose.body.boxes import BLUE, HEIGHT, RED, WIDTH, Box, Boxes, Colour, around, film

NEAR, FAR = around(50, 50, 80), around(150, 50, 40)
AWAY: dict[Colour, Box] = {}
SECOND = 15  # pictures


def opened() -> tuple[Boxes, Boxes]:
    return Boxes(tracking=True), Boxes(tracking=False)


def followed(
    pictures: list[Frame],
    main: Place | None = None,
    landmarkers: tuple[Boxes, Boxes] | None = None,
) -> list[Sample]:
    pair = Landmarkers(*(cast(Landmarker, one) for one in landmarkers or opened()))
    return list(follow(pictures, (WIDTH, HEIGHT), pair, main))


def middles_px(samples: list[Sample]) -> list[float | None]:
    """Where the hips are across the picture, None where nobody is followed."""
    x = [float(s.xy_px[list(lm.HIPS), 0].mean()) for s in samples]
    return [None if np.isnan(v) else v for v in x]


def place(box: Box) -> Place:
    left, top, right, bottom = (side / WIDTH for side in box)
    return Place(
        (left + right) / 2, (top + bottom) / 2, float(np.hypot(right - left, bottom - top))
    )


def test_the_landmarks_are_given_in_pixels_of_the_full_picture() -> None:
    (sample,) = followed(film([{RED: NEAR}]))
    assert sample.xy_px[lm.ANKLES[0]] == pytest.approx((70, 90))
    (large,) = follow(
        film([{RED: NEAR}]),
        (10 * WIDTH, 10 * HEIGHT),
        Landmarkers(*(cast(Landmarker, one) for one in opened())),
    )
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


def test_the_larger_of_two_is_followed_also_when_the_tracker_sits_on_the_other() -> None:
    # The tracker takes the first it finds, red; the larger one is blue.
    samples = followed(film([{RED: FAR, BLUE: NEAR}] * SECOND))
    assert middles_px(samples) == [50.0] * SECOND


def test_who_leaves_is_not_replaced_by_who_stays() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    found = middles_px(followed(film([both] * SECOND + [alone] * SECOND + [both] * SECOND)))
    assert found[:SECOND] == [50.0] * SECOND
    assert found[SECOND : 2 * SECOND] == [None] * SECOND
    # Looked for twice a second, so found again within half of one.
    assert found[2 * SECOND + 8 :] == [50.0] * (SECOND - 8)


def test_who_is_gone_for_long_is_given_up() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    found = middles_px(followed(film([both] * SECOND + [alone] * 7 * SECOND)))
    assert found[SECOND : 5 * SECOND] == [None] * 4 * SECOND
    assert found[-SECOND:] == [150.0] * SECOND


def test_after_a_long_hole_in_the_pictures_the_largest_is_followed() -> None:
    # Frozen for 9 s: the tracker is still on red, who is the smaller one by now.
    before = film([{RED: NEAR}] * SECOND)
    after = film([{RED: around(50, 50, 30), BLUE: around(150, 50, 80)}] * SECOND)
    hole_s = before[-1].time_s + 9.0
    found = middles_px(followed([*before, *(f._replace(time_s=f.time_s + hole_s) for f in after)]))
    assert found == [50.0] * SECOND + [150.0] * SECOND


def test_whoever_is_told_to_be_the_main_person_is_waited_for() -> None:
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: NEAR}
    found = middles_px(followed(film([alone] * SECOND + [both] * SECOND), place(NEAR)))
    assert found[:SECOND] == [None] * SECOND
    assert found[-SECOND + 8 :] == [50.0] * (SECOND - 8)


def test_somebody_much_larger_takes_over_when_seen_twice() -> None:
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: NEAR}
    found = middles_px(followed(film([alone] * SECOND + [both] * 6 * SECOND)))
    assert found[:SECOND] == [150.0] * SECOND
    assert found[-SECOND:] == [50.0] * SECOND


def test_somebody_much_larger_who_only_passes_does_not_take_over() -> None:
    # Who is alone is looked around every four seconds: the large one is there for one look.
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: NEAR}
    pictures = film([alone] * 58 + [both] * 6 + [alone] * 3 * SECOND)
    assert middles_px(followed(pictures)) == [150.0] * len(pictures)


def test_who_comes_back_in_another_place_is_the_same_one() -> None:
    both, alone = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    moved = {RED: around(100, 50, 80), BLUE: FAR}
    found = middles_px(followed(film([both] * SECOND + [alone] * SECOND + [moved] * SECOND)))
    assert found[-SECOND + 8 :] == [100.0] * (SECOND - 8)


def test_somebody_a_little_larger_does_not_take_over() -> None:
    alone, both = {BLUE: FAR}, {BLUE: FAR, RED: around(50, 50, 50)}
    found = middles_px(followed(film([alone] * SECOND + [both] * 6 * SECOND)))
    assert found == [150.0] * 7 * SECOND


def test_a_jump_to_somebody_else_is_noticed_at_once() -> None:
    # The tracker loses red for one picture and is on blue from there; red comes back.
    both, hidden = {RED: NEAR, BLUE: FAR}, {BLUE: FAR}
    found = middles_px(followed(film([both] * SECOND + [hidden] + [both] * SECOND)))
    assert 150.0 not in found
    assert found[-SECOND + 8 :] == [50.0] * (SECOND - 8)


def test_one_who_walks_through_the_picture_is_followed_all_the_way() -> None:
    way = [around(30 + 4 * i, 50, 60) for i in range(30)]
    found = middles_px(followed(film([{RED: box} for box in way])))
    assert found == pytest.approx([30 + 4 * i for i in range(30)])


def test_who_is_alone_is_looked_around_less_often() -> None:
    looks = []
    for shown in ({RED: NEAR}, {RED: NEAR, BLUE: FAR}):
        landmarkers = opened()
        followed(film([shown] * 12 * SECOND), None, landmarkers)
        looks.append(landmarkers[1].looks)
    # At the start, then every four seconds, or every two where somebody else is about.
    assert looks == [pytest.approx(12 / 4 + 1, abs=1), pytest.approx(12 / 2 + 1, abs=1)]
    assert looks[0] < looks[1]


def test_a_used_tracker_is_reset_first() -> None:
    landmarkers = opened()
    for shown in ({BLUE: FAR}, {RED: NEAR}):
        assert None not in middles_px(followed(film([shown] * 3), None, landmarkers))
    assert landmarkers[0].resets == 2
