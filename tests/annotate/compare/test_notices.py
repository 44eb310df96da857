"""What is told of the footage and of the plan before anything is believed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate.compare.notices import about_footage, about_plan
from annotate.plan.model import Block
from annotate.review.model import Notice, ViewSpan
from pose.track import PoseTrack
from tests import stick
from tests.annotate.reviews import planned


def track(present: int, of: int = 100, *, variable: bool = False) -> PoseTrack:
    """Somebody standing, who was found in so many of the pictures."""
    made = stick.track(of / 10, stick_standing, rate_hz=10)
    xy, world = made.xy_px.copy(), made.world_m.copy()
    xy[present:], world[present:] = np.nan, np.nan
    clip = replace(made.clip, variable_frame_rate=variable)
    return replace(made, xy_px=xy, world_m=world, clip=clip)


def stick_standing(t: float) -> stick.Stance:
    return stick.Stance()


def codes(notices: list[Notice]) -> list[tuple[str, str]]:
    return [(n.level, n.code) for n in notices]


# --- the footage ------------------------------------------------------------------------------


def test_good_footage_needs_no_word() -> None:
    assert about_footage(track(100)) == []


def test_nobody_at_all_is_the_only_thing_to_tell() -> None:
    for empty in (track(0, variable=True), track(50).between(100, 200)):
        found = about_footage(empty)
        assert codes(found) == [("warning", "nobody")]
        assert "Nobody was found in the picture" in found[0].text


def test_one_picture_with_somebody_is_not_nobody() -> None:
    (found,) = about_footage(track(1))
    assert found.text == "The person was not found here: not assessable."


def test_a_frame_rate_that_varies_is_told_for_information() -> None:
    assert codes(about_footage(track(100, variable=True))) == [("info", "variable-frame-rate")]
    assert codes(about_footage(track(50, variable=True))) == [
        ("warning", "absent"), ("info", "variable-frame-rate")
    ]  # fmt: skip


# --- the plan ---------------------------------------------------------------------------------


def view(*yaws_deg: float | None) -> list[ViewSpan]:
    return [
        ViewSpan(start_s=10 * i, end_s=10 * i + 10, yaw_deg=yaw, facing=None)
        for i, yaw in enumerate(yaws_deg)
    ]


def test_without_a_plan_nothing_of_it_is_told() -> None:
    assert about_plan(None, view(0)) == []


def test_a_plan_of_known_movements_needs_no_word() -> None:
    assert about_plan(planned({"watch": ["back", "depth"]}), view(90)) == []


def test_an_unknown_movement_is_told_once_with_the_nearest_known_one() -> None:
    found = about_plan(planned({"movement": "squats", "rounds": 3}), [])
    assert codes(found) == [("info", "unknown-movement")]
    assert found[0].text == (
        '"squats" is not in the catalogue: counted as an unknown movement. Did you mean squat?'
    )


def test_an_unknown_movement_like_no_other_is_told_without_a_guess() -> None:
    (found,) = about_plan(planned({"movement": "xyzzy"}), [])
    assert found.text == '"xyzzy" is not in the catalogue: counted as an unknown movement.'


def test_each_unknown_movement_is_told_and_no_movement_is_none() -> None:
    plan = planned(
        {"movement": "xyzzy", "recovery": 20, "recovery_movement": "plugh"},
        Block(name="Water", kind="break", duration=20),
    )
    assert [n.text.split('"')[1] for n in about_plan(plan, [])] == ["xyzzy", "plugh"]


def test_something_to_watch_that_is_nothing_is_told_once_with_what_is_known() -> None:
    found = about_plan(planned({"watch": ["back", "elbows"], "rounds": 2}), view(90))
    assert codes(found) == [("info", "unknown-watch")]
    assert found[0].text.startswith('watch: "elbows" is not a point that can be watched; use ')
    known = found[0].text.removesuffix(".").split("; use ")[1].split(", ")
    assert {"back", "depth", "knees", "heels"} <= set(known) and known == sorted(known)
    assert about_plan(planned({"watch": known}), view(90)) == []


@pytest.mark.parametrize(
    ("yaws_deg", "off_deg"),
    [
        ((65,), None), ((64,), 26), ((-64,), 26), ((116,), 26), ((0,), 90),
        ((90, 60, 80), 30), ((90, None), None), ((None,), None), ((), None),
    ],
)  # fmt: skip
def test_a_back_to_be_watched_needs_a_side_view(
    yaws_deg: tuple[int | None, ...], off_deg: int | None
) -> None:
    found = about_plan(planned({"watch": ["back"]}), view(*yaws_deg))
    assert codes(found) == ([] if off_deg is None else [("warning", "view")])
    if off_deg is not None:
        assert f"up to about {off_deg} degrees off side view" in found[0].text


def test_where_no_back_is_watched_the_view_does_not_matter() -> None:
    assert about_plan(planned({"watch": ["depth"]}), view(0)) == []


def test_one_watched_back_in_the_class_is_enough() -> None:
    plan = planned({}, {"name": "Hinge", "movement": "hip-hinge", "watch": ["back"]})
    assert codes(about_plan(plan, view(0))) == [("warning", "view")]
