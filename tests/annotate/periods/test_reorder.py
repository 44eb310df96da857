"""Exercises done in another order, seen as segments: each is found, nothing is invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from annotate.periods.costs import DEFAULT
from annotate.periods.reorder import align_with_reordering, exercises, out_of_order
from annotate.periods.run_costs import FitMeasures
from annotate.plan.model import Block, ClassPlan
from annotate.plan.unroll import PlannedPeriod, unroll
from tests.annotate.periods.stretches import (
    Done,
    aligned_in_any_order,
    deliver,
    dissimilarity,
    no_reps,
    plan,
)
from tests.annotate.reviews import block, station
from tests.known import known

LENGTHS_S = {"squat": 30.0, "jumping-jack": 20.0, "knee-lift": 40.0}


def exercise(movement: str, rounds: int = 2) -> Block:
    return block(
        name=movement, movement=movement, rounds=rounds, work=LENGTHS_S[movement], recovery=15,
        recovery_movement="march",
    )  # fmt: skip


PLAN = unroll(
    ClassPlan(
        blocks=(
            block(name="Warm-up", kind="warm-up", movement="step-touch", duration=60),
            exercise("squat"),
            exercise("jumping-jack"),
            exercise("knee-lift", 3),
            block(name="Cool-down", kind="cool-down", movement="reach", duration=60),
        )
    )
).periods
WARM_UP, SQUATS, JACKS, LIFTS, COOL_DOWN = exercises(PLAN)


def paired(planned: Sequence[PlannedPeriod], done: list[PlannedPeriod]) -> dict[int, list[int]]:
    """Planned index to the activities, after delivering these periods in this order."""
    doings = deliver([(known(p.movement), p.duration_s) for p in done])
    judge: FitMeasures[Done] = FitMeasures(
        lambda period, one: float(one.what != period.movement), no_reps
    )
    pairs = align_with_reordering(doings, planned, judge)
    assert sorted(p.planned for p in pairs if p.planned is not None) == list(range(len(planned)))
    assert [i for p in pairs for i in p.activities] == list(range(len(doings)))
    return {p.planned: list(p.activities) for p in pairs if p.planned is not None}


def in_place(planned: Sequence[PlannedPeriod], done: list[PlannedPeriod]) -> bool:
    """Whether each delivered period was paired with itself."""
    taken = paired(planned, done)
    return all(taken[p.index] == [i] for i, p in enumerate(done))


def test_two_exercises_exchanged_are_each_paired_with_themselves() -> None:
    done = [*WARM_UP, *JACKS, *SQUATS, *LIFTS, *COOL_DOWN]
    assert in_place(PLAN, done)
    assert out_of_order(done) == {p.index for p in JACKS}


def test_the_last_exercise_done_first_is_the_one_out_of_order() -> None:
    done = [*WARM_UP, *LIFTS, *SQUATS, *JACKS, *COOL_DOWN]
    assert in_place(PLAN, done)
    # Eight periods of two exercises against six of one: the fewer have moved.
    assert out_of_order(done) == {p.index for p in LIFTS}


def test_a_round_left_out_of_a_moved_exercise_is_still_left_out() -> None:
    taken = paired(PLAN, [*WARM_UP, *JACKS, *SQUATS[2:], *LIFTS, *COOL_DOWN])
    missing = [k for k, activities in taken.items() if not activities]
    assert len(missing) == 2
    assert set(missing) < {p.index for p in SQUATS}


def test_as_planned_nothing_is_out_of_order() -> None:
    assert in_place(PLAN, list(PLAN))
    assert out_of_order(PLAN) == frozenset()
    assert out_of_order([]) == frozenset()


def test_one_round_of_another_movement_does_not_move_an_exercise() -> None:
    done = list(PLAN)
    jack = next(p for p in JACKS if p.kind == "work")
    done[SQUATS[0].index] = jack.model_copy(update={"duration_s": 30.0})
    taken = paired(PLAN, done)
    assert all(activities == [i] for i, activities in taken.items())


def test_stations_exchanged_in_one_round_of_a_circuit_stay_in_their_round() -> None:
    circuit = block(
        name="Circuit", rounds=2, recovery_movement="march",
        stations=tuple(station(movement=m, work=s, recovery=10) for m, s in LENGTHS_S.items()),
    )  # fmt: skip
    planned = unroll(ClassPlan(blocks=(circuit,))).periods
    stations = exercises(planned)
    done = [p for i in (0, 1, 2, 4, 3, 5) for p in stations[i]]
    assert in_place(planned, done)
    assert out_of_order(done) == {p.index for p in stations[4]}


# --- small examples, an exercise each ----------------------------------------------------------

A, B, C, D = ("squat", 30), ("press", 30), ("jumping-jack", 30), ("plank", 30)
FOUR = plan(A, B, C, D)


@pytest.mark.parametrize(
    "done",
    [
        # One exercise moved, by any number of places, to either side; two exchanged.
        [B, A, C, D], [B, C, A, D], [B, C, D, A], [D, A, B, C], [A, D, B, C], [A, B, D, C],
        [A, C, D, B], [C, A, B, D], [D, B, C, A], [C, B, A, D], [A, D, C, B],
        # Two moved.
        [B, A, D, C], [C, D, A, B],
    ],
)  # fmt: skip
def test_an_exercise_is_found_wherever_it_went(done: list[tuple[str, float]]) -> None:
    told = aligned_in_any_order(FOUR, done)
    assert told == ", ".join(f"{movement} {i}" for i, (movement, _) in enumerate(done))


def test_what_is_gained_must_reach_the_least_gain() -> None:
    # In binary fractions, so that the sums are exact: 4 x 2 x 0.75 are gained.
    exact = replace(DEFAULT, movement_cost=4.0, skip_cost=8.0, clock_cost_per_s=0.5)
    planned = plan(("squat", 32), ("press", 32))
    done = [("odd press 0 squat 0.75", 32), ("odd squat 0 press 0.75", 32)]
    gain = replace(exact, min_move_gain=6.0)
    assert aligned_in_any_order(planned, done, gain) == "press 0, squat 1"
    more = replace(exact, min_move_gain=6.0 + 2**-20)
    assert aligned_in_any_order(planned, done, more) == "squat 0, press 1"


def test_work_just_as_unlike_as_the_limit_is_still_in_its_place() -> None:
    done = [("odd press 0 squat 0.5", 30), ("odd squat 0 press 0.5", 45)]
    assert aligned_in_any_order(plan(A, B), done) == "squat 0, press 1"
    closer = replace(DEFAULT, max_in_place_dissimilarity=0.49)
    assert aligned_in_any_order(plan(A, B), done, closer) == "press 0, squat 1"
    # The same limit says what may be the exercise that is missed.
    done = [("odd press 0.5 squat 1", 30), ("odd squat 0.5 press 1", 30)]
    assert aligned_in_any_order(plan(A, B), done) == "press 0, squat 1"


def test_costs_count_in_every_order() -> None:
    # The squats in two halves are one set where two may be taken for one.
    halves = [B, ("squat", 15), ("squat", 15)]
    assert aligned_in_any_order(plan(A, B), halves) == "press 0, squat 1+2"
    one = replace(DEFAULT, max_merged=1)
    assert aligned_in_any_order(plan(A, B), halves, one) == "press 0, squat 1, +2"
    in_order = [("squat", 15), ("squat", 15), B]
    assert aligned_in_any_order(plan(A, B), in_order) == "squat 0+1, press 2"
    assert aligned_in_any_order(plan(A, B), in_order, one) == "squat 0, +1, press 2"


def test_the_longest_piece_says_what_was_done_in_a_place() -> None:
    # Squats and a little of something else in place of the press, and the other way round.
    press, squat = ("press 0 squat 0.6", 27), ("squat 0 press 0.6", 27)
    done = [("odd", 2), press, squat, ("odd", 2)]
    assert aligned_in_any_order(plan(A, B), done) == "press 0+1, squat 2+3"


def test_standing_about_is_no_exercise_that_moved() -> None:
    # A held position looks like standing.
    done, eager = [B, C, ("drink plank 0", 30)], replace(DEFAULT, min_move_gain=1.0)
    assert (
        aligned_in_any_order(plan(D, B, C), done, eager) == "plank -, press 0, jumping-jack 1, +2"
    )
    done[2] = D
    assert aligned_in_any_order(plan(D, B, C), done, eager) == "press 0, jumping-jack 1, plank 2"


def test_a_movement_and_an_activity_are_compared_once() -> None:
    compared = []

    def comparing(planned: PlannedPeriod, one: Done) -> float:
        compared.append((planned.kind, planned.movement, one.start_s))
        return dissimilarity(planned, one)

    align_with_reordering(deliver([B, C, A, D]), FOUR, FitMeasures(comparing, no_reps))
    assert len(compared) == len(set(compared)) == 16


def test_of_an_exercise_in_parts_the_parts_in_order_stay() -> None:
    three = plan(("squat", 30), ("squat", 30), ("press", 30), ("jumping-jack", 30))
    first, second, press, jack = (
        p.model_copy(update={"block": block, "block_index": i})
        for p, (block, i) in zip(three, (("A", 0), ("A", 0), ("B", 1), ("C", 2)), strict=True)
    )
    assert out_of_order([first, press, second, jack]) == {press.index}
    assert out_of_order([press, first, second, jack]) == {press.index}
    assert out_of_order([jack, press, first]) == {jack.index, press.index}
    last = [p.model_copy(update={"index": i}) for p, i in ((first, 0), (second, 3))]
    after = [p.model_copy(update={"index": i}) for p, i in ((first, 1), (second, 2))]
    between = press.model_copy(update={"index": 4})
    assert out_of_order([*last, between, *after]) == {1, 2}
    assert out_of_order([*after, between, *last]) == {0, 3}
