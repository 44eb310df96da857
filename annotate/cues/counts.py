"""Counts said aloud: down to a change, or along with the repetitions; and "N more".

Distances are common practice, no source, except where a comment says more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from annotate.cues.context import Take
from annotate.cues.parse import Count, Phrase
from annotate.review.model import Cue, Period
from annotate.text import amount

Verdict = Literal["right", "wrong", "unknown"]

# Seconds from the end of a count to the change: right up to the first, wrong beyond the second.
# Boundaries are found within 1 s (docs/measurements.md), so neither may be smaller.
_ON_COUNT_S, _OFF_COUNT_S = 1.2, 2.0
# A count announces only a change that is no further from its end than this: eight beats at a slow
# 60 a minute.
_CHANGE_WITHIN_S = 8.0
# Time from number to number: faster counts are seconds or beats, slower ones repetitions.
_FAST_COUNT_S = 1.7
# A count goes along with the repetitions when its pace differs by no more than this fraction.
_SAME_PACE = 0.25
# Numbers that must have been understood before a count can be wrong: two could be anything.
_SURE_NUMBERS = 3
# Unless it comes this soon after "next: ...": then two numbers are enough.
_ANNOUNCED_WITHIN_S = 5.0
# Repetitions by which a count may be off: a number may be said before or after its repetition,
# which is one; with half a repetition more it is wrong.
_COUNT_RIGHT, _COUNT_WRONG = 0.9, 1.4
# "N more" may or may not include the repetition under way, which is one, and a fraction of one for
# the moment of speaking.
_REPS_RIGHT, _REPS_WRONG = 1.25, 1.5


def by_distance(off: float, right: float, wrong: float, sure: bool) -> Verdict:
    """Judge a distance: right up to `right`, wrong beyond `wrong` if both readings are sure."""
    if abs(off) <= right:
        return "right"
    return "wrong" if sure and abs(off) > wrong else "unknown"


def judge_counts(counts: Sequence[Count], phrases: Sequence[Phrase], take: Take) -> Iterator[Cue]:
    """Judge every count that can be compared with a change or with the repetitions."""
    switches = [p.start_s for p in phrases if p.kind == "other-side"]
    ends_s = [c.time_of(0) for c in counts if c.down and c.each_s <= _FAST_COUNT_S]
    announced_s = [p.end_s for p in phrases if p.kind == "announce"]
    for count in counts:
        period = take.at(count.starts_s[0])
        rep_s = None if period is None else take.rep_s(period)
        in_pace = rep_s is not None and any(
            abs(count.each_s / (rep_s * k) - 1) <= _SAME_PACE for k in take.units(period)
        )
        verdict: Verdict
        if not count.down:
            if period is None or not in_pace or period.kind != "work":
                continue  # beats of the music, or nothing to compare it with
            verdict, words = _count_up(count, period, take)
            kind = "rep-count"
        elif count.each_s <= _FAST_COUNT_S:
            announced = any(
                0 <= count.starts_s[0] - at <= _ANNOUNCED_WITHIN_S for at in announced_s
            )
            verdict, words = _countdown(count, take, switches, ends_s, announced)
            kind = "countdown"
            if verdict != "right" and in_pace and period is not None and period.kind == "work":
                # Fast repetitions counted down look the same, so it may be right as a count of
                # repetitions.
                as_reps, said = reps_left(
                    count.starts_s[-1], count.numbers[-1], period, take, count
                )
                if as_reps == "right":
                    verdict, words, kind = as_reps, said, "rep-count"
                elif verdict == "wrong" and as_reps == "unknown":
                    verdict = "unknown"
        elif in_pace and period is not None:
            verdict, words = reps_left(count.starts_s[-1], count.numbers[-1], period, take, count)
            kind = "rep-count"
        else:
            continue
        yield Cue(
            at_s=round(count.starts_s[0], 2), kind=kind, text=count.text, verdict=verdict,
            difference=words,
        )  # fmt: skip


def _countdown(
    count: Count,
    take: Take,
    switches: Sequence[float],
    ends_s: Sequence[float],
    announced: bool,
) -> tuple[Verdict, str]:
    """Judge whether the change came where the count ended."""
    end_s = count.time_of(0)
    change = take.nearest_change(end_s)
    if change is None or abs(change.at_s - end_s) > _CHANGE_WITHIN_S:
        return "unknown", "no change of movement near its end"
    off_s = change.at_s - end_s
    # A longer caption than the count makes the pace look slower.
    right_s = _ON_COUNT_S + (count.each_s / 2 if count.spread else 0.0)
    if abs(off_s) > right_s:
        if any(abs(at - end_s) < 2.5 for at in switches):
            return "unknown", "counted to a change of side"
        if any(abs(change.at_s - other) < abs(off_s) for other in ends_s):
            return "unknown", "another count is closer to the change"
    sure = change.sure and (announced or len(count.numbers) >= _SURE_NUMBERS)
    verdict = by_distance(off_s, right_s, max(_OFF_COUNT_S, right_s), sure)
    if verdict == "right":
        return verdict, ""
    way = "after" if off_s > 0 else "before"
    return verdict, f"the change came {abs(off_s):.1f} s {way} the count ended"


def _count_up(count: Count, period: Period, take: Take) -> tuple[Verdict, str]:
    """Compare the last number said with the repetitions done by then."""
    before = take.reps_done(period, count.starts_s[0])
    done = take.reps_done(period, count.starts_s[-1])
    if before is None or done is None:
        return "unknown", "the repetitions there could not be counted for sure"
    # A number may be said as its repetition begins, or when it is done.
    first, last = count.numbers[0] - 0.5, count.numbers[-1] - 0.5
    units = take.units(period)
    off = min((last - done / k for k in units), key=abs)
    # A count that joined in late is not wrong; one that began right and ended off is.
    joined = min(abs(first - before / k) for k in units) <= _COUNT_RIGHT
    sure = joined and len(count.numbers) >= _SURE_NUMBERS
    verdict = by_distance(off, _COUNT_RIGHT, _COUNT_WRONG, sure)
    if verdict == "right":
        return verdict, ""
    return verdict, f"about {max(0, round(last - off + 0.5))} had been done"


def reps_left(
    at_s: float, number: int, period: Period, take: Take, count: Count | None = None
) -> tuple[Verdict, str]:
    """Judge whether there were `number` more repetitions; the difference in words, too."""
    left = take.reps_left(period, at_s)
    if left is None:
        return "unknown", "the repetitions there could not be counted for sure"
    offs = [left / k - number for k in take.units(period)]
    off = min(offs, key=abs)
    verdict = by_distance(off, _REPS_RIGHT, _REPS_WRONG, count is None or len(count.numbers) >= 3)
    if verdict == "right":
        return verdict, ""
    return verdict, f"{amount(round(left), 'repetition')} followed"
