"""Planned against delivered: status, differences, and the difference in words."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.catalogue.model import name_of
from annotate.counting.tempo import tempo_of
from annotate.periods.label import Delivery
from annotate.periods.reorder import out_of_order
from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import Comparison, Period, Status
from annotate.text import amount, clock

# A count less sure than this is shown, but no difference in repetitions is called on it.
LEAST_CONFIDENCE = 0.5
# Out of the picture for longer than this, repetitions may have been missed.
LEAST_UNSEEN_S = 1.0
# A movement named with less confidence than this is not held against the plan.
SURE_MOVEMENT = 0.6


def compare(
    timeline: Timeline, deliveries: Sequence[Delivery], periods: Sequence[Period]
) -> tuple[Comparison, ...]:
    """Compare every planned period with what was delivered, in order.

    Parameters
    ----------
    timeline : Timeline
    deliveries : sequence of Delivery
        Which period answers which planned one.
    periods : sequence of Period
        The delivered periods with their repetitions, by index.
    """
    done = [d.planned for d in deliveries if d.planned is not None and d.period is not None]
    moved = out_of_order([timeline.periods[k] for k in done])
    rows = []
    for delivery in deliveries:
        planned = None if delivery.planned is None else timeline.periods[delivery.planned]
        period = None if delivery.period is None else periods[delivery.period.index]
        if planned is None:
            if period is not None and period.kind != "absent":
                rows.append(_added(period))
        elif period is None:
            rows.append(_missing(planned, _absence_beside(deliveries, delivery, periods)))
        else:
            row = _matched(planned, period, timeline)
            astray = planned.index in moved and planned.kind == "work"
            rows.append(_moved(row, period) if astray else row)
    return tuple(_as_planned_order(rows))


def _moved(row: Comparison, period: Period) -> Comparison:
    """A row that was delivered elsewhere in the class; its recovery goes without saying."""
    what = f"{name_of(period.movement)} done out of order, at {clock(period.start_s)}"
    words = [what, *filter(None, [row.text])]
    return row.model_copy(update={"status": "swapped", "text": "; ".join(words)})


def _as_planned_order(rows: Sequence[Comparison]) -> list[Comparison]:
    """Rows as the plan has them; what was added stays behind what it was done after."""
    places, place = [], -1
    for row in rows:
        place = place if row.planned is None else row.planned.index
        places.append(place)
    return [row for _, row in sorted(zip(places, rows, strict=True), key=lambda pair: pair[0])]


def _absence_beside(
    deliveries: Sequence[Delivery], missing: Delivery, periods: Sequence[Period]
) -> Period | None:
    """The absence next to which a planned period is missing, if there is one."""
    i = deliveries.index(missing)
    for step in (-1, 1):
        j = i + step
        # Other missing ones may lie between.
        while 0 <= j < len(deliveries) and deliveries[j].period is None:
            j += step
        beside = deliveries[j].period if 0 <= j < len(deliveries) else None
        if beside is not None and beside.kind == "absent":
            return periods[beside.index]
    return None


def _missing(planned: PlannedPeriod, absence: Period | None) -> Comparison:
    """A planned period of which nothing was seen: left out, unless nobody could be seen."""
    if absence is None:
        return Comparison(planned=planned, delivered=None, status="skipped", text="left out")
    return Comparison(
        planned=planned,
        delivered=absence.index,
        status="partial",
        text=f"not assessable: nobody in the picture for {absence.duration_s:.0f} s there",
    )


def _added(period: Period) -> Comparison:
    what = "nobody exercising" if period.kind == "still" else name_of(period.movement)
    return Comparison(
        planned=None,
        delivered=period.index,
        status="added",
        text=f"not in the plan: {period.duration_s:.0f} s, {what}",
    )


def _matched(planned: PlannedPeriod, period: Period, timeline: Timeline) -> Comparison:
    tolerance = timeline.tolerance
    words: list[str] = []
    status: Status = "as planned"

    if period.kind == "still" and planned.kind != "break":
        status = "swapped"
        words.append("stood still instead")
    elif _other_movement(planned, period):
        status = "swapped"
        words.append(f"{_done(period)} instead of {name_of(planned.movement)}")

    duration_diff = period.duration_s - planned.duration_s
    if abs(duration_diff) > tolerance.seconds:
        status = status if status == "swapped" else ("short" if duration_diff < 0 else "long")
        words.append(_duration_words(planned.duration_s, period.duration_s))

    reps = period.reps
    seen = period.unseen_s < LEAST_UNSEEN_S
    sure = reps.confidence >= LEAST_CONFIDENCE and status != "swapped" and seen
    if not seen:
        words.append(
            f"nobody in the picture for {period.unseen_s:.0f} s: repetitions not assessable"
        )
        status = status if status != "as planned" else "partial"
    tempo = tempo_of(planned, period)
    reps_diff = None if planned.reps is None else reps.count - planned.reps
    left_diff = _difference(planned.left, reps.left)
    right_diff = _difference(planned.right, reps.right)
    sides_told = False
    if sure and tempo is None:
        for side, diff, asked, found in (
            ("left", left_diff, planned.left, reps.left),
            ("right", right_diff, planned.right, reps.right),
        ):
            if diff is not None and abs(diff) > tolerance.reps:
                sides_told = True
                words.append(f"{side} side {_count_words(diff)} ({found} instead of {asked})")
                status = _reps_status(status, diff)
        if reps_diff is not None and abs(reps_diff) > tolerance.reps and not sides_told:
            words.append(f"{_count_words(reps_diff)} ({reps.count} instead of {planned.reps})")
            status = _reps_status(status, reps_diff)
        if planned.side and _wrong_side(planned.side, reps.left, reps.right):
            words.append(f"done on the other side than {planned.side}")
            status = "swapped"
    elif sure and tempo is not None:
        words.append(f"done at {tempo} tempo")
    return Comparison(
        planned=planned,
        delivered=period.index,
        status=status,
        start_diff_s=round(period.start_s - planned.start_s, 2),
        duration_diff_s=round(duration_diff, 2),
        reps_diff=reps_diff,
        left_diff=left_diff,
        right_diff=right_diff,
        tempo=tempo,
        text="; ".join(words),
    )


def _other_movement(planned: PlannedPeriod, period: Period) -> bool:
    if planned.movement is None or period.movement == planned.movement:
        return False
    return period.movement is None or period.movement_confidence >= SURE_MOVEMENT


def _done(period: Period) -> str:
    """What was done, as far as it is known."""
    if period.movement is not None:
        return name_of(period.movement)
    return " or ".join(name_of(m) for m in period.may_be[:3]) or "Another movement"


def _difference(asked: int | None, found: int | None) -> int | None:
    return None if asked is None or found is None else found - asked


def _reps_status(status: Status, diff: int) -> Status:
    if status != "as planned":
        return status
    return "partial" if diff < 0 else "long"


def _duration_words(planned_s: float, delivered_s: float) -> str:
    """Seconds that add up: the eye should not have to correct rounding.

    Whole ones, unless the plan's tolerance asks for differences that they would hide.
    """
    fits = (d for d in (0, 1) if round(planned_s, d) != round(delivered_s, d))
    digits = next(fits, 2)
    asked, found = round(planned_s, digits), round(delivered_s, digits)
    direction = "short" if found < asked else "long"
    return (
        f"{abs(found - asked):.{digits}f} s too {direction} "
        f"({found:.{digits}f} instead of {asked:.{digits}f} s)"
    )


def _count_words(diff: int) -> str:
    return f"{amount(abs(diff), 'repetition')} {'fewer' if diff < 0 else 'more'}"


def _wrong_side(asked: str, left: int | None, right: int | None) -> bool:
    """Whether the side that was not asked has more; with as many on both nothing is known."""
    on_it, on_the_other = (left, right) if asked == "left" else (right, left)
    return (on_the_other or 0) > (on_it or 0)
