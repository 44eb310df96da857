"""A review is read as it was written, also one that an earlier version wrote."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from annotate.errors import ExportError
from annotate.periods.reorder import exercises
from annotate.plan.read import parse_plan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.model import Comparison, Review
from annotate.review.read import read_review
from tests.annotate.reviews import as_planned, period, review

PLAN = unroll(
    parse_plan(
        """\
title: Quay
blocks:
  - {name: "Legs: heavy", movement: squat, rounds: 2, work: 30, recovery: 20}
  - name: "Circuit: quay"
    rounds: 2
    round_recovery: 60
    stations:
      - {movement: push-up, work: 20}
      - {name: Arms, movement: punch, work: 20, recovery: 10, recovery_movement: march}
""",
        "quay.yaml",
    )
)


def written(found: Review, folder: Path) -> Path:
    path = folder / "review.json"
    path.write_text(found.to_json(), encoding="utf-8")
    return path


def earlier(found: Review) -> dict[str, Any]:
    """The values as they were written before stations and labels had fields of their own."""
    values: dict[str, Any] = json.loads(found.to_json())
    planned = [*values["plan"]["periods"], *(r["planned"] for r in values["comparison"])]
    for p in filter(None, planned):
        for key in ("label", "label_in_block", "short_label"):
            del p[key]
        station = p.pop("station")
        if station:
            p["block"] = f"{p['block']}: {station}"
    for p in values["periods"]:
        del p["label"]
    return values


def with_one_added(timeline: Timeline) -> Review:
    """The plan as delivered, and one period more."""
    whole = as_planned(timeline)
    extra = period(len(whole.periods), "work", 900, 920, "side-lunge")
    row = Comparison(planned=None, delivered=extra.index, status="added", text="not in the plan")
    return review([*whole.periods, extra], plan=timeline, comparison=[*whole.comparison, row])


def test_a_review_comes_back_as_it_was_written(tmp_path: Path) -> None:
    path = written(with_one_added(PLAN), tmp_path)
    found = read_review(path)
    assert found.plan == PLAN
    assert [p.label for p in found.periods] == [*(p.label for p in PLAN.periods), "Side lunge"]
    assert written(found, tmp_path).read_text() == found.to_json()
    assert read_review(path) == found


def test_labels_stand_in_the_json() -> None:
    values = json.loads(as_planned(PLAN).to_json())
    assert [p["label"] for p in values["plan"]["periods"]] == [p.label for p in PLAN.periods]
    (first, *_) = (r["planned"] for r in values["comparison"] if r["planned"]["station"])
    assert (first["block"], first["station"], first["label"]) == (
        "Circuit: quay", "push-up", "Circuit: quay: push-up, round 1",
    )  # fmt: skip
    assert (first["label_in_block"], first["short_label"]) == ("push-up, round 1", "push-up 1")


def test_an_earlier_review_is_read_with_its_blocks_and_stations(tmp_path: Path) -> None:
    now = with_one_added(PLAN)
    values = earlier(now)
    blocks = [p["block"] for p in values["plan"]["periods"]]
    assert blocks[0] == "Legs: heavy" and blocks[4] == "Circuit: quay: push-up"
    path = tmp_path / "review.json"
    path.write_text(json.dumps(values), encoding="utf-8")
    assert read_review(path) == read_review(written(now, tmp_path))
    # What is aligned again after a correction is cut into the same exercises.
    read = read_review(path)
    assert read.plan is not None and exercises(read.plan.periods) == exercises(PLAN.periods)


def test_an_earlier_circuit_of_one_station_keeps_its_label(tmp_path: Path) -> None:
    """Nothing tells then where the block's name ends; what is shown stays the same."""
    values = earlier(as_planned(PLAN))
    values["plan"]["periods"] = values["plan"]["periods"][4:5]
    values["comparison"] = values["comparison"][4:5]
    path = tmp_path / "review.json"
    path.write_text(json.dumps(values), encoding="utf-8")
    read = read_review(path)
    assert read.plan is not None
    (asked,) = read.plan.periods
    assert asked.label == "Circuit: quay: push-up, round 1" and asked.station is None


def test_an_earlier_review_without_a_plan_is_read(tmp_path: Path) -> None:
    values = json.loads(review([period(0, "work", 0, 9, "squat")]).to_json())
    del values["periods"][0]["label"]
    path = tmp_path / "review.json"
    path.write_text(json.dumps(values), encoding="utf-8")
    assert [p.label for p in read_review(path).periods] == ["Squat"]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("plan", "none"), ("plan", {"periods": [3]}), ("plan", {"periods": [{}]}),
        ("comparison", 3), ("comparison", [3]), ("comparison", [{"planned": {"block": 3}}]),
        ("comparison", None),
    ],
)  # fmt: skip
def test_what_is_no_review_is_refused_in_one_line(tmp_path: Path, key: str, value: object) -> None:
    values = earlier(as_planned(PLAN))
    values[key] = value
    path = tmp_path / "review.json"
    path.write_text(json.dumps(values), encoding="utf-8")
    with pytest.raises(ExportError, match="not a review of this version") as caught:
        read_review(path)
    assert "\n" not in str(caught.value)
