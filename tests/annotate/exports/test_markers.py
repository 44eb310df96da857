"""What is marked for editors and producers."""

from __future__ import annotations

import pytest

from annotate.exports import export
from annotate.exports.markers import markers_of
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Comparison, Cue, Note, Notice, Review
from tests.annotate.reviews import as_planned, block, clip, period, reps, review, station
from tests.known import known

PLAN = unroll(
    ClassPlan(
        countdown_s=4,
        blocks=(
            block(name="Warm-up", kind="warm-up", movement="march", duration=60),
            block(name="Squat", movement="squat", rounds=2, work=30, recovery=20, reps=10,
                  recovery_movement="step-touch"),
            block(name="Circuit", rounds=2, round_recovery=60, stations=(
                station(movement="push-up", work=20), station(movement="plank", work=20))),
        ),
    )
)  # fmt: skip


def named(kind: str, of: Review) -> list[tuple[str, float, float | None]]:
    return [(m.name, m.start_s, m.end_s) for m in markers_of(of) if m.kind == kind]


def test_periods_are_named_as_planned() -> None:
    assert [n for n, _, _ in named("period", as_planned(PLAN))] == [p.label for p in PLAN.periods]


def test_rounds_reach_from_their_work_to_the_end_of_their_recovery() -> None:
    assert named("round", as_planned(PLAN, late_s=5)) == [
        ("Squat, round 1 of 2", 65, 115),
        ("Squat, round 2 of 2", 115, 165),
        ("Circuit, round 1 of 2", 165, 265),
        ("Circuit, round 2 of 2", 265, 365),
    ]


def test_a_block_of_one_round_has_no_round_of_its_own() -> None:
    once = unroll(ClassPlan(blocks=(block(name="Squat", movement="squat", work=30),)))
    assert named("round", as_planned(once)) == []


def test_what_was_added_is_named_by_what_was_done() -> None:
    done = [period(0, "work", 0, 20, "squat"), period(1, "work", 20, 40, "side-lunge")]
    row = Comparison(planned=None, delivered=1, status="added", text="not in the plan")
    filmed = review(done, comparison=[row])
    assert [n for n, _, _ in named("period", filmed)] == ["Squat", "Not in the plan: Side lunge"]


def test_stay_wide_lasts_until_the_new_movement_was_shown_twice() -> None:
    spans = named("stay-wide", as_planned(PLAN))
    # Squats of 3 s from 60 s: announced before the countdown of 4 s, shown twice at 66 s.
    assert spans[0] == ("Stay wide: change to Squat, round 1", 53, 66)
    assert all(known(a[2]) <= b[1] for a, b in zip(spans, spans[1:], strict=False))


def test_stay_wide_begins_where_the_change_was_announced() -> None:
    said = Cue(at_s=48.5, kind="announce", text="Next: squats.", verdict="unknown", difference="")
    spans = named("stay-wide", as_planned(PLAN).model_copy(update={"cues": (said,)}))
    assert spans[0][1] == 48.5


def test_the_same_movement_again_is_no_change() -> None:
    periods = [period(0, "work", 0, 20, "squat"), period(1, "recovery", 20, 40, "squat")]
    assert named("stay-wide", review(periods)) == []


def test_flagged_repetitions_are_marked_one_by_one() -> None:
    squats = period(0, "work", 0, 30, "squat", reps(0, 10, 3, rounded=(9, 10)))
    assert named("flagged-rep", review([squats])) == [
        ("Worth a look: repetition 9 of Squat", 24, 27),
        ("Worth a look: repetition 10 of Squat", 27, 30),
    ]


def test_notes_findings_and_wrong_cues_are_marked() -> None:
    filmed = review(
        [period(0, "work", 0, 30, "squat")],
        notes=(Note(at_s=3.5, tag="camera", text="too\nlow"),),
        notices=(
            Notice(level="look", code="depth", start_s=9, end_s=12, text="Shallower."),
            Notice(level="look", code="back-rounder", start_s=9, end_s=12, text="Marked above."),
            Notice(level="info", code="unsure-count", start_s=0, end_s=30, text="No finding."),
            Notice(level="warning", code="hdr", text="No time."),
        ),
        cues=(
            Cue(at_s=20, kind="seconds-left", text="5 seconds", verdict="wrong", difference="10"),
            Cue(at_s=15, kind="halfway", text="halfway", verdict="right", difference=""),
        ),
    )
    assert [(m.kind, m.name, m.start_s) for m in markers_of(filmed)] == [
        ("period", "Squat", 0),
        ("note", "camera: too low", 3.5),
        ("look", "Shallower.", 9),
        ("cue", 'Said "5 seconds"', 20),
    ]


@pytest.mark.parametrize("text", ["a\nb", "a\r\nb", "a\x0bb", "a\u2028b", "a\x85b", "a\tb"])
def test_names_are_one_line(text: str) -> None:
    filmed = review([period(0, "work", 0, 9, "squat")], notes=(Note(at_s=1, tag="", text=text),))
    (note,) = [m.name for m in markers_of(filmed) if m.kind == "note"]
    assert len(note.splitlines()) == 1 and note.startswith("a") and note.endswith("b")


def test_a_clip_name_with_a_line_break_stays_one_line_of_an_edl() -> None:
    of = clip(9).model_copy(update={"name": "pier\nFCM: DROP FRAME.mp4"})
    text = export(review([period(0, "work", 0, 9, "squat")], of=of), "edl").text
    assert text.splitlines()[:2] == ["TITLE: pier FCM: DROP FRAME.mp4", "FCM: NON-DROP FRAME"]
    assert "* FROM CLIP NAME: pier FCM: DROP FRAME.mp4\n" in text
