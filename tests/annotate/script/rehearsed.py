"""Reviews of a take made by hand, compared with the plan as the pipeline does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from annotate.compare.compare import compare
from annotate.periods.label import Delivery
from annotate.plan.unroll import Timeline
from annotate.review.model import Period, Review
from annotate.script.build import make_script
from annotate.script.schedule import ScriptLine
from tests.annotate.reviews import done, period, review

Change = dict[str, Any] | Literal["gone"] | None


def rehearsed(
    timeline: Timeline, changes: Mapping[int, Change] | None = None, **more: Any
) -> Review:
    """The plan delivered period after period, each to the second but for the changes to it.

    `lasts_s` makes a period longer or shorter, and all that follow start as much later or
    earlier; a period whose change is None is left out, and while one runs whose change is
    "gone" nobody is in the picture.
    """
    changes = changes or {}
    deliveries: list[Delivery] = []
    periods: list[Period] = []
    clock_s = 0.0
    for asked in timeline.periods:
        change = changes.get(asked.index, {})
        if change is None:
            deliveries.append(Delivery(asked.index, None))
            continue
        if change == "gone":
            away = period(len(periods), "absent", clock_s, clock_s + asked.duration_s, None)
            deliveries += [Delivery(None, away), Delivery(asked.index, None)]
            periods.append(away)
            clock_s = away.end_s
            continue
        found = done(asked, late_s=clock_s - asked.start_s, index=len(periods), **change)
        deliveries.append(Delivery(asked.index, found))
        periods.append(found)
        clock_s = found.end_s
    rows = compare(timeline, deliveries, periods)
    return review(periods, plan=timeline, comparison=rows, **more)


def lines_of(take: Review, period: int = 0) -> list[ScriptLine]:
    """The lines of one planned period of the next take's script."""
    return list(make_script(take).periods[period].lines)


def directions(take: Review, period: int = 0) -> list[tuple[float, str]]:
    """What to keep in mind in one planned period, and when."""
    return [(x.at_s, x.text) for x in lines_of(take, period) if x.kind == "direction"]
