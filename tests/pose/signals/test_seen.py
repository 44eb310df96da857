"""The parts of the body on the grid of the signals, and legs that the own trunk hides."""

from __future__ import annotations

import numpy as np
import pytest

from pose.body.parts import Part, State, States
from pose.signals.compute import movement_signals
from pose.signals.seen import without_own_body
from tests.framed import LEGS, framed, hidden
from tests.stick import Stance, track

HIDDEN_LEGS: dict[Part, States] = {
    "arms": np.array([State.SEEN], dtype=np.int8),
    "legs": np.array([State.HIDDEN], dtype=np.int8),
    "feet": np.array([State.HIDDEN], dtype=np.int8),
}


def legs(*, wrist_floor: float, trunk_deg: float, yaw_deg: float, arms: int = State.SEEN) -> State:
    values = {"wrist_floor": np.array([wrist_floor]), "trunk_deg": np.array([trunk_deg])}
    yaw = np.radians(yaw_deg)
    axis = np.array([[np.cos(yaw), -np.sin(yaw)]])
    parts: dict[Part, States] = {**HIDDEN_LEGS, "arms": np.array([arms], dtype=np.int8)}
    found = without_own_body(parts, values, axis)
    assert found["legs"].tolist() == found["feet"].tolist()
    return State(int(found["legs"][0]))


@pytest.mark.parametrize("yaw_deg", [0, 30, 180])
def test_on_the_hands_head_on_the_own_trunk_hides_the_legs(yaw_deg: int) -> None:
    assert legs(wrist_floor=-0.5, trunk_deg=80, yaw_deg=yaw_deg) == State.UNSURE


@pytest.mark.parametrize(
    "other",
    [
        {"wrist_floor": 1.5},  # hands above a table
        {"trunk_deg": 15.0},  # upright
        {"yaw_deg": 90.0},  # from the side the legs lie beside the trunk
        {"arms": State.HIDDEN},
    ],
)
def test_otherwise_something_else_hides_them(other: dict[str, float]) -> None:
    head_on = {"wrist_floor": -0.5, "trunk_deg": 80.0, "yaw_deg": 0.0}
    assert legs(**{**head_on, **other}) == State.HIDDEN  # type: ignore[arg-type]


def test_the_grid_takes_the_nearest_sample() -> None:
    standing = track(4, lambda t: Stance())
    signals = movement_signals(hidden(framed(standing), LEGS, until_s=2.0))
    missing = signals.parts["legs"] == State.HIDDEN
    assert missing[: signals.index(1.9)].all()
    assert not missing[signals.index(2.0) :].any()
    assert movement_signals(standing).parts == {}
