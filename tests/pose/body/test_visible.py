"""What of the body can be seen: edges of the picture, hidden limbs, bodies that leap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pose import landmarks as lm
from pose.body.parts import PARTS, Part, State
from pose.body.visible import visible
from pose.track import PoseTrack
from tests.framed import ARMS, LEGS, framed, hidden, leaping
from tests.stick import Stance, jacking, squatting, track, wave

SQUATS = track(6, lambda t: squatting(float(wave(np.array([t]), [0, 2, 4], 2)[0])))
STANDING = track(3, lambda t: Stance())


def states(found: PoseTrack) -> dict[Part, set[int]]:
    return {part: set(x.tolist()) for part, x in visible(found).parts.items()}


@pytest.mark.parametrize("yaw_deg", [0, 45, 90])
def test_a_whole_body_in_the_picture_is_seen(yaw_deg: int) -> None:
    filmed = framed(track(4, lambda t: squatting(0.5 - 0.5 * np.cos(3 * t)), yaw_deg=yaw_deg))
    assert all(found == {State.SEEN} for found in states(filmed).values())


def test_joints_of_another_source_have_no_edges_and_are_seen() -> None:
    unsure = hidden(SQUATS, LEGS)
    assert unsure.clip.width == 0
    assert all(found == {State.SEEN} for found in states(unsure).values())


def test_landmarks_that_were_not_given_are_not_held_against_a_part() -> None:
    filmed = framed(SQUATS)
    assert np.isnan(filmed.xy_px[:, lm.NOSE]).all()
    assert filmed.visibility[0, lm.NOSE] == 0
    assert states(filmed)["head"] == {State.SEEN}


def test_legs_below_the_edge_are_outside_and_the_rest_is_seen() -> None:
    found = states(framed(STANDING, bottom=0.7))
    assert found["legs"] == found["feet"] == {State.OUTSIDE}
    assert found["trunk"] == found["arms"] == {State.SEEN}


def test_ankles_just_beyond_the_edge_are_unsure_not_outside() -> None:
    whole = framed(STANDING)
    ankle_y = whole.xy_px[0, list(lm.ANKLES), 1].max()
    cut = replace(whole, clip=replace(whole.clip, height=int(ankle_y) - 8))
    assert states(cut)["legs"] == {State.UNSURE}
    cut = replace(whole, clip=replace(whole.clip, height=int(ankle_y) - 30))
    assert states(cut)["legs"] == {State.OUTSIDE}


def test_one_side_beyond_the_edge_is_enough_to_cut_a_part() -> None:
    filmed = framed(STANDING, left=0.4)
    found = visible(filmed)
    assert set(found.sides["arms"][:, 0].tolist()) == {State.SEEN}
    assert set(found.sides["arms"][:, 1].tolist()) == {State.OUTSIDE}
    assert states(filmed)["arms"] == {State.OUTSIDE}


@pytest.mark.parametrize(
    ("visibility", "state"), [(0.1, State.HIDDEN), (0.6, State.UNSURE), (0.9, State.SEEN)]
)
def test_the_models_own_word_tells_hidden_legs(visibility: float, state: State) -> None:
    found = states(hidden(framed(STANDING), LEGS, visibility))
    assert found["legs"] == {state}
    assert found["arms"] == {State.SEEN}


def test_a_far_leg_behind_the_near_one_is_an_ordinary_side_view() -> None:
    far = tuple(pair[1] for pair in (lm.KNEES, lm.ANKLES, lm.HEELS, lm.TOES))
    filmed = hidden(framed(STANDING), far)
    assert states(filmed)["legs"] == {State.SEEN}
    assert set(visible(filmed).sides["legs"][:, 1].tolist()) == {State.HIDDEN}


def test_a_body_that_leaps_is_lost_around_each_leap_only() -> None:
    found = visible(leaping(framed(SQUATS), every_s=2.0, by_px=100.0)).parts["trunk"]
    assert np.flatnonzero(found == State.LOST).tolist() == [29, 30, 31, 59, 60, 61]


def test_a_body_that_changes_its_size_at_once_is_lost() -> None:
    filmed = framed(SQUATS)
    xy = filmed.xy_px.copy()
    centre = xy[:, list(lm.HIPS)].mean(axis=1, keepdims=True)
    xy[40:] = (centre + 0.7 * (xy - centre))[40:]
    found = visible(replace(filmed, xy_px=xy)).parts["trunk"]
    assert {39, 40} <= set(np.flatnonzero(found == State.LOST).tolist())
    assert (found == State.LOST).sum() < 6


def test_fast_movement_at_five_pictures_a_second_is_no_leap() -> None:
    fast = framed(track(6, lambda t: jacking(0.5 - 0.5 * np.cos(2 * np.pi * t)), rate_hz=5.0))
    assert not any(State.LOST in found for found in states(fast).values())


def test_a_limb_longer_than_the_persons_own_is_lost() -> None:
    filmed = framed(STANDING)
    xy = filmed.xy_px.copy()
    xy[20:25, [lm.ANKLES[0], lm.TOES[0]], 1] += 100.0
    found = visible(replace(filmed, xy_px=xy)).sides
    assert np.flatnonzero(found["legs"][:, 0] == State.LOST).tolist() == [*range(20, 25)]
    assert (found["legs"][:, 1] == State.SEEN).all()
    assert (found["arms"] == State.SEEN).all()


def test_hands_above_the_picture_for_a_moment_are_outside_then_only() -> None:
    filmed = framed(track(6, lambda t: jacking(float(wave(np.array([t]), [2], 2)[0]))), top=0.93)
    found = visible(filmed).parts
    outside = found["arms"] == State.OUTSIDE
    assert 0 < outside.mean() < 0.25
    assert (found["legs"] == State.SEEN).all()


def test_where_nobody_is_found_nothing_is_held_against_anybody() -> None:
    filmed = hidden(framed(STANDING), (*LEGS, *ARMS))
    xy = np.full_like(filmed.xy_px, np.nan)
    assert all(found == {State.SEEN} for found in states(replace(filmed, xy_px=xy)).values())
    assert set(visible(filmed).parts) == set(PARTS)


def test_a_flight_at_five_pictures_a_second_is_no_leap() -> None:
    def jumping(t: float) -> Stance:
        in_air_s = t % 1.0 - 0.3
        return Stance(lift_m=max(0.0, 0.5 * 9.81 * in_air_s * (0.6 - in_air_s)))

    assert not any(
        State.LOST in found for found in states(framed(track(6, jumping, rate_hz=5.0))).values()
    )
