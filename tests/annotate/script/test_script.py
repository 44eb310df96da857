"""The script's periods: what was planned beside what was delivered, and what nobody planned."""

from __future__ import annotations

import pytest

from annotate.review.model import Comparison, Review
from annotate.review.music import ChangeOnBeat, OnBeat
from annotate.script.build import make_script
from tests.annotate.reviews import counted, period, planned, review
from tests.annotate.script.rehearsed import rehearsed

ROUNDS = planned({"rounds": 2, "reps": 14, "cadence": 28, "recovery": 20})


def test_planned_and_delivered_stand_side_by_side() -> None:
    found = counted(9, cadence_per_min=21.5)
    take = rehearsed(ROUNDS, {1: {"lasts_s": 26.0}, 2: {"lasts_s": 24.0, "reps": found}})
    squats = make_script(take).periods[2]
    assert (squats.block, squats.label, squats.kind) == ("Squat", "Squat, round 2", "work")
    assert squats.movement == "squat"
    assert (squats.planned_start_s, squats.delivered_start_s) == (50.0, 56.0)
    assert (squats.planned_duration_s, squats.delivered_duration_s) == (30.0, 24.0)
    assert (squats.planned_reps, squats.delivered_reps) == (14, 9)
    assert (squats.planned_cadence_per_min, squats.delivered_cadence_per_min) == (28.0, 21.5)
    assert squats.status == "short"
    assert squats.difference == (
        "6 s too short (24 instead of 30 s); 5 repetitions fewer (9 instead of 14)"
    )


def test_a_cadence_that_was_not_measured_is_not_the_planned_one() -> None:
    first = make_script(rehearsed(ROUNDS)).periods[0]
    assert (first.planned_cadence_per_min, first.delivered_cadence_per_min) == (28.0, None)
    assert (first.status, first.difference) == ("as planned", "as planned")


def test_what_was_left_out_has_nothing_delivered() -> None:
    left_out = make_script(rehearsed(ROUNDS, {2: None})).periods[2]
    assert (left_out.status, left_out.difference) == ("skipped", "left out")
    assert left_out.delivered_start_s is left_out.delivered_duration_s is None
    assert left_out.delivered_reps is left_out.delivered_cadence_per_min is None
    assert left_out.planned_reps == 14


def test_of_what_nobody_was_seen_in_no_repetitions_are_told() -> None:
    unseen = make_script(rehearsed(ROUNDS, {2: "gone"})).periods[2]
    assert unseen.status == "partial"
    assert unseen.difference == "not assessable: nobody in the picture for 30 s there"
    assert (unseen.planned_reps, unseen.delivered_reps) == (14, None)
    assert unseen.delivered_cadence_per_min is None


def test_a_planned_period_without_a_row_was_left_out() -> None:
    take = rehearsed(ROUNDS)
    bare = take.model_copy(update={"comparison": take.comparison[:-1]})
    assert make_script(bare).periods[3].difference == "left out"


def test_what_nobody_planned_stands_apart_with_its_time() -> None:
    take = rehearsed(ROUNDS)
    stop = period(4, "still", 100, 112, None)
    added = Comparison(planned=None, delivered=4, status="added", text="not in the plan: 12 s")
    take = take.model_copy(
        update={"periods": (*take.periods, stop), "comparison": (*take.comparison, added)}
    )
    script = make_script(take)
    assert script.not_in_plan == ("1:40 not in the plan: 12 s",)
    assert len(script.periods) == 4
    assert make_script(rehearsed(ROUNDS)).not_in_plan == ()


def test_every_line_stands_in_the_period_in_which_it_is_said() -> None:
    script = make_script(rehearsed(ROUNDS))
    for asked, shown in zip(ROUNDS.periods, script.periods, strict=True):
        assert shown.lines
        assert all(asked.start_s <= x.at_s < asked.end_s for x in shown.lines)


def test_the_script_is_as_long_as_the_plan() -> None:
    script = make_script(rehearsed(ROUNDS, {0: {"lasts_s": 50.0}}))
    assert (script.title, script.duration_s) == ("Pier", 100.0)


# --- music ------------------------------------------------------------------------------------


def with_music(take: Review) -> Review:
    beats = [
        OnBeat(period=k, beats_per_rep=4, tempo=None, gained_beats=0, text=text)
        for k, text in (
            (0, "Squat, round 1: on the beat."), (2, "Squat, round 2: half a beat late.")
        )
    ]  # fmt: skip
    changes = [ChangeOnBeat(at_s=50.0, count=1, out_of=8, announced_counts=None,
                            text="Squat, round 2: begins on count 1.")]  # fmt: skip
    return take.model_copy(update={"on_beat": tuple(beats), "changes_on_beat": tuple(changes)})


def test_the_music_is_told_of_each_period_without_its_name() -> None:
    shown = [p.on_beat for p in make_script(with_music(rehearsed(ROUNDS))).periods]
    assert shown == ["On the beat.", "", "Half a beat late. Begins on count 1.", ""]


def test_of_what_was_left_out_the_music_tells_nothing() -> None:
    shown = [p.on_beat for p in make_script(with_music(rehearsed(ROUNDS, {0: None}))).periods]
    # What is now the first delivered period is the recovery.
    assert shown[0] == ""


# --- without a plan ---------------------------------------------------------------------------


@pytest.fixture
def delivered() -> Review:
    return review(
        [
            period(0, "work", 3, 33, "squat", counted(12, cadence_per_min=25.0)),
            period(1, "still", 33, 48, None),
        ]
    )


def test_without_a_plan_the_take_itself_is_the_timeline(delivered: Review) -> None:
    script = make_script(delivered)
    assert script.title == "take: 1 & 2.mp4, as delivered (no plan given)"
    assert (script.duration_s, script.not_in_plan) == (48.0, ())
    squats, stop = script.periods
    assert (squats.label, squats.planned_start_s, squats.planned_duration_s) == ("Squat", 3, 30)
    assert (squats.planned_reps, squats.planned_cadence_per_min) == (None, None)
    assert (squats.delivered_reps, squats.delivered_cadence_per_min) == (12, 25.0)
    assert (squats.difference, squats.lines) == ("no plan given", ())
    assert (stop.label, stop.kind, stop.movement) == ("Still", "still", None)
