"""Watched points on a stick figure whose joints are moved by known amounts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.catalogue.model import catalogue
from annotate.counting.count import FoundRep, count_reps
from annotate.form.points import OTHER_POINTS, POINTS, knees_together, watch
from annotate.form.sides import left_right
from annotate.review.model import Watched
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from pose.track import PoseTrack
from tests import stick
from tests.known import known

STARTS = [1.0, 4.0, 7.0, 10.0]
REP_S, CLIP_S = 2.5, 14.0
NAMES = (*stick.NAMES, "left_heel", "right_heel")
Joints = dict[str, NDArray[np.float64]]


def nothing(joints: Joints, share: float) -> None:
    pass


def filmed(
    stance: Callable[[float], stick.Stance],
    yaw_deg: float,
    change: Callable[[Joints, float], None] = nothing,
) -> Signals:
    """Film the stick figure; `change` moves joints, knowing how far the repetition is (0 to 1)."""
    times = np.arange(round(CLIP_S * stick.RATE_HZ)) / stick.RATE_HZ
    rows = []
    for t in times:
        share = float(stick.wave(np.array([t]), STARTS, REP_S)[0])
        at = dict(zip(stick.NAMES, stick.joints(stance(share)), strict=True))
        for side in ("left", "right"):
            at[f"{side}_heel"] = at[f"{side}_toe"] - [0.0, 0.0, 0.22]
        change(at, share)
        rows.append([at[name] for name in NAMES])
    return movement_signals(PoseTrack.from_joints(times, np.array(rows), NAMES, yaw_deg=yaw_deg))


def points(signals: Signals, movement: str) -> list[dict[str, Watched]]:
    entry = catalogue()[movement]
    reps = count_reps(signals, entry, 0, CLIP_S).reps
    assert len(reps) == len(STARTS)
    return [{w.point: w for w in watch(signals, entry, rep)} for rep in reps]


def knees_moved(joints: Joints, inwards_m: float) -> None:
    joints["left_knee"] = joints["left_knee"] - [inwards_m, 0, 0]
    joints["right_knee"] = joints["right_knee"] + [inwards_m, 0, 0]


def wide(depth: float) -> stick.Stance:
    return stick.Stance(
        trunk=40 * depth, thigh=(88 * depth,) * 2, shank=(-35 * depth,) * 2, legs_out=10
    )


@pytest.mark.parametrize("yaw", [0, 20, 180])
def test_knees_against_feet_from_the_front_and_the_back(yaw: int) -> None:
    straight = points(filmed(wide, yaw), "squat")
    caved = points(filmed(wide, yaw, lambda j, s: knees_moved(j, 0.07 * s)), "squat")
    at = dict(zip(stick.NAMES, stick.joints(wide(1.0)), strict=True))
    knees = at["left_knee"][0] - at["right_knee"][0]
    feet = at["left_ankle"][0] - at["right_ankle"][0]
    # A little of the forward bend shows when seen from the side of the front.
    assert straight[1]["knees"].value == pytest.approx(knees / feet, abs=0.12)
    fall = known(straight[1]["knees"].value) - known(caved[1]["knees"].value)
    assert fall == pytest.approx(0.14 / feet, abs=0.08)
    assert POINTS["knees"].notable(known(caved[1]["knees"].value))


def test_each_point_says_from_where_it_shows() -> None:
    side = points(filmed(wide, 90), "squat")[1]
    front = points(filmed(wide, 0), "squat")[1]
    assert side["knees"].value is None and "turn to the camera" in known(side["knees"].reason)
    assert side["shift"].value is None
    assert front["heels"].value is None and "turn side-on" in known(front["heels"].reason)
    assert front["shift"].value == pytest.approx(0, abs=0.03)


def test_feet_close_together_give_no_width() -> None:
    narrow = points(filmed(stick.squatting, 0, nothing), "squat")[1]["knees"]
    assert narrow.value is not None
    together = points(
        filmed(lambda d: stick.Stance(thigh=(88 * d,) * 2, shank=(-35 * d,) * 2, legs_out=-14), 0),
        "squat",
    )[1]["knees"]
    assert together.reason == "the feet stood too close together"


@pytest.mark.parametrize("yaw", [90, -90, 60])
def test_heels_that_come_up_at_the_bottom(yaw: int) -> None:
    def lift(joints: Joints, share: float) -> None:
        for side in ("left", "right"):
            joints[f"{side}_heel"] = joints[f"{side}_heel"] + [0, 0.08 * share, 0]

    down = points(filmed(stick.squatting, yaw), "squat")[1]["heels"]
    up = points(filmed(stick.squatting, yaw, lift), "squat")[1]["heels"]
    assert down.value == pytest.approx(0, abs=0.02)
    # 8 cm of a trunk of 50 cm; the median around the peak lies a little below the top.
    assert up.value == pytest.approx(0.16, abs=0.02)
    assert POINTS["heels"].notable(known(up.value)) and not POINTS["heels"].notable(
        known(down.value)
    )


def test_chest_over_the_hips_in_a_lunge() -> None:
    def lunge(trunk: float) -> Callable[[float], stick.Stance]:
        return lambda d: stick.Stance(
            trunk=trunk * d, thigh=(70 * d, -20 * d), shank=(-10 * d, -80 * d)
        )

    upright = points(filmed(lunge(8), 90), "forward-lunge")[1]["chest"]
    bent = points(filmed(lunge(45), 90), "forward-lunge")[1]["chest"]
    assert upright.value == pytest.approx(8, abs=2) and bent.value == pytest.approx(45, abs=3)
    assert POINTS["chest"].notable(known(bent.value)) and not POINTS["chest"].notable(
        known(upright.value)
    )


def test_range_of_the_arms() -> None:
    rise = points(filmed(stick.jacking, 0), "jumping-jack")[1]["arms"]
    low, high = (
        dict(zip(stick.NAMES, stick.joints(stick.jacking(x)), strict=True))["left_wrist"][1]
        for x in (0, 1)
    )
    assert rise.value == pytest.approx((high - low) / stick.TRUNK_M, abs=0.15)


def test_landing_bends_the_knees_or_there_was_no_jump() -> None:
    def hop(bend: float) -> Callable[[float], stick.Stance]:
        """Flight in the middle third of the wave, then the knees take the weight."""

        def stance(share: float) -> stick.Stance:
            return stick.Stance(lift_m=0.25 * share, legs_out=4 + 20 * share,
                                thigh=(bend * (1 - share),) * 2,
                                shank=(-bend * (1 - share),) * 2,
                                arms_out=10 + 155 * share)  # fmt: skip

        return stance

    soft = points(filmed(hop(40), 90), "jumping-jack")[1]["landing"]
    stiff = points(filmed(hop(10), 90), "jumping-jack")[1]["landing"]
    assert known(soft.value) > known(stiff.value) + 10
    still = points(filmed(stick.jacking, 0), "jumping-jack")[1]["landing"]
    assert still.value is None or still.value < 20


def test_knees_together_in_a_standing_thigh_stretch() -> None:
    def stretch(apart_deg: float) -> Callable[[float], stick.Stance]:
        return lambda _: stick.Stance(shank=(-110, 0), legs_out=apart_deg)

    close = knees_together(filmed(stretch(0), 0), 0, CLIP_S)
    open_ = knees_together(filmed(stretch(12), 0), 0, CLIP_S)
    assert close.value == pytest.approx(0, abs=0.03)
    spread_m = 2 * stick.THIGH_M * np.sin(np.radians(12))
    assert open_.value == pytest.approx(spread_m / stick.TRUNK_M, abs=0.05)
    assert "turn to the camera" in known(knees_together(filmed(stretch(0), 90), 0, CLIP_S).reason)
    standing = knees_together(filmed(lambda _: stick.Stance(), 0), 0, CLIP_S)
    assert standing.reason == "no standing thigh stretch was seen"


def test_left_against_right() -> None:
    signals = filmed(lambda d: stick.knee_up(d, 0.0), 0)
    entry = catalogue()["knee-lift"]
    reps = count_reps(signals, entry, 0, CLIP_S).reps
    sided = [r if i % 2 else _other(r) for i, r in enumerate(reps * 2)]
    depths = [0.5 if r.side == "left" else 0.4 for r in sided]
    found = left_right(signals, "trunk lengths", sided, depths)
    assert found is not None and found.value == pytest.approx(0.1)
    from_side = filmed(lambda d: stick.knee_up(d, 0.0), 90)
    hidden = left_right(from_side, "trunk lengths", sided, depths)
    assert hidden is not None and "hides the other" in known(hidden.reason)
    few = left_right(signals, "trunk lengths", sided[:2], depths[:2])
    assert few is not None and "too few" in known(few.reason)


def _other(rep: FoundRep) -> FoundRep:
    return replace(rep, side="right" if rep.side == "left" else "left")


def test_the_catalogue_names_only_points_that_exist() -> None:
    for entry in catalogue().values():
        assert set(entry.watch) <= {*POINTS, *OTHER_POINTS}
