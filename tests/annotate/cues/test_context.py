"""What a cue may ask of a review: what was going on, what came next, what is surely known."""

from __future__ import annotations

import pytest

from annotate.cues.context import Take
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import BackNotAssessable, Period, Rep, RepSet
from tests.annotate.reviews import as_planned, block, period, reps, review, station
from tests.known import known


def confident(of: Period, sure: float) -> Period:
    return of.model_copy(update={"confidence": sure})


def sided(start_s: float, sides: str, each_s: float = 2.0, confidence: float = 1.0) -> RepSet:
    """Repetitions by their side: "llr" is left, left, right; "b" both."""
    counted = reps(start_s, len(sides), each_s)
    names = {"l": "left", "r": "right", "b": "both"}
    each = tuple(
        r.model_copy(update={"side": names[s]}) for r, s in zip(counted.each, sides, strict=True)
    )
    return counted.model_copy(update={"each": each, "confidence": confidence})


THREE = Take(
    review(
        [
            period(0, "warm-up", 2, 20, "march"),
            period(1, "work", 20, 50, "squat"),
            period(2, "recovery", 50, 62, "step-touch"),
        ]
    )
)


# --- where in the class ------------------------------------------------------------------------


def test_the_period_under_way_begins_with_its_first_moment_and_ends_before_the_next() -> None:
    assert [p and p.index for p in map(THREE.at, (1.9, 2, 19.9, 20, 49.9, 50, 61.9, 62))] == [
        None, 0, 0, 1, 1, 2, 2, None,
    ]  # fmt: skip


def test_the_period_that_follows_begins_where_this_one_ends() -> None:
    first, second, third = THREE.periods
    assert (THREE.after(first), THREE.after(second), THREE.after(third)) == (second, third, None)


@pytest.mark.parametrize(("start_s", "found"), [(19.99, True), (19.9915, True), (19.9885, False)])
def test_rounding_of_times_hides_no_following_period(start_s: float, found: bool) -> None:
    first = period(0, "work", 2, 20, "squat")
    take = Take(review([first, period(1, "recovery", start_s, 50, "march")]))
    assert (take.after(first) is not None) is found


@pytest.mark.parametrize(
    ("time_s", "index"), [(19, 1), (20.9, 1), (21.0, 2), (21.1, 2), (50.9, 2), (51, None)]
)
def test_a_start_within_the_last_second_is_still_the_next_one(
    time_s: float, index: int | None
) -> None:
    found = THREE.next_start(time_s)
    assert (found and found.index) == index


def test_the_next_work_begins_later_and_is_work() -> None:
    assert known(THREE.next_work(2)).index == 1
    assert known(THREE.next_work(19.9)).index == 1
    assert THREE.next_work(20) is None


def test_the_period_that_begins_closest_within_so_many_seconds() -> None:
    near = [THREE.starting_near(t, 2.5) for t in (17.4, 17.5, 22.5, 22.6)]
    assert [p and p.index for p in near] == [None, 1, 1, None]
    assert known(THREE.starting_near(30, 20)).index == 1
    assert known(THREE.starting_near(40, 20)).index == 2
    assert known(THREE.starting_near(12, 40)).index == 1


def test_the_nearest_change_counts_the_first_start_and_the_last_end_but_is_not_sure_of_them() -> (
    None
):
    changes = [known(THREE.nearest_change(t)) for t in (0, 12, 34, 36, 57, 99)]
    assert [(c.at_s, c.sure) for c in changes] == [
        (2, False), (20, True), (20, True), (50, True), (62, False), (62, False),
    ]  # fmt: skip
    assert Take(review([period(0, "work", 3, 9, "squat")])).changes == ((3, False), (9, False))


@pytest.mark.parametrize(
    ("before", "after", "sure"), [(0.5, 0.5, True), (0.49, 1, False), (1, 0.49, False)]
)
def test_a_change_and_an_end_are_sure_where_both_periods_are(
    before: float, after: float, sure: bool
) -> None:
    first = confident(period(0, "work", 0, 20, "squat"), before)
    second = confident(period(1, "recovery", 20, 40, "march"), after)
    take = Take(review([first, second]))
    assert known(take.nearest_change(20)).sure is sure
    assert take.sure_end(first) is sure
    assert take.sure_end(second) is False


def test_nobody_seen_has_no_changes() -> None:
    empty = THREE.review.model_copy(update={"periods": ()})
    assert Take(empty).changes == ()
    assert Take(empty).nearest_change(3) is None


# --- the plan ----------------------------------------------------------------------------------

TIMELINE = unroll(
    ClassPlan(
        blocks=(
            block(name="Warm-up", kind="warm-up", movement="march", duration=20),
            block(name="Squats", movement="squat", rounds=2, work=20, recovery=10,
                  recovery_movement="march"),
            block(name="Circuit", rounds=2, recovery_movement="march", stations=(
                station(movement="press", work=20, recovery=10),
                station(movement="plank", work=20, recovery=10),
            )),
            block(name="Cool-down", kind="cool-down", movement="reach", duration=30),
        )
    )
)  # fmt: skip
DELIVERED = as_planned(TIMELINE)
SQUAT_ROWS, CIRCUIT_ROWS = range(1, 5), range(5, 13)


def with_row(index: int, **update: object) -> Take:
    rows = list(DELIVERED.comparison)
    rows[index] = rows[index].model_copy(update=update)
    return Take(DELIVERED.model_copy(update={"comparison": tuple(rows)}))


def test_what_a_period_was_planned_as() -> None:
    take = Take(DELIVERED)
    assert [take.planned(p) for p in take.periods] == list(TIMELINE.periods)
    assert with_row(2, delivered=None).planned(DELIVERED.periods[2]) is None
    assert THREE.planned(THREE.periods[0]) is None


def test_the_movement_of_what_was_added_is_not_sure() -> None:
    added = with_row(3, planned=None, status="added")
    assert [added.sure_movement(p) for p in DELIVERED.periods[2:4]] == [True, False]
    assert with_row(3, delivered=None, status="skipped").sure_movement(DELIVERED.periods[3])


def test_a_block_is_whole_where_each_round_was_done_and_nothing_added() -> None:
    squats = TIMELINE.periods[1]
    assert Take(DELIVERED).whole_block(squats)
    for i in SQUAT_ROWS:
        assert not with_row(i, delivered=None).whole_block(squats)
    for i in SQUAT_ROWS[1:-1]:
        assert not with_row(i, planned=None).whole_block(squats)
    # What was left out or added elsewhere says nothing of this block.
    for i in (0, 5):
        assert with_row(i, delivered=None).whole_block(squats)
        assert with_row(i, planned=None).whole_block(squats)


def test_halfway_may_be_about_the_block_the_round_of_stations_or_the_class() -> None:
    late = as_planned(TIMELINE, late_s=5.0)
    take = Take(late)
    whole = (5.0, TIMELINE.total_s + 5.0)
    squats, press = late.periods[1], late.periods[9]
    assert list(take.wider_spans(squats)) == [(25.0, 85.0), whole]
    assert list(take.wider_spans(press)) == [(85.0, 205.0), (145.0, 205.0), whole]
    assert list(take.wider_spans(late.periods[0])) == [(5.0, 25.0), whole]
    assert list(THREE.wider_spans(THREE.periods[1])) == [(2, 62)]


def test_what_was_left_out_or_added_is_no_part_of_a_wider_span() -> None:
    squats = DELIVERED.periods[2]
    assert next(with_row(1, delivered=None).wider_spans(squats)) == (40.0, 80.0)
    assert next(with_row(4, planned=None).wider_spans(squats)) == (20.0, 70.0)
    press, plank = DELIVERED.periods[9], 11
    # Of a round of two stations one was left out: it is no round.
    assert len(list(with_row(plank, delivered=None).wider_spans(press))) == 2


# --- repetitions -------------------------------------------------------------------------------


def counted(found: RepSet, movement: str | None = "squat") -> tuple[Take, Period]:
    one = period(0, "work", 0, 30, movement, found)
    return Take(review([one])), one


def test_only_alternating_repetitions_may_be_counted_in_pairs() -> None:
    take, march = counted(reps(0, 5, 2), "march")
    assert take.units(march) == (1, 2)
    for movement in ("squat", "harbour-hop", None):
        assert take.units(counted(reps(0, 5, 2), movement)[1]) == (1,)
    assert take.units(None) == (1,)


def test_the_length_of_a_repetition_is_the_middle_distance_of_the_complete_ones() -> None:
    peaks = (1.0, 3.0, 5.0, 9.0, 9.5)
    each = tuple(
        Rep(start_s=p - 1, peak_s=p, end_s=p + 1, complete=p < 9.5, side="both",
            back=BackNotAssessable(reason="not a bent-over movement"))
        for p in peaks
    )  # fmt: skip
    found = RepSet(count=5, confidence=1, each=each)
    take, one = counted(found)
    # 2, 2 and 4 s; the half second belongs to one that was cut off.
    assert take.rep_s(one) == 2.0
    assert take.rep_s(counted(found.model_copy(update={"each": each[:2]}))[1]) == 2.0
    assert take.rep_s(counted(found.model_copy(update={"each": each[:1]}))[1]) is None
    at_once = found.model_copy(update={"each": (each[0], each[0])})
    assert take.rep_s(counted(at_once)[1]) is None


def test_repetitions_done_and_left_count_the_one_under_way_in_part() -> None:
    take, one = counted(reps(3, 4, 2.5))
    assert [take.reps_done(one, t) for t in (0, 3, 4, 5.5, 9.25, 13, 20)] == pytest.approx(
        [0, 0, 0.4, 1, 2.5, 4, 4]
    )
    assert [take.reps_left(one, t) for t in (0, 4, 20)] == pytest.approx([4, 3.6, 0])
    assert take.reps_done(counted(RepSet(count=0, confidence=1))[1], 3) is None


def test_a_repetition_without_length_is_done_at_once() -> None:
    each = reps(3, 1, 2.0).each[0].model_copy(update={"end_s": 3.0})
    take, one = counted(RepSet(count=1, confidence=1, each=(each,)))
    assert [take.reps_done(one, t) for t in (3.0, 3.005, 3.01)] == pytest.approx([0, 0.5, 1])


@pytest.mark.parametrize(("confidence", "sure"), [(0.6, True), (0.59, False)])
def test_nothing_is_said_of_repetitions_that_were_not_counted_surely(
    confidence: float, sure: bool
) -> None:
    found = sided(0, "llllrrrr", confidence=confidence)
    take, one = counted(found)
    answers = (take.rep_s(one), take.reps_done(one, 3), take.reps_left(one, 3), take.rep_at(3),
               *take.sides_around(8.0))  # fmt: skip
    assert [a is not None for a in answers] == [sure] * 6


@pytest.mark.parametrize(
    ("time_s", "start_s"),
    [(3.9, None), (4.0, None), (4.1, 5), (5.1, 5), (6.9, 5), (7.0, 7), (8.9, 7), (9.0, None)],
)
def test_the_repetition_under_way_or_about_to_begin(time_s: float, start_s: int | None) -> None:
    take, _ = counted(reps(5, 2, 2))
    found = take.rep_at(time_s)
    assert (found and found.start_s) == start_s


def test_outside_of_all_periods_no_repetition_is_under_way() -> None:
    assert counted(reps(5, 2, 2))[0].rep_at(31) is None


def test_the_sides_before_and_after_a_change() -> None:
    take, _ = counted(sided(0, "rrlllrrrl"))
    # Repetitions of 2 s: the changes are at 4, 10 and 16 s.
    assert take.sides_around(4.0) == ("right", "left")
    assert take.sides_around(10.0) == ("left", "right")
    assert take.sides_around(16.0) == ("right", None)


def test_the_repetition_under_way_belongs_to_neither_side() -> None:
    two, _ = counted(sided(0, "llrr"))
    # One of two is under way: one alone tells no side.
    assert two.sides_around(4.0 - 0.3) == ("left", "right")
    assert two.sides_around(4.0 - 0.31) == (None, "right")
    assert two.sides_around(4.0 + 0.3) == ("left", "right")
    assert two.sides_around(4.0 + 0.31) == ("left", None)
    # A quick one just at its peak is as good as done.
    quick, _ = counted(sided(0, "llrr", each_s=0.5))
    assert quick.sides_around(0.75) == ("left", "right")


def test_one_repetition_both_sides_or_both_at_once_tell_no_side() -> None:
    assert counted(sided(0, "lrlr"))[0].sides_around(4.0) == (None, None)
    assert counted(sided(0, "bbbb"))[0].sides_around(4.0) == (None, None)
    assert counted(sided(0, "lr"))[0].sides_around(2.0) == (None, None)


@pytest.mark.parametrize(
    ("apart_s", "before", "after"),
    [(10.9, "left", "right"), (11.0, None, "right"), (11.1, None, None)],
)
def test_sides_long_before_or_after_say_nothing(
    apart_s: float, before: str | None, after: str | None
) -> None:
    # The peak that is furthest away is a second beyond the gap.
    left, right = sided(0, "ll"), sided(20, "rr")
    first = period(0, "work", 0, 12, "side-lunge", left)
    second = period(1, "work", 12, 30, "side-lunge", right)
    take = Take(review([first, second]))
    assert take.sides_around(2.0 + apart_s)[0] == before
    assert take.sides_around(22.0 - apart_s)[1] == after
