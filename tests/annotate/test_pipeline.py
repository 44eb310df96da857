"""The whole analysis on filmed sessions with seeded departures from the plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from annotate import review_clip, review_track
from annotate.pipeline import correct_review, make_take, review_take
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.edits import SetCount
from annotate.review.model import Comparison, Notice
from annotate.script.build import make_script
from clips.session import Period
from pose.errors import ClipError
from tests.annotate.reviews import block
from tests.film import film
from tests.known import known
from tests.real import REAL, needs_real

pytestmark = pytest.mark.slow

PLAN = ClassPlan(
    title="Pier intervals",
    blocks=(
        block(name="Warm-up", kind="warm-up", movement="march", duration=20),
        block(name="Squats", movement="squat", rounds=3, work=20, recovery=12, reps=10,
              recovery_movement="step-touch"),
        block(name="Knee lifts", movement="knee-lift", rounds=2, work=20, recovery=12,
              reps={"left": 8, "right": 8}, recovery_movement="march"),
        block(name="Cool-down", kind="cool-down", movement="reach", duration=16),
    ),
)  # fmt: skip
TIMELINE = unroll(PLAN)
SQUATS = [p.index for p in TIMELINE.periods if p.movement == "squat"]
LIFTS = [p.index for p in TIMELINE.periods if p.movement == "knee-lift"]


def planned() -> list[Period]:
    return [Period(p.kind, known(p.movement), p.duration_s, reps=p.reps) for p in TIMELINE.periods]


def findings(performed: list[Period], **camera: Any) -> dict[str, tuple[str, str]]:
    """Departures found: label -> status and words."""
    track, _ = film(tuple(performed), seed=11, **{"yaw_deg": 60, **camera})
    return {
        (c.planned.label if c.planned else "not planned"): (c.status, c.text)
        for c in review_track(track, PLAN).comparison
        if c.status != "as planned"
    }


@pytest.mark.parametrize("yaw_deg", [0, 45, 80])
def test_a_class_as_planned_has_no_findings(yaw_deg: int) -> None:
    assert findings(planned(), yaw_deg=yaw_deg) == {}


def test_a_short_work_period_is_told_with_its_length() -> None:
    performed = planned()
    i = SQUATS[1]
    performed[i] = replace(performed[i], duration_s=13, reps=7)
    found = findings(performed)
    assert list(found) == ["Squats, round 2"]
    status, words = found["Squats, round 2"]
    assert status == "short"
    assert "7 s too short (13 instead of 20 s)" in words
    assert "3 repetitions fewer (7 instead of 10)" in words


def test_a_long_recovery_is_told() -> None:
    performed = planned()
    i = SQUATS[0] + 1
    performed[i] = replace(performed[i], duration_s=19)
    found = findings(performed)
    assert list(found) == ["Squats, round 1, recovery"]
    assert found["Squats, round 1, recovery"][0] == "long"


def test_a_skipped_round_is_skipped_and_nothing_else_is_invented() -> None:
    performed = planned()
    del performed[SQUATS[1] : SQUATS[1] + 2]
    found = findings(performed)
    assert {status for status, _ in found.values()} == {"skipped"}
    assert len(found) == 2


def test_fewer_repetitions_on_one_side_are_told_by_side() -> None:
    performed = planned()
    i = LIFTS[1]
    sides = ("left", "right") * 5 + ("left",) * 3
    performed[i] = replace(performed[i], reps=None, sides=sides)
    found = findings(performed)
    assert list(found) == ["Knee lifts, round 2"]
    assert found["Knee lifts, round 2"] == (
        "partial",
        "right side 3 repetitions fewer (5 instead of 8)",
    )


def test_another_movement_than_planned_is_named() -> None:
    performed = planned()
    i = LIFTS[0]
    performed[i] = Period("work", "jumping-jack", 20)
    status, words = findings(performed)["Knee lifts, round 1"]
    assert status == "swapped"
    assert "Jumping jack instead of Knee lift" in words


def test_a_stop_nobody_planned_is_added() -> None:
    performed = planned()
    performed.insert(SQUATS[1], Period("still", "stand", 15))
    found = findings(performed)
    assert list(found) == ["not planned"]
    assert "15 s" in found["not planned"][1] or "14 s" in found["not planned"][1]


def unseen(start_s: float, end_s: float) -> list[Comparison]:
    """Comparison of a class as planned with nobody in the picture for a while."""
    track, _ = film(tuple(planned()), seed=11, yaw_deg=60)
    gone = (track.times_s >= start_s) & (track.times_s < end_s)
    track.xy_px[gone] = np.nan
    track.world_m[gone] = np.nan
    return [c for c in review_track(track, PLAN).comparison if c.status != "as planned"]


def test_out_of_the_picture_in_the_middle_of_a_period_is_no_missing_repetition() -> None:
    squats = TIMELINE.periods[SQUATS[1]]
    (found,) = unseen(squats.start_s + 4, squats.start_s + 14)
    assert known(found.planned).label == "Squats, round 2"
    assert found.text == "nobody in the picture for 10 s: repetitions not assessable"


def test_out_of_the_picture_for_a_whole_period_is_not_assessable_rather_than_left_out() -> None:
    squats = TIMELINE.periods[SQUATS[1]]
    (found,) = unseen(squats.start_s, squats.end_s)
    assert known(found.planned).label == "Squats, round 2"
    assert found.status == "partial"
    assert found.text.startswith("not assessable: nobody in the picture")


def test_exercises_that_changed_places_are_told_as_out_of_order() -> None:
    first = [d for d, p in zip(planned(), TIMELINE.periods, strict=True) if p.block_index == 1]
    second = [d for d, p in zip(planned(), TIMELINE.periods, strict=True) if p.block_index == 2]
    performed = [planned()[0], *second, *first, planned()[-1]]
    found = findings(performed)
    assert {status for status, _ in found.values()} == {"swapped"}
    moved = {name for name in found if name.startswith("Knee lifts")}
    assert moved == set(found) and len(found) == 2
    assert "out of order, at 0:20" in found["Knee lifts, round 1"][1]


def test_a_second_start_is_added_in_front_and_nothing_is_missing() -> None:
    performed = planned()
    again = [replace(performed[0], duration_s=14), Period("still", "stand", 12), *performed]
    track, _ = film(tuple(again), seed=11, yaw_deg=60)
    rows = review_track(track, PLAN).comparison
    assert {c.status for c in rows if c.planned} == {"as planned"}
    assert [c.status for c in rows[:2]] == ["added", "added"]


def test_half_tempo_is_told_as_tempo_not_as_missing_repetitions() -> None:
    performed = planned()
    i = SQUATS[0]
    performed[i] = replace(performed[i], reps=5)
    track, _ = film(tuple(performed), seed=11, yaw_deg=60)
    row = next(c for c in review_track(track, PLAN).comparison if known(c.planned).index == i)
    assert (row.status, row.tempo, row.text) == ("as planned", "half", "done at half tempo")


def test_without_a_plan_the_periods_and_their_movements_come_out() -> None:
    track, truth = film(tuple(planned()), seed=4, yaw_deg=45)
    review = review_track(track)
    assert len(review.periods) == len(truth["periods"])
    for found, true in zip(review.periods, truth["periods"], strict=True):
        assert found.start_s == pytest.approx(true["start_s"], abs=1.0)
        assert found.movement in (true["movement"], None)
    kinds = [(f.kind, t["kind"]) for f, t in zip(review.periods, truth["periods"], strict=True)]
    assert sum(f == t for f, t in kinds) >= len(kinds) - 1


def test_every_planned_period_is_in_the_script_and_no_two_lines_are_spoken_at_once() -> None:
    track, _ = film(tuple(planned()), seed=4, yaw_deg=45)
    script = make_script(review_track(track, PLAN))
    assert [p.planned_start_s for p in script.periods] == [p.start_s for p in TIMELINE.periods]
    assert script.duration_s == TIMELINE.total_s
    spoken = [x for p in script.periods for x in p.lines if x.kind != "direction"]
    assert {"change", "announce", "countdown", "halfway"} <= {x.kind for x in spoken}
    assert all(p.lines for p in script.periods)
    # Each is over before the next begins.
    for a, b in pairwise(spoken):
        assert 0 < a.lasts_s <= b.at_s - a.at_s, (a, b)


def test_what_is_known_of_the_footage_stays_through_corrections() -> None:
    track, _ = film((Period("work", "squat", 10.0, reps=5),))
    silent = Notice(level="warning", code="sound", text="its sound is damaged", origin="footage")
    review = review_take(make_take(track, music_result=((), (silent,))))
    once = correct_review(review, track, [SetCount(do="count", at_s=5, reps=4)])
    twice = correct_review(once, track, [])
    assert silent in review.notices and silent in once.notices
    assert twice == review


def test_the_clip_warns_only_once_of_what_is_seen_in_the_track() -> None:
    track, _ = film((Period("work", "squat", 10.0, reps=5),))
    track = replace(track, clip=replace(track.clip, variable_frame_rate=True))
    review = correct_review(review_track(track), track, [])
    assert [n.code for n in review.notices].count("variable-frame-rate") == 1


def test_an_empty_track_is_said_to_be_empty() -> None:
    track, _ = film((Period("work", "squat", 6.0),))
    review = review_track(track.between(100, 200))
    assert review.periods == ()
    assert [n.code for n in review.notices] == ["nobody"]


def test_a_missing_clip_is_one_line() -> None:
    with pytest.raises(ClipError) as caught:
        review_clip("no-such-rehearsal.mp4")
    assert "\n" not in str(caught.value)


@needs_real
def test_squats_of_a_real_person_are_counted_and_the_last_is_cut_off() -> None:
    review = review_clip(REAL / "pose_squats.mp4")
    reps = [r for p in review.periods for r in p.reps.each]
    assert [r.peak_s for r in reps] == pytest.approx([2.0, 6.8, 11.8], abs=0.4)
    assert [r.complete for r in reps] == [True, True, False]


@needs_real
def test_a_dancing_person_does_no_squats_and_no_jacks() -> None:
    review = review_clip(REAL / "pose_1.mp4")
    assert not {p.movement for p in review.periods} & {"squat", "jumping-jack"}
    assert [p.reps.count for p in review.periods] == [0]
