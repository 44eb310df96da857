"""What cannot be seen is neither named nor counted, and the reason is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate import review_track
from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.counting.recognise import behaviour, likeness, recognise
from annotate.counting.seen import parts_of, unseen_stretches, why_unseen
from annotate.counting.unknown import count_unknown
from annotate.plan.model import ClassPlan
from annotate.review.model import Period, Review
from annotate.script.build import make_script
from pose import landmarks as lm
from pose.signals.compute import movement_signals
from pose.track import PoseTrack
from tests.annotate.reviews import block
from tests.framed import FEET, LEGS, framed, hidden, leaping
from tests.stick import Stance, jacking, squatting, track, wave

STARTS = [1.0, 4.0, 7.0, 10.0, 13.0]
LENGTH_S = 16.0


def height(t: float, starts: list[float] = STARTS) -> float:
    return float(wave(np.array([t]), starts, 2.4)[0])


def squats(yaw_deg: float = 45.0) -> PoseTrack:
    return track(LENGTH_S, lambda t: squatting(height(t)), yaw_deg=yaw_deg)


def jacks() -> PoseTrack:
    starts = np.arange(0.5, 15, 1.2).tolist()
    return track(LENGTH_S, lambda t: jacking(float(wave(np.array([t]), starts, 1.1)[0])))


def curls() -> PoseTrack:
    return track(LENGTH_S, lambda t: Stance(elbow=5 + 125 * height(t)))


def plan(movement: str, reps: int = 5) -> ClassPlan:
    return ClassPlan(
        title="One set",
        blocks=(block(name="Set", movement=movement, rounds=1, work=LENGTH_S, reps=reps,
                      recovery=None),),
    )  # fmt: skip


def only(review: Review) -> Period:
    (period,) = review.periods
    return period


def test_squats_that_are_seen_are_counted() -> None:
    period = only(review_track(framed(squats())))
    assert (period.movement, period.reps.count, period.not_assessable) == ("squat", 5, None)


@pytest.mark.parametrize(
    ("filmed", "reason"),
    [
        (framed(squats(), bottom=0.7), "legs out of the picture"),
        (framed(squats(), bottom=0.3), "body cut off"),
        (framed(squats(), left=-0.1), "body cut off"),
        (hidden(framed(squats()), LEGS), "legs hidden"),
        (leaping(framed(squats())), "not tracked well"),
    ],
)
def test_what_is_not_seen_has_no_name_and_no_count(filmed: PoseTrack, reason: str) -> None:
    review = review_track(filmed)
    period = only(review)
    assert (period.not_assessable, period.movement, period.may_be) == (reason, None, ())
    assert (period.reps.count, period.reps.confidence, period.reps.each) == (None, 0.0, ())
    assert (period.label, period.confidence) == ("Not assessable", 0.0)
    told = [(n.code, n.text) for n in review.notices if n.level == "warning"]
    assert ("not-assessable", f"Not assessable: {reason}.") in told


def test_with_a_plan_the_row_says_not_assessable_and_not_left_out() -> None:
    review = review_track(framed(squats(), bottom=0.7), plan("squat"))
    (row,) = review.comparison
    assert (row.status, row.reps_diff) == ("partial", None)
    assert row.text.startswith("not assessable: legs out of the picture")
    assert {r.delivered_reps for r in review.sheet} == {None}
    assert review.totals.blocks[0].delivered_reps is None
    assert make_script(review).periods[0].delivered_reps is None


def test_a_movement_of_the_arms_is_counted_where_the_plan_asks_for_it() -> None:
    cut = framed(curls(), bottom=0.7)
    assert only(review_track(cut)).reps.count is None
    period = only(review_track(cut, plan("arm-curl")))
    assert (period.movement, period.reps.count) == ("arm-curl", 5)


def test_arms_out_of_the_picture_leave_squats_countable() -> None:
    wide = track(LENGTH_S, lambda t: replace(squatting(height(t)), arms_out=85.0), yaw_deg=10.0)
    cut = framed(wide, left=0.75)
    signals = movement_signals(cut)
    assert why_unseen(signals, {"arms"}, 0, LENGTH_S) == "arms out of the picture"
    period = only(review_track(cut))
    assert (period.movement, period.reps.count) == ("squat", 5)
    curl = count_reps(signals, catalogue()["arm-curl"], 0.0, LENGTH_S)
    assert (curl.count, curl.confidence, curl.unseen) == (0, 0.0, "arms out of the picture")


def test_hands_above_the_picture_for_a_moment_do_not_matter() -> None:
    period = only(review_track(framed(jacks(), top=0.95)))
    assert period.not_assessable is None
    assert period.reps.count == 13


def test_a_far_leg_hidden_in_side_view_is_no_reason() -> None:
    far = tuple(i for i in LEGS if i % 2 == 0)
    period = only(review_track(hidden(framed(squats(90)), far)))
    assert (period.movement, period.reps.count) == ("squat", 5)


def test_what_needs_the_legs_is_not_measured_where_they_are_unsure() -> None:
    review = review_track(hidden(framed(squats()), LEGS, 0.65))
    period = only(review)
    assert period.reps.count == 5
    for rep in period.reps.each:
        assert (rep.depth, rep.knee_flexion_deg) == (None, None)
        assert rep.not_measured == "legs not clearly seen"
        assert rep.trunk_deg is not None
    assert [n.text for n in review.notices if n.code == "depth-not-assessable"] == [
        "Squat: depth not assessable: legs not clearly seen."
    ]


def test_hidden_feet_are_neither_lifted_heels_nor_a_flight() -> None:
    covered = hidden(framed(squats(90)), FEET)
    period = only(review_track(covered, plan("squat")))
    heels = [w for rep in period.reps.each for w in rep.watched if w.point == "heels"]
    assert {(w.value, w.reason) for w in heels} == {(None, "feet hidden")}
    jump = only(review_track(hidden(framed(squats(90)), FEET), plan("squat-tap-jump")))
    heights = [w for w in jump.watched if w.point == "jump-height"]
    assert [(w.value, w.reason) for w in heights] in ([], [(None, "feet hidden")])


def test_only_the_stretch_that_is_not_seen_is_refused() -> None:
    starts = np.arange(1, 40, 3).tolist()
    filmed = framed(track(40, lambda t: squatting(height(t, starts)), yaw_deg=45.0))
    covered = hidden(filmed, LEGS, until_s=15.0)
    first, second = review_track(covered).periods
    assert first.not_assessable == "legs hidden"
    assert first.end_s == pytest.approx(15.0, abs=0.2)
    assert (second.movement, second.reps.count) == ("squat", 8)


def test_a_short_gap_is_no_period_of_its_own() -> None:
    signals = movement_signals(hidden(framed(squats()), LEGS, until_s=1.2))
    assert unseen_stretches(signals) == []
    assert recognise(signals, 0.0, LENGTH_S).movement == "squat"
    whole = count_reps(movement_signals(framed(squats())), catalogue()["squat"], 0.0, LENGTH_S)
    counted = count_reps(signals, catalogue()["squat"], 0.0, LENGTH_S)
    assert counted.count == 5
    assert counted.confidence < whole.confidence


def test_every_movement_that_is_counted_needs_the_trunk() -> None:
    needs = {m.id: [parts_of(c) for c in m.counts] for m in catalogue().values()}
    assert all("trunk" in parts for each in needs.values() for parts in each)
    assert all("legs" in parts for parts in needs["squat"])
    assert all("legs" not in parts for parts in needs["punch"])


def test_who_is_found_only_now_and_then_is_not_judged() -> None:
    filmed = framed(squats())
    xy = filmed.xy_px.copy()
    xy[filmed.times_s % 2.0 < 0.9] = np.nan
    period = only(review_track(replace(filmed, xy_px=xy)))
    assert (period.not_assessable, period.reps.count) == ("not tracked well", None)


def test_a_trunk_at_the_edge_is_cut_off() -> None:
    filmed = framed(squats(0))
    shoulder_x = filmed.xy_px[:, lm.SHOULDERS[1], 0].min()
    cut = replace(filmed, xy_px=filmed.xy_px - (shoulder_x + 10.0, 0.0))
    assert why_unseen(movement_signals(cut), {"trunk"}, 0.0, LENGTH_S) == "body cut off"
    assert only(review_track(cut)).reps.count is None


def test_a_flight_is_not_told_without_the_feet() -> None:
    assert only(review_track(framed(squats()))).movement == "squat"
    assert only(review_track(hidden(framed(squats()), FEET))).movement == "squat"
    jump = catalogue()["star-jump"]
    covered = movement_signals(hidden(framed(squats(90)), FEET))
    assert likeness(behaviour(covered, 0.0, LENGTH_S), jump) is None


def test_without_a_picture_nothing_is_held_against_the_joints() -> None:
    away = squats()
    xy = away.xy_px.copy()
    xy[away.times_s % 2.0 < 0.9] = np.nan
    bare = movement_signals(hidden(replace(away, xy_px=xy), LEGS))
    assert why_unseen(bare, {"trunk", "legs", "arms", "feet"}, 0.0, LENGTH_S) is None
    assert unseen_stretches(bare) == []


def test_arms_above_the_picture_are_not_counted_on() -> None:
    filmed = framed(jacks())
    shoulder_y = filmed.xy_px[0, list(lm.SHOULDERS), 1].min()
    cut = movement_signals(replace(filmed, xy_px=filmed.xy_px - (0.0, shoulder_y - 30.0)))
    jack = catalogue()["jumping-jack"]
    assert count_reps(movement_signals(filmed), jack, 0.0, LENGTH_S).signal == "wrist_height"
    assert count_reps(cut, jack, 0.0, LENGTH_S).signal == "stance_width"
    assert "wrist_height" not in behaviour(cut, 0.0, LENGTH_S).swing


def test_arms_alone_are_no_unknown_movement() -> None:
    whole = count_unknown(movement_signals(framed(curls())), 0.0, LENGTH_S)
    cut = count_unknown(movement_signals(framed(curls(), bottom=0.7)), 0.0, LENGTH_S)
    assert (whole.count, cut.count, cut.unseen) == (5, 0, "legs out of the picture")


def test_where_nobody_is_there_is_no_count_of_zero() -> None:
    filmed = framed(track(30, lambda t: squatting(height(t, np.arange(1, 30, 3).tolist()))))
    xy = filmed.xy_px.copy()
    xy[filmed.times_s > 20] = np.nan
    last = review_track(replace(filmed, xy_px=xy)).periods[-1]
    assert (last.kind, last.reps.count, last.reps.confidence) == ("absent", None, 0.0)
    assert last.not_assessable is None
