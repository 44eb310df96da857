"""A class of which a part could not be seen: what is told of the plan's rows around it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate import review_track
from annotate.review.model import Comparison, Review
from clips.session import Period
from pose.track import PoseTrack
from tests.annotate.test_pipeline import PLAN, TIMELINE, planned
from tests.film import HEIGHT_PX, WIDTH_PX, film
from tests.framed import LEGS

pytestmark = pytest.mark.slow

ROUND = "Squats, round 2"


def reviewed(performed: list[Period], start_s: float, end_s: float) -> Review:
    """The class of the pipeline's tests, its legs hidden from one time to another."""
    track, _ = film(tuple(performed), seed=11, yaw_deg=60)
    clip = replace(track.clip, width=WIDTH_PX, height=HEIGHT_PX)
    return review_track(_hidden(replace(track, clip=clip), start_s, end_s), PLAN)


def _hidden(track: PoseTrack, start_s: float, end_s: float) -> PoseTrack:
    sure = track.visibility.copy()
    within = (track.times_s >= start_s) & (track.times_s < end_s)
    sure[:, list(LEGS)] = np.where(within[:, None], 0.1, sure[:, list(LEGS)])
    return replace(track, visibility=sure)


def rows(review: Review) -> dict[str, Comparison]:
    return {c.planned.label if c.planned else "not planned": c for c in review.comparison}


def start_s(label: str) -> float:
    return next(p.start_s for p in TIMELINE.periods if p.label == label)


def test_a_round_that_was_not_seen_is_not_assessable_and_the_others_as_planned() -> None:
    at = start_s(ROUND)
    review = reviewed(planned(), at, at + 20)
    differing = {k: (c.status, c.text) for k, c in rows(review).items() if c.text}
    assert list(differing) == [ROUND]
    status, text = differing[ROUND]
    assert status == "partial"
    assert text.startswith("not assessable: legs hidden")
    sheet = next(r for r in review.sheet if r.name == "Squats, round 2 of 3")
    assert sheet.delivered_reps is None


def test_a_few_seconds_that_were_not_seen_leave_the_count_unsure() -> None:
    at = start_s(ROUND)
    row = rows(reviewed(planned(), at + 5, at + 8))[ROUND]
    assert (row.status, row.text) == (
        "partial", "legs hidden for 3 s: repetitions not assessable",
    )  # fmt: skip


@pytest.mark.parametrize("hidden_s", [(5.0, 12.0), (0.0, 9.0), (8.0, 20.0)])
def test_a_round_that_is_partly_hidden_is_not_called_short(
    hidden_s: tuple[float, float],
) -> None:
    at = start_s(ROUND)
    found = rows(reviewed(planned(), at + hidden_s[0], at + hidden_s[1]))
    assert "not planned" not in found
    assert found[ROUND].status == "partial"
    assert "not assessable" in found[ROUND].text
    assert "too short" not in found[ROUND].text
    assert [k for k, c in found.items() if c.text] == [ROUND]


def test_a_class_that_was_never_seen_is_not_left_out() -> None:
    review = reviewed(planned(), 0, 600)
    assert {c.status for c in review.comparison} == {"partial"}
    assert all("not assessable: legs hidden" in c.text for c in review.comparison)
    assert all(p.reps.count is None for p in review.periods)
