"""When a stretch gets a name, with the likeness to each movement told."""

from __future__ import annotations

import numpy as np
import pytest

from annotate.catalogue.model import Movement
from annotate.counting import recognise as module
from annotate.counting.recognise import MIN_LIKENESS, MIN_LIKENESS_OF_TWO, recognise
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests import stick

REP_S = 2.0


def squats(count: int) -> Signals:
    """So many squats, one after the other, hardly any standing around them."""
    seconds = count * REP_S + 0.2

    def stance(t: float) -> stick.Stance:
        inside = 0.1 < t < seconds - 0.1
        return stick.squatting(0.5 - 0.5 * float(np.cos(np.pi * (t - 0.1))) if inside else 0.0)

    return movement_signals(stick.track(seconds, stance))


def named(monkeypatch: pytest.MonkeyPatch, count: int, alike: float) -> str | None:
    """The name of so many squats that look like squats by so much, and like nothing else."""

    def told(seen: object, movement: Movement) -> float:
        return alike if movement.id == "squat" else 0.0

    monkeypatch.setattr(module, "likeness", told)
    signals = squats(count)
    return recognise(signals, 0.0, float(signals.times_s[-1])).movement


def test_a_rhythm_and_a_likeness_of_one_half_make_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    assert named(monkeypatch, 4, MIN_LIKENESS + 0.01) == "squat"
    assert named(monkeypatch, 4, MIN_LIKENESS - 0.01) is None


def test_two_repetitions_show_no_rhythm_and_have_to_look_surer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert named(monkeypatch, 2, MIN_LIKENESS_OF_TWO + 0.01) == "squat"
    assert named(monkeypatch, 2, MIN_LIKENESS_OF_TWO - 0.01) is None


def test_one_repetition_has_no_name(monkeypatch: pytest.MonkeyPatch) -> None:
    assert named(monkeypatch, 1, 1.0) is None
