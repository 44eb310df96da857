"""Half and double tempo: one rule, whoever asks."""

from __future__ import annotations

import pytest

from annotate.compare.compare import compare
from annotate.counting.tempo import tempo_of
from annotate.music.beat import Beat
from annotate.music.on_beat import _COUNTS, with_music
from annotate.periods.label import Delivery
from annotate.plan.model import Block, ClassPlan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.model import Period
from tests.annotate.reviews import period, reps, review


def planned(**asked: float) -> Timeline:
    block = Block.model_validate({"name": "Squat", "movement": "squat", "work": 30, **asked})
    return unroll(ClassPlan(blocks=(block,)))


def delivered(per_min: float, count: int = 12) -> Period:
    each_s = 60 / per_min
    return period(0, "work", 0.0, count * each_s, "squat", reps(0.0, count, each_s))


@pytest.mark.parametrize(
    ("per_min", "tempo"),
    [
        (30, None), (15, "half"), (60, "double"),
        # Asked for four counts; done in six, three: neither half nor double.
        (20, None), (40, None),
        # An eighth or so away from half, 15, and from double, 60.
        (13.1, None), (13.3, "half"), (16.7, "half"), (16.9, None),
        (52.7, None), (52.9, "double"), (67.1, "double"), (67.3, None),
        # 8 instead of 14 repetitions is nobody's half time.
        (30 * 8 / 14, None),
    ],
)  # fmt: skip
def test_half_and_double_within_an_eighth_or_so(per_min: float, tempo: str | None) -> None:
    assert tempo_of(planned(cadence=30).periods[0], delivered(per_min)) == tempo


def test_no_pace_that_counts_of_music_allow_lies_between() -> None:
    """Every pace in whole counts against every planned one: only half and double are told so."""
    for asked in _COUNTS:
        for done in _COUNTS:
            told = tempo_of(planned(cadence=120 / asked).periods[0], delivered(120 / done))
            assert told == {2.0: "half", 0.5: "double"}.get(done / asked)


def test_repetitions_asked_for_come_to_a_cadence() -> None:
    # 15 in 30 s are 30 a minute.
    assert tempo_of(planned(reps=15).periods[0], delivered(15)) == "half"
    # A cadence that is given counts more.
    assert tempo_of(planned(reps=15, cadence=60).periods[0], delivered(30)) == "half"


def test_what_is_not_known_is_neither() -> None:
    nothing = delivered(30).model_copy(update={"reps": reps(0.0, 0, 2.0)})
    nothing = nothing.model_copy(
        update={"reps": nothing.reps.model_copy(update={"cadence_per_min": None})}
    )
    assert tempo_of(planned(cadence=60).periods[0], nothing) is None
    assert tempo_of(planned().periods[0], delivered(15)) is None
    assert tempo_of(planned(reps=0).periods[0], delivered(15)) is None
    assert tempo_of(None, delivered(15)) is None


@pytest.mark.parametrize("per_min", [10 + 0.5 * k for k in range(120)])
def test_comparison_and_music_say_the_same(per_min: float) -> None:
    """Against music of 132 a minute, to which the planned 28 a minute do not fit."""
    timeline, done = planned(cadence=28), delivered(per_min)
    rows = compare(timeline, [Delivery(0, done)], [done])
    beat = Beat(0.0, 200.0, 132.0, 0.0, sure=True)
    filmed = review([done], plan=timeline, comparison=rows)
    (heard,) = with_music(filmed, [beat]).on_beat
    assert heard.tempo == rows[0].tempo
