"""Every departure from the plan, seen as segments, finds its place."""

from __future__ import annotations

from annotate.periods.align import align
from annotate.periods.run_costs import Judge
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import PlannedPeriod, unroll
from tests.annotate.periods.stretches import Done, deliver, no_reps
from tests.annotate.reviews import block
from tests.known import known

PLAN = unroll(
    ClassPlan(
        blocks=(
            block(name="Warm-up", kind="warm-up", movement="march", duration=60),
            block(name="A", movement="squat", rounds=3, work=30, recovery=20,
                  recovery_movement="march"),
            block(name="B", movement="jumping-jack", rounds=2, work=30, recovery=20,
                  recovery_movement="step-touch"),
        )
    )
).periods  # fmt: skip


def as_planned() -> list[tuple[str, float]]:
    return [(known(p.movement), p.duration_s) for p in PLAN]


def pair(doings: list[tuple[str, float]]) -> tuple[dict[int, list[int]], list[int]]:
    done = deliver(doings)
    judge: Judge[Done] = Judge(lambda planned, one: float(one.what != planned.movement), no_reps)
    pairs = align(done, PLAN, judge).pairings
    assert sorted(p.planned for p in pairs if p.planned is not None) == list(range(len(PLAN)))
    assert [i for p in pairs for i in p.activities] == list(range(len(done)))
    taken = {p.planned: list(p.activities) for p in pairs if p.planned is not None}
    return taken, [p.first for p in pairs if p.planned is None]


def test_a_class_as_planned_pairs_one_to_one() -> None:
    taken, added = pair(as_planned())
    assert taken == {i: [i] for i in range(len(PLAN))}
    assert added == []


def test_a_skipped_round_is_skipped_with_its_recovery() -> None:
    doings = as_planned()
    del doings[3:5]  # one squat round of three
    taken, added = pair(doings)
    skipped = [i for i, segments in taken.items() if not segments]
    assert len(skipped) == 2 and added == []
    assert {PLAN[i].kind for i in skipped} == {"work", "recovery"}
    assert {PLAN[i].block for i in skipped} == {"A"}


def test_an_extra_round_is_added() -> None:
    doings = as_planned()
    doings[7:7] = [("squat", 30), ("march", 20)]
    taken, added = pair(doings)
    assert all(taken.values()) and len(added) == 2


def test_a_skipped_round_and_an_extra_round_are_not_taken_for_an_exchange() -> None:
    doings = as_planned()
    del doings[7:9]  # a jack round
    doings[7:7] = [("squat", 30), ("march", 20)]  # a squat round too many instead
    taken, added = pair(doings)
    assert sum(not s for s in taken.values()) == 2 and len(added) == 2


def test_a_water_break_is_added_and_nothing_else_moves() -> None:
    doings = as_planned()
    doings.insert(4, ("drink", 25))
    taken, added = pair(doings)
    assert added == [4]
    assert all(len(s) == 1 for s in taken.values())


def test_a_period_cut_in_two_by_a_pause_is_put_together_again() -> None:
    doings = as_planned()
    doings[3:4] = [("squat", 12), ("squat", 17)]
    taken, _ = pair(doings)
    assert taken[3] == [3, 4]


def test_another_movement_in_the_right_place_is_still_that_place() -> None:
    doings = as_planned()
    doings[3] = ("lunge", 30)
    taken, added = pair(doings)
    assert taken[3] == [3] and added == []


def test_a_class_cut_off_leaves_the_rest_undone() -> None:
    taken, _ = pair(as_planned()[:6])
    assert [i for i, s in taken.items() if not s] == list(range(6, len(PLAN)))


def test_nobody_in_the_picture_is_never_taken_for_a_planned_period() -> None:
    doings = as_planned()
    doings[5] = ("nobody", 30)
    taken, added = pair(doings)
    assert taken[5] == [] and added == [5]


def test_rounds_that_differ_only_in_repetitions_are_told_apart_by_them() -> None:
    planned = unroll(
        ClassPlan(blocks=(block(name="A", movement="squat", rounds=3, work=30, reps=[10, 14, 10]),))
    ).periods
    segments = deliver([("squat", 30), ("squat", 30)])
    done = {0.0: 14, 30.0: 10}

    def missed(period: PlannedPeriod, start_s: float, end_s: float) -> float:
        return abs(done[start_s] - known(period.reps)) / known(period.reps)

    pairs = align(segments, planned, Judge(lambda period, one: 0.0, missed)).pairings
    assert [list(p.activities) for p in pairs] == [[], [0], [1]]


def test_no_segments_at_all_skip_everything() -> None:
    taken, added = pair([])
    assert not any(taken.values()) and added == []
