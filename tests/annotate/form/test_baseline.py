"""Which repetitions the back is compared with; samples are plain names here."""

from __future__ import annotations

from annotate.counting.count import FoundRep
from annotate.form.baseline import EARLIEST, OWN, Baseline, choose_baseline


def reps(count: int, first_s: float = 0.0, *, cut: tuple[int, ...] = ()) -> list[FoundRep]:
    """One repetition a second; those in `cut` (from 0) are not complete."""
    return [
        FoundRep(first_s + i, first_s + i + 0.5, first_s + i + 1, "both", 1.0, i not in cut)
        for i in range(count)
    ]


class Sample:
    """What was seen of a repetition."""

    def __init__(self, rep: FoundRep) -> None:
        self.start_s = rep.start_s


def chosen(
    own: list[FoundRep],
    others: list[FoundRep] | None = None,
    *,
    unclear: tuple[float, ...] = (),
    asked: list[float] | None = None,
) -> Baseline[Sample]:
    """The baseline, where the repetitions that start at `unclear` cannot be judged."""

    def look(rep: FoundRep) -> Sample | str:
        return "an arm covered the back" if rep.start_s in unclear else Sample(rep)

    def look_and_tell(rep: FoundRep) -> Sample | str:
        if asked is not None:
            asked.append(rep.start_s)
        return look(rep)

    return choose_baseline(own, [look(rep) for rep in own], others or [], look_and_tell)


def starts(baseline: Baseline[Sample]) -> list[float]:
    assert [s.start_s for s in baseline.samples] == [r.start_s for r in baseline.reps]
    return [r.start_s for r in baseline.reps]


def test_the_first_is_still_settling_in_and_the_next_three_count() -> None:
    found = chosen(reps(10))
    assert (found.compared_with, starts(found)) == (OWN, [1, 2, 3])


def test_what_is_not_clean_is_passed_over() -> None:
    assert starts(chosen(reps(10, cut=(0, 2)), unclear=(3.0,))) == [4, 5, 6]


def test_two_are_enough_one_is_not() -> None:
    assert starts(chosen(reps(3))) == [1, 2]
    found = chosen(reps(2))
    assert (found.compared_with, starts(found)) == (EARLIEST, [])
    assert starts(chosen(reps(2), reps(2))) == []


def test_late_repetitions_are_nobodys_first() -> None:
    unclear = tuple(float(i) for i in range(6))
    # Of the first eight only two are clean, and the first of them settles in.
    assert starts(chosen(reps(20), unclear=unclear)) == []
    assert starts(chosen(reps(20), unclear=unclear[:5])) == [6, 7]


def test_with_too_few_of_its_own_the_earliest_of_the_clip_stand_in() -> None:
    others = [*reps(9), *reps(2, 100.0)]
    asked: list[float] = []
    found = chosen(others[9:], others, unclear=(1.0,), asked=asked)
    assert (found.compared_with, starts(found)) == (EARLIEST, [2, 3, 4])
    # No later ones are looked at.
    assert asked == [float(i) for i in range(8)]


def test_with_enough_of_its_own_nobody_else_is_looked_at() -> None:
    asked: list[float] = []
    assert chosen(reps(5), reps(9, 50.0), asked=asked).compared_with == OWN and asked == []
