"""Corrections sit on top of the analysis; everything after the periods follows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from annotate import review_track
from annotate.errors import CorrectionError
from annotate.plan.model import ClassPlan
from annotate.review.edits import check_edits, corrected, read_edits
from annotate.review.model import Period, PeriodKind, RepSet
from clips.session import Period as Performed
from pose.track import PoseTrack
from tests.annotate.reviews import block
from tests.film import film


def period(
    index: int,
    start_s: float,
    end_s: float,
    kind: PeriodKind = "work",
    movement: str | None = "squat",
) -> Period:
    return Period(
        index=index,
        kind=kind,
        start_s=start_s,
        end_s=end_s,
        duration_s=end_s - start_s,
        confidence=0.7,
        movement=movement,
        movement_confidence=0.9,
        intensity=0.5,
        reps=RepSet(count=5, confidence=0.9),
    )


THREE = (period(0, 0, 20), period(1, 20, 32, "recovery", "march"), period(2, 32, 50))


def apply(*edits: dict[str, Any]) -> list[tuple[str, float, float, str | None]]:
    out = corrected(THREE, check_edits(list(edits)))
    assert [p.index for p in out] == list(range(len(out)))
    assert all(p.duration_s == pytest.approx(p.end_s - p.start_s) for p in out)
    return [(p.kind, p.start_s, p.end_s, p.movement) for p in out]


def test_a_moved_boundary_moves_both_neighbours() -> None:
    assert apply({"do": "move", "at_s": 20.4, "to_s": 22.5})[:2] == [
        ("work", 0, 22.5, "squat"),
        ("recovery", 22.5, 32, "march"),
    ]


def test_the_end_of_the_last_period_moves_alone() -> None:
    assert apply({"do": "move", "at_s": 50, "to_s": 47})[-1] == ("work", 32, 47, "squat")


def test_a_split_makes_two_and_a_merge_makes_one_again() -> None:
    assert len(apply({"do": "split", "at_s": 40})) == 4
    assert apply({"do": "split", "at_s": 40}, {"do": "merge", "at_s": 40}) == apply()


def test_merging_keeps_the_label_of_the_longer_one() -> None:
    assert apply({"do": "merge", "at_s": 32})[1] == ("work", 20, 50, "squat")


def test_relabel_takes_movements_as_people_write_them() -> None:
    assert apply({"do": "relabel", "at_s": 25, "kind": "work", "movement": "Hip hinge"})[1] == (
        "work", 20, 32, "hip-hinge",
    )  # fmt: skip


def test_a_deleted_period_leaves_a_gap_and_later_edits_still_find_their_place() -> None:
    rows = apply({"do": "delete", "at_s": 25}, {"do": "move", "at_s": 32, "to_s": 30})
    assert rows == [("work", 0, 20, "squat"), ("work", 30, 50, "squat")]


def test_what_a_hand_has_set_is_marked() -> None:
    out = corrected(THREE, check_edits([{"do": "count", "at_s": 5, "reps": 7}]))
    assert out[0].corrected == ("count",)
    assert (out[0].reps.count, out[0].reps.confidence) == (7, 1.0)
    assert out[1].corrected == ()


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        ({"do": "move", "at_s": 80, "to_s": 81}, "no boundary within 3 s"),
        ({"do": "move", "at_s": 20, "to_s": 40}, "give a time between 0.5 and 31.5 s"),
        ({"do": "split", "at_s": 20.2}, "too close"),
        ({"do": "split", "at_s": 99}, "no period runs then"),
        ({"do": "merge", "at_s": 0}, "no two periods to join"),
        ({"do": "relabel", "at_s": 5}, "give kind, movement or both"),
        ({"do": "count", "at_s": 5, "reps": 7, "left": 1, "right": 2}, "do not add up to 7"),
        ({"do": "jump", "at_s": 5}, "do: should be move, split"),
        ({"do": "split"}, '"at_s" is missing'),
        ({"do": "split", "at_s": 5, "too": 1}, '"too" is not a key of this correction'),
    ],
)
def test_a_wrong_correction_is_one_clear_line(edit: dict[str, object], words: str) -> None:
    with pytest.raises(CorrectionError) as caught:
        corrected(THREE, check_edits([edit]))
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_of_corrections_is_read(tmp_path: Path) -> None:
    path = tmp_path / "edits.yaml"
    path.write_text("edits:\n  - {do: split, at_s: 12.5}\n")
    assert read_edits(path)[0].at_s == 12.5
    path.write_text("do: split")
    with pytest.raises(CorrectionError):
        read_edits(path)


PLAN = ClassPlan(
    blocks=(
        block(name="Squats", movement="squat", rounds=2, work=16, recovery=12, reps=8,
              recovery_movement="march"),
    )
)  # fmt: skip


@pytest.fixture(scope="module")
def track() -> PoseTrack:
    return film(
        (
            Performed("work", "squat", 16, reps=8),
            Performed("recovery", "march", 12),
            Performed("work", "squat", 16, reps=8),
            Performed("recovery", "march", 12),
        ),
        yaw_deg=60,
    )[0]


def test_repetitions_and_comparison_follow_a_correction(track: PoseTrack) -> None:
    before = review_track(track, PLAN)
    assert {c.status for c in before.comparison} == {"as planned"}
    after = review_track(track, PLAN, edits=check_edits([{"do": "move", "at_s": 16, "to_s": 9}]))
    first, recovery = after.comparison[:2]
    assert first.status == "short" and recovery.status == "long"
    assert (after.periods[0].reps.count or 0) < 8
    assert after.edits == ({"do": "move", "at_s": 16.0, "to_s": 9.0},)


def test_a_count_set_by_hand_overrules_the_footage(track: PoseTrack) -> None:
    review = review_track(track, PLAN, edits=check_edits([{"do": "count", "at_s": 5, "reps": 4}]))
    assert review.comparison[0].reps_diff == -4
    assert review.comparison[0].status == "partial"


def test_a_label_set_by_hand_decides_the_pairing(track: PoseTrack) -> None:
    edits = check_edits([{"do": "relabel", "at_s": 5, "movement": "jumping-jack"}])
    review = review_track(track, PLAN, edits=edits)
    assert review.periods[0].movement == "jumping-jack"
    assert review.comparison[0].status == "swapped"


def test_without_the_list_the_original_comes_back(track: PoseTrack) -> None:
    assert review_track(track, PLAN, edits=()) == review_track(track, PLAN)
