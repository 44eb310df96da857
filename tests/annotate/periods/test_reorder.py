"""Exercises done in another order, seen as segments: each is found, nothing is invented."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.periods.reorder import align_in_any_order, exercises, out_of_order
from annotate.periods.run_costs import Judge
from annotate.plan.model import Block, ClassPlan
from annotate.plan.unroll import PlannedPeriod, unroll
from tests.annotate.periods.stretches import Done, deliver, no_reps
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
    judge: Judge[Done] = Judge(lambda period, one: float(one.what != period.movement), no_reps)
    pairs = align_in_any_order(doings, planned, judge)
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
