"""Films with legs, head or a side cut off, or a board before the legs: right or refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from annotate import review_clip
from annotate.review.model import Review
from tests.accuracy.cut_off import FILM, SHORT, outcome, review_changed, truth_of
from tests.real import REAL, needs_real

pytestmark = pytest.mark.slow

OUT_OF_PICTURE = "legs out of the picture"
CUT_OFF = "body cut off"
HIDDEN = "legs hidden"
REASONS = {
    "legs cut at the hips": {OUT_OF_PICTURE, CUT_OFF},
    "legs cut at the knees": {OUT_OF_PICTURE},
    "legs cut at the shins": {OUT_OF_PICTURE},
    "one half cut": {CUT_OFF},
    "behind a table": {HIDDEN},
}


def refused_for(review: Review) -> set[str | None]:
    """The reasons of a review in which nothing is named and nothing counted."""
    assert not [p for p in review.periods if p.movement or p.may_be or p.reps.count]
    assert all(p.reps.count is None and p.reps.confidence == 0 for p in review.periods)
    return {p.not_assessable for p in review.periods}


@pytest.mark.parametrize("cut", REASONS)
@pytest.mark.parametrize("name", ["squat-front", "knee-lift-oblique"])
def test_what_is_cut_off_is_not_judged(name: str, cut: str, tmp_path: Path) -> None:
    reasons = refused_for(review_changed(SHORT / f"{name}.mp4", cut, tmp_path))
    assert reasons & REASONS[cut]


@needs_real
@pytest.mark.parametrize("cut", REASONS)
def test_a_person_who_is_cut_off_is_not_judged(cut: str, tmp_path: Path) -> None:
    assert refused_for(review_changed(FILM, cut, tmp_path)) & REASONS[cut]


@pytest.mark.parametrize("name", ["squat-side", "squat-oblique", "jack-front"])
@pytest.mark.parametrize("cut", ["legs cut at the ankles", "caption over the feet"])
def test_without_feet_the_count_is_right_or_refused(name: str, cut: str, tmp_path: Path) -> None:
    clip = SHORT / f"{name}.mp4"
    review = review_changed(clip, cut, tmp_path)
    assert outcome(review, *truth_of(clip)) != "wrong"
    points = [w for p in review.periods for r in p.reps.each for w in r.watched]
    assert all(w.value is None for w in points if w.point == "heels")
    assert not [n for n in review.notices if n.code == "watch-heels"]


def test_a_cut_head_does_not_matter(tmp_path: Path) -> None:
    clip = SHORT / "squat-side.mp4"
    assert outcome(review_changed(clip, "head cut", tmp_path), *truth_of(clip)) == "right"


@needs_real
@pytest.mark.parametrize(
    ("name", "reason"),
    [("table", CUT_OFF), ("skateboarding", "not tracked well"), ("handshake", None),
     ("clean_and_jerk", None), ("ta_chi", None)],
)  # fmt: skip
def test_people_who_do_no_exercise_are_not_counted(name: str, reason: str | None) -> None:
    if not (REAL / "people").is_dir():
        pytest.skip("no films of people beside this checkout")
    review = review_clip(REAL / "people" / f"{name}.mp4")
    assert not [p for p in review.periods if p.movement or p.reps.count]
    assert reason in {p.not_assessable for p in review.periods}


@needs_real
def test_the_squats_of_a_person_who_is_seen_are_counted() -> None:
    (period,) = review_clip(FILM).periods
    assert (period.movement, period.reps.count, period.not_assessable) == ("squat", 3, None)
