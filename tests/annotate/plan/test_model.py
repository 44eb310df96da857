"""Durations as people write them."""

from __future__ import annotations

import pytest

from annotate.plan.model import seconds


@pytest.mark.parametrize(
    ("written", "meant"),
    [(30, 30), ("30", 30), ("30 s", 30), ("4:00", 240), ("1:02:03", 3723), (0.5, 0.5)],
)
def test_durations_read_as_written(written: object, meant: float) -> None:
    assert seconds(written) == meant


@pytest.mark.parametrize("written", [0, -1, "banana", "4:75", True, None, "7:00:00", "1e3"])
def test_nonsense_is_no_duration(written: object) -> None:
    with pytest.raises(ValueError, match="should be"):
        seconds(written)
