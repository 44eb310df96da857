"""Repetitions against the plan: by side, at another tempo, out of the picture."""

from __future__ import annotations

import pytest

from annotate.plan.unroll import Timeline
from tests.annotate.compare.rows import row
from tests.annotate.reviews import counted, planned

SQUATS = planned({"reps": 14})
LIFTS = planned({"movement": "knee-lift", "reps": {"left": 8, "right": 8}})
ONE_SIDED = planned({"movement": "reverse-lunge", "sides": "each", "reps": 8})


# --- sides ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("left", "right", "status", "words"),
    [
        (7, 9, "as planned", ""),
        (6, 8, "partial", "left side 2 repetitions fewer (6 instead of 8)"),
        (8, 5, "partial", "right side 3 repetitions fewer (5 instead of 8)"),
        (10, 8, "long", "left side 2 repetitions more (10 instead of 8)"),
        (
            6, 10, "partial",
            "left side 2 repetitions fewer (6 instead of 8); "
            "right side 2 repetitions more (10 instead of 8)",
        ),
    ],
)  # fmt: skip
def test_a_side_is_told_instead_of_the_total(
    left: int, right: int, status: str, words: str
) -> None:
    found = row(LIFTS, reps=counted(left + right, left, right))
    assert (found.status, found.text) == (status, words)


def test_each_side_is_held_against_what_was_asked_of_it() -> None:
    uneven = planned({"movement": "knee-lift", "reps": {"left": 10, "right": 6}})
    assert row(uneven).text == ""
    found = row(uneven, reps=counted(16, 6, 10))
    assert (found.left_diff, found.right_diff) == (-4, 4)
    assert found.text == (
        "left side 4 repetitions fewer (6 instead of 10); "
        "right side 4 repetitions more (10 instead of 6)"
    )


def test_the_total_is_told_where_each_side_is_within_the_tolerance() -> None:
    found = row(LIFTS, reps=counted(14, 7, 7))
    assert (found.status, found.text) == ("partial", "2 repetitions fewer (14 instead of 16)")


def test_the_total_is_told_where_the_sides_could_not_be() -> None:
    found = row(LIFTS, reps=counted(12))
    assert (found.status, found.text) == ("partial", "4 repetitions fewer (12 instead of 16)")


@pytest.mark.parametrize(("of", "side", "other"), [(0, (8, 0), (0, 8)), (1, (0, 8), (8, 0))])
def test_the_wrong_side_is_told(of: int, side: tuple[int, int], other: tuple[int, int]) -> None:
    assert row(ONE_SIDED, of=of, reps=counted(8, *side)).status == "as planned"
    found = row(ONE_SIDED, of=of, reps=counted(8, *other))
    done, asked = (("right", "left"), ("left", "right"))[of]
    assert ONE_SIDED.periods[of].side == asked
    assert found.status == "swapped"
    assert found.text == f"done on the {done} side instead of the {asked}"


@pytest.mark.parametrize("of", [0, 1])
@pytest.mark.parametrize("sides", [(None, None), (0, 0), (4, 4)])
def test_no_side_is_called_wrong_where_neither_has_more(
    of: int, sides: tuple[int | None, ...]
) -> None:
    assert row(ONE_SIDED, of=of, reps=counted(8, *sides)).status == "as planned"


@pytest.mark.parametrize(("of", "sides"), [(0, (None, 8)), (1, (8, None))])
def test_one_told_side_is_enough_to_be_the_wrong_one(
    of: int, sides: tuple[int | None, ...]
) -> None:
    assert row(ONE_SIDED, of=of, reps=counted(8, *sides)).status == "swapped"


def test_no_side_is_wrong_on_an_unsure_count_or_where_none_is_asked() -> None:
    assert row(ONE_SIDED, reps=counted(8, 0, 8, confidence=0.4)).status == "as planned"
    assert row(planned({"reps": 8}), reps=counted(8, 0, 8)).status == "as planned"


# --- tempo ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cadence", "tempo"),
    [
        (12.3, None), (12.4, "half"), (14.0, "half"), (15.6, "half"), (15.7, None),
        (28.0, None),
        (49.2, None), (49.3, "double"), (56.0, "double"), (62.7, "double"), (62.8, None),
    ],
)  # fmt: skip
def test_half_and_double_tempo_within_an_eighth_or_so(cadence: float, tempo: str | None) -> None:
    # 14 in 30 s are 28 a minute.
    assert row(SQUATS, reps=counted(14, cadence_per_min=cadence)).tempo == tempo


@pytest.mark.parametrize(("count", "cadence", "tempo"), [(7, 14, "half"), (28, 56, "double")])
def test_another_tempo_is_told_instead_of_missing_repetitions(
    count: int, cadence: int, tempo: str
) -> None:
    found = row(SQUATS, reps=counted(count, cadence_per_min=cadence))
    assert (found.status, found.text) == ("as planned", f"done at {tempo} tempo")
    assert (found.tempo, found.reps_diff) == (tempo, count - 14)


def test_another_tempo_is_told_instead_of_missing_repetitions_on_a_side() -> None:
    found = row(LIFTS, reps=counted(8, 4, 4, cadence_per_min=16))
    assert (found.text, found.left_diff) == ("done at half tempo", -4)


def test_a_planned_cadence_is_the_tempo_whatever_the_repetitions_would_give() -> None:
    plan = planned({"reps": 14, "cadence": 40})
    assert row(plan, reps=counted(14, cadence_per_min=20)).tempo == "half"
    assert row(plan, reps=counted(14, cadence_per_min=14)).tempo is None


def test_a_planned_cadence_needs_no_repetitions() -> None:
    plan = planned({"cadence": "28/min"})
    found = row(plan, reps=counted(7, cadence_per_min=14))
    assert (found.tempo, found.reps_diff, found.text) == ("half", None, "done at half tempo")


def test_the_tempo_is_the_measured_one_not_the_count_over_the_time() -> None:
    # Half the repetitions, then a pause: at the planned tempo.
    found = row(SQUATS, reps=counted(7, cadence_per_min=28))
    assert (found.tempo, found.status) == (None, "partial")
    assert found.text == "7 repetitions fewer (7 instead of 14)"


def test_a_set_broken_off_at_the_planned_tempo_is_at_no_other() -> None:
    found = row(SQUATS, lasts_s=15, reps=counted(7, cadence_per_min=28))
    assert (found.tempo, found.status, found.reps_diff) == (None, "short", -7)


@pytest.mark.parametrize("plan", [planned({}), planned({"reps": 0})])
def test_there_is_no_tempo_without_a_planned_one(plan: Timeline) -> None:
    assert row(plan, reps=counted(0, cadence_per_min=14)).tempo is None


def test_there_is_no_tempo_where_none_was_measured() -> None:
    assert row(SQUATS, reps=counted(7)).tempo is None


def test_no_tempo_is_told_of_an_unsure_count() -> None:
    found = row(SQUATS, reps=counted(7, cadence_per_min=14, confidence=0.4))
    assert (found.status, found.text) == ("as planned", "")


# --- out of the picture ---------------------------------------------------------------------------


def test_unseen_for_a_second_repetitions_are_not_assessable() -> None:
    found = row(SQUATS, reps=counted(9), unseen_s=0.99)
    assert (found.status, found.text) == ("partial", "5 repetitions fewer (9 instead of 14)")
    found = row(SQUATS, reps=counted(9), unseen_s=1.0)
    assert found.status == "partial"
    assert found.text == "nobody in the picture for 1 s: repetitions not assessable"


def test_unseen_is_not_as_planned_even_if_the_count_would_be() -> None:
    assert row(SQUATS, unseen_s=10).status == "partial"


def test_unseen_neither_tempo_nor_side_is_judged() -> None:
    found = row(SQUATS, reps=counted(7, cadence_per_min=14), unseen_s=4)
    assert found.text == "nobody in the picture for 4 s: repetitions not assessable"
    found = row(ONE_SIDED, reps=counted(8, 0, 8), unseen_s=4)
    assert found.status == "partial"


def test_unseen_and_too_short_is_short() -> None:
    found = row(SQUATS, lasts_s=20, reps=counted(2), unseen_s=4)
    assert found.status == "short"
    assert found.text == (
        "10 s too short (20 instead of 30 s); "
        "nobody in the picture for 4 s: repetitions not assessable"
    )
