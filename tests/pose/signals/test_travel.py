"""Ways to the side are the person's own from every direction."""

from __future__ import annotations

import pytest

from pose.signals.names import SIGNALS
from tests.pose.signals.moved import JOINTS, LEFT, RIGHT, Move, both, change, every

CLEAR = SIGNALS["travel"].clear


@pytest.mark.parametrize("yaw_deg", [0.0, 60.0, -60.0, 135.0, 180.0])
@pytest.mark.parametrize(("by", "sign"), [(LEFT, 1), (RIGHT, -1)])
def test_a_step_to_the_left_shows_across_the_picture(yaw_deg: float, by: Move, sign: int) -> None:
    everything = every(both(*JOINTS), by)
    assert sign * change("travel", everything, yaw_deg) > CLEAR
    assert sign * change("place", everything, yaw_deg) > CLEAR


@pytest.mark.parametrize(("yaw_deg", "sign"), [(90.0, 1), (-90.0, -1), (80.0, 1)])
def test_from_the_side_a_step_to_the_left_comes_nearer_or_goes_away(
    yaw_deg: float, sign: int
) -> None:
    # The camera at 90 degrees is on the person's left.
    assert sign * change("travel", {}, yaw_deg, closer=1.1) > CLEAR
    assert sign * change("place", {}, yaw_deg, closer=1.1) > CLEAR
    assert sign * change("travel", {}, yaw_deg, closer=0.9) < -CLEAR
