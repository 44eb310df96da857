"""The catalogue is checked when it is loaded: what it names has to be there."""

from __future__ import annotations

import pytest

from annotate.catalogue.model import catalogue, read_catalogue
from annotate.counting.unknown import ARMS, CARRIERS, carried_by
from annotate.form.points import OTHER_POINTS, POINTS
from annotate.periods.evidence import STANDING_SWING
from pose.signals.names import SIGNALS

SQUAT = """
squat:
  name: Squat
  repetition: down and up again
  sides: alternating
  counts: [{{signal: {counts}, peak: low, size: 0.2, side: {{signal: {side}, left: high}}}}]
  depth: {depth}
  intensity: hard
  looks: {{{looks}: {{swing: [0.3, 1]}}}}
"""
KNOWN = {
    "counts": "hip_height",
    "side": "hip_shift",
    "depth": "knee_deg",
    "looks": "trunk_deg",
}


def test_signals_that_are_there_are_read() -> None:
    entry = read_catalogue(SQUAT.format(**KNOWN))["squat"]
    assert (entry.counts[0].signal, entry.depth, [*entry.looks]) == (
        "hip_height",
        "knee_deg",
        ["trunk_deg"],
    )


@pytest.mark.parametrize(
    ("where", "key", "word", "nearest"),
    [
        ("counts", "counts, signal", "hip_heigth", "hip_height"),
        ("side", "counts, side, signal", "hipshift", "hip_shift"),
        ("depth", "depth", "knees_deg", "knee_deg"),
        ("looks", "looks", "trunk", "trunk_deg"),
    ],
)
def test_a_misspelt_signal_is_refused_with_movement_key_word_and_nearest(
    where: str, key: str, word: str, nearest: str
) -> None:
    with pytest.raises(ValueError) as caught:
        read_catalogue(SQUAT.format(**KNOWN | {where: word}))
    assert str(caught.value) == (
        f'movement "squat", {key}: there is no signal "{word}"; did you mean {nearest}?'
    )


def test_a_word_like_no_signal_is_refused_without_a_guess() -> None:
    with pytest.raises(ValueError) as caught:
        read_catalogue(SQUAT.format(**KNOWN | {"depth": "zzz"}))
    assert str(caught.value) == (
        'movement "squat", depth: there is no signal "zzz"; all are in pose/signals/names.py'
    )


def test_carriers_of_unknown_movements_are_checked_alike() -> None:
    with pytest.raises(ValueError, match='movement "unknown", .*did you mean hip_height'):
        carried_by("hip_hight", "low", 0.1)
    assert {c.signal for entry in CARRIERS for c in entry.counts} >= ARMS


def test_every_point_that_the_catalogue_watches_is_looked_at() -> None:
    known = {*POINTS, *OTHER_POINTS}
    assert {word for m in catalogue().values() for word in m.watch} <= known


def test_standing_about_is_told_by_signals_that_are_there() -> None:
    assert {*STANDING_SWING} <= {*SIGNALS}
