"""Little or nothing to see: one clear result, without a warning of numpy's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from annotate import review_track
from annotate.plan.model import ClassPlan
from annotate.plan.read import read_plan
from annotate.review.model import Review
from pose import landmarks as lm
from pose.track import PoseTrack
from tests import stick

PLAN = Path(__file__).parents[2] / "clips/demo/harbour.plan.yaml"
pytestmark = pytest.mark.filterwarnings("error")


def squatting(t: float) -> stick.Stance:
    return stick.squatting(0.5 - 0.5 * np.cos(2 * np.pi * t / 2))


def unseen(track: PoseTrack, rows: slice = slice(None), joints: tuple[int, ...] = ()) -> PoseTrack:
    """The track without these landmarks (none named: all of them) in these samples."""
    xy, world, outline = track.xy_px.copy(), track.world_m.copy(), track.outline.copy()
    gone = list(joints) or list(range(lm.COUNT))
    xy[rows, gone], world[rows, gone], outline[rows] = np.nan, np.nan, np.nan
    return replace(track, xy_px=xy, world_m=world, outline=outline)


def codes(review: Review) -> list[str]:
    return [n.code for n in review.notices if n.origin == "footage"]


@pytest.fixture(scope="module", params=["no plan", "plan"])
def plan(request: pytest.FixtureRequest) -> ClassPlan | None:
    return read_plan(PLAN) if request.param == "plan" else None


@pytest.mark.parametrize("duration_s", [1.1, 1.5, 2.0, 6.0, 90.0])
def test_nobody_in_any_picture_is_an_absence(plan: ClassPlan | None, duration_s: float) -> None:
    review = review_track(unseen(stick.track(duration_s, squatting)), plan)
    assert [(p.kind, p.reps.count) for p in review.periods] == [("absent", None)]
    assert codes(review) == ["nobody"]
    assert "as planned" not in {row.status for row in review.comparison}


@pytest.mark.parametrize("samples", [0, 1, 2, 3, 14])
def test_less_than_a_second_has_no_periods_and_says_so(
    plan: ClassPlan | None, samples: int
) -> None:
    track = stick.track(2.0, squatting).between(0.0, (samples - 0.5) / stick.RATE_HZ)
    assert len(track) == samples
    review = review_track(track, plan)
    assert review.periods == ()
    assert codes(review) == (["too-short"] if samples else ["nobody"])
    assert {row.status for row in review.comparison} <= {"skipped"}


def test_from_a_second_on_there_is_a_period() -> None:
    review = review_track(stick.track(1.1, squatting))
    assert len(review.periods) == 1
    assert codes(review) == []


def test_nobody_in_less_than_a_second_is_only_nobody() -> None:
    review = review_track(unseen(stick.track(0.5, squatting)))
    assert (review.periods, codes(review)) == ((), ["nobody"])


@pytest.mark.parametrize("pair", ["SHOULDERS", "HIPS", "KNEES", "ANKLES", "WRISTS"])
def test_a_part_of_the_body_that_is_never_seen_breaks_nothing(
    plan: ClassPlan | None, pair: str
) -> None:
    review = review_track(unseen(stick.track(20, squatting), joints=getattr(lm, pair)), plan)
    # The trunk is the scale of the body: without it there is nothing to measure by.
    told = {"HIPS": ["nobody"], "SHOULDERS": ["trunk-not-seen"]}.get(pair, [])
    assert codes(review) == told
    assert [p.kind == "absent" for p in review.periods] == [bool(told)]


@pytest.mark.parametrize("flat", [("xy_px",), ("xy_px", "world_m")])
def test_a_body_without_size_is_not_seen(flat: tuple[str, ...]) -> None:
    track = stick.track(10, squatting)
    review = review_track(replace(track, **{n: np.zeros_like(getattr(track, n)) for n in flat}))
    assert [p.kind for p in review.periods] == ["absent"]


def test_one_picture_with_somebody_in_it_is_no_exercise() -> None:
    track = stick.track(10, squatting)
    alone = unseen(unseen(track, slice(None, 70)), slice(71, None))
    review = review_track(alone)
    assert [p.kind for p in review.periods] == ["absent"]
    assert codes(review) == ["absent"]
