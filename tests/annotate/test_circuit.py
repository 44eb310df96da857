"""Circuits, sides one after the other, pyramids and breaks: told apart as the plan writes them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from annotate import review_track
from annotate.plan.model import ClassPlan
from annotate.plan.read import parse_plan
from annotate.plan.unroll import Timeline, unroll
from clips.session import Period
from tests.film import film

pytestmark = pytest.mark.slow

CIRCUIT = """
title: Quay circuit
blocks:
  - name: Circuit
    rounds: 2
    stations:
      - {movement: squat, work: 20, recovery: 10, reps: 10}
      - {movement: jumping-jack, work: 20, recovery: 10}
      - {movement: hamstring-curl, work: 20, recovery: 10}
    recovery_movement: march
    round_recovery: 20
"""
PYRAMID = """
title: Quay pyramid
blocks:
  - {name: Squats, movement: squat, rounds: 3, work: [15, 25, 15], recovery: 12,
     recovery_movement: step-touch, reps: [7, 12, 7]}
  - {name: Water, kind: break, duration: 20}
  - {name: Lifts, movement: knee-lift, sides: each, work: 15, recovery: 12,
     recovery_movement: march, reps: {left: 9, right: 9}}
"""


def performed(timeline: Timeline) -> list[Period]:
    out = []
    for p in timeline.periods:
        if p.kind == "break":
            out.append(Period("still", "stand", p.duration_s))
            continue
        movement = p.movement or "march"
        sides = (p.side,) * (p.reps or 0) if p.side else ()
        out.append(Period(p.kind, movement, p.duration_s, reps=p.reps, sides=sides))
    return out


def findings(plan: ClassPlan, periods: list[Period]) -> dict[str, str]:
    track, _ = film(tuple(periods), seed=2, yaw_deg=50)
    return {
        (c.planned.label if c.planned else "not planned"): c.status
        for c in review_track(track, plan).comparison
        if c.status != "as planned"
    }


@pytest.fixture(scope="module")
def circuit() -> ClassPlan:
    return parse_plan(CIRCUIT, "circuit.yaml")


@pytest.fixture(scope="module")
def pyramid() -> ClassPlan:
    return parse_plan(PYRAMID, "pyramid.yaml")


def test_a_circuit_as_planned_has_no_findings(circuit: ClassPlan) -> None:
    assert findings(circuit, performed(unroll(circuit))) == {}


def test_a_skipped_station_is_skipped_in_its_own_round(circuit: ClassPlan) -> None:
    periods = performed(unroll(circuit))
    jacks = [i for i, p in enumerate(periods) if p.movement == "jumping-jack"]
    del periods[jacks[1] : jacks[1] + 2]
    found = findings(circuit, periods)
    assert set(found.values()) == {"skipped"}
    assert set(found) == {
        "Circuit: jumping-jack, round 2",
        "Circuit: jumping-jack, round 2, recovery",
    }


def test_a_round_in_another_order_is_not_as_planned(circuit: ClassPlan) -> None:
    periods = performed(unroll(circuit))
    work = [i for i, p in enumerate(periods) if p.kind == "work"]
    a, b = work[3], work[4]
    periods[a], periods[b] = periods[b], periods[a]
    found = findings(circuit, periods)
    places = {name for name in found if "round 2" in name or name == "not planned"}
    assert places == set(found)
    assert any("squat" in name or "jumping-jack" in name for name in found)


def test_a_pyramid_with_a_break_and_sides_in_turn_is_as_planned(pyramid: ClassPlan) -> None:
    assert findings(pyramid, performed(unroll(pyramid))) == {}


def test_a_short_top_of_the_pyramid_is_told(pyramid: ClassPlan) -> None:
    periods = performed(unroll(pyramid))
    periods[2] = replace(periods[2], duration_s=17, reps=8)
    assert findings(pyramid, periods) == {"Squats, round 2": "short"}


def test_a_break_left_out_is_skipped(pyramid: ClassPlan) -> None:
    timeline = unroll(pyramid)
    periods = [p for p in performed(timeline) if p.kind != "still"]
    assert findings(pyramid, periods) == {"Water, break": "skipped"}


def test_the_wrong_side_first_is_told(pyramid: ClassPlan) -> None:
    timeline = unroll(pyramid)
    periods = performed(timeline)
    sided = [i for i, p in enumerate(periods) if p.sides]
    for i in sided:
        other = "right" if periods[i].sides[0] == "left" else "left"
        periods[i] = replace(periods[i], sides=(other,) * len(periods[i].sides))
    found = findings(pyramid, periods)
    assert set(found.values()) == {"swapped"}
    assert len(found) == len(sided)
