"""Plans, periods and reviews made by hand, for what is told and written from them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from annotate.plan.model import Block, ClassPlan, Station
from annotate.plan.unroll import PlannedPeriod, Timeline, unroll
from annotate.review.model import (
    BackAssessed,
    BackNotAssessable,
    Clip,
    Comparison,
    Period,
    Rep,
    RepSet,
    Review,
    Totals,
)


def block(**given: Any) -> Block:
    """A block as a plan says it: one number stands for the same in every round."""
    return Block.model_validate(given)


def station(**given: Any) -> Station:
    """A station as a plan says it."""
    return Station.model_validate(given)


def planned(*blocks: Block | dict[str, Any], **more: Any) -> Timeline:
    """The unrolled plan of these blocks; a dict is an exercise: 30 s of squats unless it says."""
    squats: dict[str, Any] = {"name": "Squat", "movement": "squat", "work": 30}
    made = (b if isinstance(b, Block) else block(**squats | b) for b in blocks)
    return unroll(ClassPlan(title="Pier", blocks=tuple(made), **more))


def clip(duration_s: float, frame_rate: float = 25.0, *, variable: bool = False) -> Clip:
    return Clip(
        name="take: 1 & 2.mp4", sha256="0" * 64, duration_s=duration_s, frame_rate=frame_rate,
        variable_frame_rate=variable, width=640, height=360, rotation_deg=0,
    )  # fmt: skip


def reps(start_s: float, count: int, each_s: float, rounded: Sequence[int] = ()) -> RepSet:
    """Repetitions one after the other; `rounded` are 1-based."""
    return RepSet(
        count=count, confidence=1, cadence_per_min=60 / each_s,
        each=tuple(
            Rep(
                start_s=start_s + i * each_s, peak_s=start_s + (i + 0.5) * each_s,
                end_s=start_s + (i + 1) * each_s, complete=True, side="both",
                back=BackAssessed(arc_change_deg=30, rounded=True) if i + 1 in rounded
                else BackNotAssessable(reason="not a bent-over movement"),
            )
            for i in range(count)
        ),
    )  # fmt: skip


def counted(count: int, left: int | None = None, right: int | None = None, *,
            cadence_per_min: float | None = None, confidence: float = 1.0) -> RepSet:  # fmt: skip
    """A number of repetitions, none of them told one by one."""
    return RepSet(count=count, left=left, right=right, cadence_per_min=cadence_per_min,
                  confidence=confidence)  # fmt: skip


def period(
    index: int, kind: str, start_s: float, end_s: float, movement: str | None,
    counted: RepSet | None = None, **more: Any,
) -> Period:  # fmt: skip
    return Period.model_validate({
        "index": index, "kind": kind, "start_s": start_s, "end_s": end_s,
        "duration_s": round(end_s - start_s, 2), "confidence": 1, "movement": movement,
        "movement_confidence": 1, "intensity": None,
        "reps": counted or RepSet(count=0, confidence=0),
    } | more)  # fmt: skip


def done(of: PlannedPeriod, **changes: Any) -> Period:
    """A planned period delivered exactly, but for the changes; `lasts_s` and `late_s` move it.

    Its repetitions are those asked of it, on each side as asked, with no cadence told.
    """
    start_s = of.start_s + changes.pop("late_s", 0.0)
    end_s = start_s + changes.pop("lasts_s", of.duration_s)
    left, right = of.left, of.right
    if of.side:
        left, right = (of.reps, 0) if of.side == "left" else (0, of.reps)
    kind = "still" if of.kind == "break" else of.kind
    asked = counted(of.reps or 0, left, right)
    exactly = period(of.index, kind, start_s, end_s, of.movement, asked)
    return exactly.model_copy(update=changes)


def review(
    periods: Sequence[Period],
    *,
    of: Clip | None = None,
    plan: Timeline | None = None,
    comparison: Sequence[Comparison] = (),
    **more: Any,
) -> Review:
    return Review(
        clip=of or clip(periods[-1].end_s), plan=plan, view=(), periods=tuple(periods),
        comparison=tuple(comparison),
        totals=Totals(planned_s=None, delivered_s=0, planned_work_s=None, delivered_work_s=0,
                      planned_recovery_s=None, delivered_recovery_s=0),
        **more,
    )  # fmt: skip


def as_planned(timeline: Timeline, *, late_s: float = 0.0) -> Review:
    """The plan delivered to the second, with the clip started `late_s` before the class."""
    periods = [
        period(
            p.index, "still" if p.kind == "break" else p.kind, p.start_s + late_s,
            p.end_s + late_s, p.movement,
            reps(p.start_s + late_s, p.reps, p.duration_s / p.reps) if p.reps else None,
        )
        for p in timeline.periods
    ]  # fmt: skip
    rows = [
        Comparison(planned=p, delivered=p.index, status="as planned", start_diff_s=late_s,
                   duration_diff_s=0.0, reps_diff=0 if p.reps else None, text="")
        for p in timeline.periods
    ]  # fmt: skip
    return review(periods, plan=timeline, comparison=rows)
