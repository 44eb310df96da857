"""What the footage shows around a spoken cue: what was going on, what came next, what was left."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from annotate.catalogue.model import catalogue
from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Period, Rep, Review
from annotate.review.queries import (
    delivered_as,
    rows_by_block,
    rows_by_delivered,
    rows_by_round,
    rows_through_block,
)

# Confidence from which a boundary or a count can prove a cue wrong. The second is the limit below
# which a finding says "about" (compare/findings.py).
_SURE_PERIOD = 0.5
_SURE_COUNT = 0.6
# Repetitions compared before and after a change of sides, and the time within which they must lie:
# three slow ones, at 4 s each. Common practice, no source.
_SIDE_REPS = 3
_SIDE_WITHIN_S = 12.0


class Change(NamedTuple):
    """A boundary between two periods; `sure` when it can be relied on."""

    at_s: float
    sure: bool


@dataclass(frozen=True, eq=False)
class Take:
    """The delivered side of a review, to look up what happened at a time in seconds."""

    review: Review

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """The delivered periods."""
        return self.review.periods

    @cached_property
    def _rows(self) -> dict[int, Comparison]:
        return rows_by_delivered(self.review.comparison)

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """The boundaries between periods, with the first start and the last end."""
        starts = [
            Change(b.start_s, min(a.confidence, b.confidence) >= _SURE_PERIOD)
            for a, b in zip(self.periods, self.periods[1:], strict=False)
        ]
        if not self.periods:
            return ()
        first, last = self.periods[0], self.periods[-1]
        # The clip may be cut there, so its ends prove nothing.
        return (Change(first.start_s, False), *starts, Change(last.end_s, False))

    def at(self, time_s: float) -> Period | None:
        """The period under way."""
        return next((p for p in self.periods if p.start_s <= time_s < p.end_s), None)

    def after(self, period: Period) -> Period | None:
        """The period that follows."""
        return next((p for p in self.periods if p.start_s >= period.end_s - 0.01), None)

    def next_start(self, time_s: float) -> Period | None:
        """The next period to begin; one that began within the last second counts."""
        return next((p for p in self.periods if p.start_s > time_s - 1.0), None)

    def next_work(self, time_s: float) -> Period | None:
        """The next work period."""
        return next((p for p in self.periods if p.start_s > time_s and p.kind == "work"), None)

    def starting_near(self, time_s: float, within_s: float) -> Period | None:
        """The period that begins closest to a time."""
        near = [p for p in self.periods if abs(p.start_s - time_s) <= within_s]
        return min(near, key=lambda p: abs(p.start_s - time_s), default=None)

    def nearest_change(self, time_s: float) -> Change | None:
        """The boundary closest to a time."""
        return min(self.changes, key=lambda c: abs(c.at_s - time_s), default=None)

    def planned(self, period: Period) -> PlannedPeriod | None:
        """What the period was planned as."""
        row = self._rows.get(period.index)
        return None if row is None else row.planned

    def sure_end(self, period: Period) -> bool:
        """Whether the end of a period can be relied on; the end of the clip cannot."""
        following = self.after(period)
        return (
            following is not None and min(period.confidence, following.confidence) >= _SURE_PERIOD
        )

    def sure_movement(self, period: Period) -> bool:
        """Whether its movement is what it was planned as, or clearly another."""
        row = self._rows.get(period.index)
        return row is None or row.status != "added"

    def whole_block(self, planned: PlannedPeriod) -> bool:
        """Whether every round of the block was delivered, and nothing added in between."""
        rows = rows_through_block(self.review.comparison, planned.block_index)
        return all(row.planned is not None and row.delivered is not None for row in rows)

    def wider_spans(self, period: Period) -> Iterator[tuple[float, float]]:
        """Longer spans that "halfway" may mean: a round of stations, the block, the class."""
        planned = self.planned(period)
        if planned is not None:
            comparison = self.review.comparison
            block = self._done(rows_by_block(comparison)[planned.block_index])
            yield block[0].start_s, block[-1].end_s
            if planned.round is not None:
                turn = self._done(rows_by_round(comparison)[planned.block_index, planned.round])
                if sum(p.kind == "work" for p in turn) > 1:
                    yield turn[0].start_s, turn[-1].end_s
        yield self.periods[0].start_s, self.periods[-1].end_s

    def _done(self, rows: Sequence[Comparison]) -> list[Period]:
        return [p for row in rows if (p := delivered_as(row, self.periods)) is not None]

    # --- repetitions ---------------------------------------------------------------------------

    def units(self, period: Period | None) -> tuple[int, ...]:
        """How many repetitions may count as one: also a pair where sides alternate."""
        known = catalogue().get((period.movement if period else None) or "")
        return (1, 2) if known is not None and known.sides == "alternating" else (1,)

    def rep_s(self, period: Period) -> float | None:
        """Median time from one repetition to the next; None where the count is unsure."""
        reps = [r for r in period.reps.each if r.complete]
        if len(reps) < 2 or period.reps.confidence < _SURE_COUNT:
            return None
        steps = [b.peak_s - a.peak_s for a, b in zip(reps, reps[1:], strict=False)]
        return statistics.median(steps) or None

    def reps_done(self, period: Period, time_s: float) -> float | None:
        """Repetitions done by a time, with the fraction of the one under way."""
        if period.reps.confidence < _SURE_COUNT or not period.reps.each:
            return None
        return sum(_share(r, time_s) for r in period.reps.each)

    def reps_left(self, period: Period, time_s: float) -> float | None:
        """Repetitions still to come, with the rest of the one under way."""
        done = self.reps_done(period, time_s)
        return None if done is None else len(period.reps.each) - done

    def rep_at(self, time_s: float) -> Rep | None:
        """The repetition under way, or the next to begin within a second."""
        period = self.at(time_s)
        reps: Sequence[Rep] = () if period is None else period.reps.each
        if period is None or period.reps.confidence < _SURE_COUNT:
            return None
        return next((r for r in reps if r.end_s > time_s and r.start_s < time_s + 1.0), None)

    def sides_around(self, time_s: float) -> tuple[str | None, str | None]:
        """The side done before and after a time; None where sides alternate or are unknown."""
        reps = [r for p in self.periods if p.reps.confidence >= _SURE_COUNT for r in p.reps.each]
        before = [r for r in reps if time_s - _SIDE_WITHIN_S < r.peak_s <= time_s][-_SIDE_REPS:]
        after = [r for r in reps if time_s < r.peak_s <= time_s + _SIDE_WITHIN_S]
        # The repetition under way belongs to neither.
        before = [r for r in before if r.end_s <= time_s + 0.3]
        after = [r for r in after if r.start_s >= time_s - 0.3][:_SIDE_REPS]
        return _one_side(before), _one_side(after)


def _share(rep: Rep, time_s: float) -> float:
    length_s = max(rep.end_s - rep.start_s, 0.01)
    return min(1.0, max(0.0, (time_s - rep.start_s) / length_s))


def _one_side(reps: Sequence[Rep]) -> str | None:
    sides = {r.side for r in reps}
    return sides.pop() if len(reps) >= 2 and len(sides) == 1 and "both" not in sides else None
