"""Reviews made by hand, for what is written from a review."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.plan.unroll import Timeline
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


def period(
    index: int, kind: str, start_s: float, end_s: float, movement: str | None,
    counted: RepSet | None = None,
) -> Period:  # fmt: skip
    return Period(
        index=index, kind=kind, start_s=start_s, end_s=end_s, duration_s=end_s - start_s,
        confidence=1, movement=movement, movement_confidence=1, intensity=None,
        reps=counted or RepSet(count=0, confidence=0),
    )  # fmt: skip


def review(
    periods: Sequence[Period],
    *,
    of: Clip | None = None,
    plan: Timeline | None = None,
    comparison: Sequence[Comparison] = (),
    **more: object,
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
