"""Planned against delivered: status, differences in numbers, and the difference in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from annotate.catalogue.model import name_of
from annotate.counting.tempo import tempo_of
from annotate.periods.label import Delivery
from annotate.periods.reorder import out_of_order
from annotate.plan.model import Tolerance
from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.review.model import Comparison, Period, Status
from annotate.text import amount, clock

# What a difference makes of the row, and the difference in words.
Difference = tuple[Status, str]

NOBODY = "nobody in the picture"
# Neighbours whose times are rounded to the hundredth touch within this.
MAX_TOUCH_S = 0.1
_OTHER_SIDE = {"left": "right", "right": "left"}
# A count less sure than this is shown, but not compared: half of the full confidence.
MIN_COUNT_CONFIDENCE = 0.5
# Out of the picture for this long, repetitions may have been missed: about the shortest one.
MIN_UNSEEN_S = 1.0
# A movement named with less confidence than this does not contradict the plan. A judgement, held on
# the seeded classes: no other movement was missed, none invented (docs/measurements.md).
MIN_MOVEMENT_CONFIDENCE = 0.6


def compare(
    timeline: Timeline, deliveries: Sequence[Delivery], periods: Sequence[Period]
) -> tuple[Comparison, ...]:
    """Compare every planned period with what was delivered.

    Parameters
    ----------
    timeline : Timeline
        The unrolled plan, with its tolerance.
    deliveries : sequence of Delivery
        Which period answers which planned one, in time order.
    periods : sequence of Period
        The delivered periods with their repetitions, by index.

    Returns
    -------
    tuple of Comparison
        In the plan's order; an added period stands behind the one it was done after.
    """
    delivered_indices = [
        d.planned for d in deliveries if d.planned is not None and d.period is not None
    ]
    moved = out_of_order([timeline.periods[k] for k in delivered_indices])
    rows = []
    for delivery in deliveries:
        planned = None if delivery.planned is None else timeline.periods[delivery.planned]
        period = None if delivery.period is None else periods[delivery.period.index]
        if planned is None:
            if period is not None and period.kind != "absent":
                rows.append(_added_row(period))
        elif period is None:
            rows.append(_skipped_row(planned, _neighbouring_absence(deliveries, delivery, periods)))
        else:
            row = _matched_row(planned, period, timeline, _unseen_beside(period, periods))
            # Only the work is reported: its recovery moves with it.
            is_moved = planned.index in moved and planned.kind == "work"
            rows.append(_mark_out_of_order(row, period) if is_moved else row)
    return tuple(_in_planned_order(rows))


def _mark_out_of_order(row: Comparison, period: Period) -> Comparison:
    """Mark a row as delivered elsewhere in the class."""
    what = f"{name_of(period.movement)} done out of order, at {clock(period.start_s)}"
    words = [what, *filter(None, [row.text])]
    return row.model_copy(update={"status": "swapped", "text": "; ".join(words)})


def _in_planned_order(rows: Sequence[Comparison]) -> list[Comparison]:
    """Sort rows as planned; an added one stays behind the one it was done after."""
    places, place = [], -1
    for row in rows:
        place = place if row.planned is None else row.planned.index
        places.append(place)
    return [row for _, row in sorted(zip(places, rows, strict=True), key=lambda pair: pair[0])]


def _neighbouring_absence(
    deliveries: Sequence[Delivery], missing: Delivery, periods: Sequence[Period]
) -> Period | None:
    """Find the absence next to which a planned period is missing, if there is one."""
    i = deliveries.index(missing)
    for step in (-1, 1):
        j = i + step
        # Other missing periods may lie between.
        while 0 <= j < len(deliveries) and deliveries[j].period is None:
            j += step
        neighbour = deliveries[j].period if 0 <= j < len(deliveries) else None
        if neighbour is not None and neighbour.kind == "absent":
            return periods[neighbour.index]
    return None


def _skipped_row(planned: PlannedPeriod, absence: Period | None) -> Comparison:
    """Compare a planned period without a delivered one: left out, or not assessable."""
    if absence is None:
        return Comparison(planned=planned, delivered=None, status="skipped", text="left out")
    return Comparison(
        planned=planned,
        delivered=absence.index,
        status="partial",
        text=f"not assessable: {absence.not_assessable or NOBODY} for "
        f"{absence.duration_s:.0f} s there",
    )


def _unseen_beside(period: Period, periods: Sequence[Period]) -> Period | None:
    """Find a stretch that could not be judged right before or after a period."""
    for other in (period.index - 1, period.index + 1):
        if 0 <= other < len(periods):
            beside = periods[other]
            touch = min(abs(beside.end_s - period.start_s), abs(period.end_s - beside.start_s))
            if beside.kind == "absent" and beside.not_assessable and touch < MAX_TOUCH_S:
                return beside
    return None


def _added_row(period: Period) -> Comparison:
    what = "nobody exercising" if period.kind == "still" else name_of(period.movement)
    return Comparison(
        planned=None,
        delivered=period.index,
        status="added",
        text=f"not in the plan: {period.duration_s:.0f} s, {what}",
    )


def _matched_row(
    planned: PlannedPeriod, period: Period, timeline: Timeline, unseen: Period | None
) -> Comparison:
    """Compare a planned period with the one that answers it.

    The first difference gives the status: movement, then duration, then repetitions. The wrong
    side overrules them. All differences are told; where it goes on in a stretch that could not be
    judged, neither its length nor its count is known.
    """
    if period.not_assessable is not None:
        text = f"not assessable: {period.not_assessable}"
    elif unseen is not None and period.duration_s < planned.duration_s - timeline.tolerance.seconds:
        text = (
            f"{unseen.not_assessable} for {unseen.duration_s:.0f} s beside it: "
            "length and repetitions not assessable"
        )
    else:
        return _judged_row(planned, period, timeline)
    return Comparison(planned=planned, delivered=period.index, status="partial", text=text)


def _judged_row(planned: PlannedPeriod, period: Period, timeline: Timeline) -> Comparison:
    """Compare a planned period with one that could be judged."""
    tempo = tempo_of(planned, period)
    found = [
        *_movement_difference(planned, period),
        *_duration_difference(planned, period, timeline.tolerance),
    ]
    another = any(status == "swapped" for status, _ in found)
    if period.unseen_s >= MIN_UNSEEN_S:
        what = period.unseen or NOBODY
        unseen = f"{what} for {period.unseen_s:.0f} s: repetitions not assessable"
        found.append(("partial", unseen))
    elif period.reps.confidence >= MIN_COUNT_CONFIDENCE and not another:
        if tempo is not None:
            found.append(("as planned", f"done at {tempo} tempo"))
        else:
            found += _reps_differences(planned, period, timeline.tolerance)
            if planned.side and _is_wrong_side(planned.side, period.reps.left, period.reps.right):
                other = _OTHER_SIDE[planned.side]
                text = f"done on the {other} side instead of the {planned.side}"
                found.append(("swapped", text))
    told: list[Status] = [status for status, _ in found if status != "as planned"]
    return Comparison(
        planned=planned,
        delivered=period.index,
        status="swapped" if "swapped" in told else next(iter(told), "as planned"),
        start_diff_s=round(period.start_s - planned.start_s, 2),
        duration_diff_s=round(period.duration_s - planned.duration_s, 2),
        reps_diff=_difference(planned.reps, period.reps.count),
        left_diff=_difference(planned.left, period.reps.left),
        right_diff=_difference(planned.right, period.reps.right),
        tempo=tempo,
        text="; ".join(text for _, text in found),
    )


def _movement_difference(planned: PlannedPeriod, period: Period) -> Iterator[Difference]:
    if period.kind == "still" and planned.kind != "break":
        yield "swapped", "stood still instead"
    elif _other_movement(planned, period):
        yield "swapped", f"{_movement_text(period)} instead of {name_of(planned.movement)}"


def _duration_difference(
    planned: PlannedPeriod, period: Period, tolerance: Tolerance
) -> Iterator[Difference]:
    duration_diff_s = period.duration_s - planned.duration_s
    if abs(duration_diff_s) > tolerance.seconds:
        text = _duration_text(planned.duration_s, period.duration_s)
        yield "short" if duration_diff_s < 0 else "long", text


def _reps_differences(
    planned: PlannedPeriod, period: Period, tolerance: Tolerance
) -> Iterator[Difference]:
    """Repetitions of each side, or of both together where each side is within tolerance."""
    reps = period.reps
    sides = [
        ("left side ", planned.left, reps.left),
        ("right side ", planned.right, reps.right),
    ]
    whole = [("", planned.reps, reps.count)]
    for group in (sides, whole):
        differing = [
            (side, diff, asked, found)
            for side, asked, found in group
            if (diff := _difference(asked, found)) is not None and abs(diff) > tolerance.reps
        ]
        for side, diff, asked, found in differing:
            text = f"{side}{_count_text(diff)} ({found} instead of {asked})"
            yield "partial" if diff < 0 else "long", text
        if differing:
            return


def _other_movement(planned: PlannedPeriod, period: Period) -> bool:
    """Whether another movement was done; an uncertain name does not contradict the plan."""
    if planned.movement is None or period.movement == planned.movement:
        return False
    return period.movement is None or period.movement_confidence >= MIN_MOVEMENT_CONFIDENCE


def _movement_text(period: Period) -> str:
    """Name what was done, or up to three movements it may be."""
    if period.movement is not None:
        return name_of(period.movement)
    return " or ".join(name_of(m) for m in period.may_be[:3]) or "Another movement"


def _difference(asked: int | None, found: int | None) -> int | None:
    return None if asked is None or found is None else found - asked


def _duration_text(planned_s: float, delivered_s: float) -> str:
    """Say by how much the duration is off, in seconds that add up as printed.

    In whole seconds, with decimals only where two different durations would look alike.
    """
    fits = (d for d in (0, 1) if round(planned_s, d) != round(delivered_s, d))
    digits = next(fits, 2)
    asked, found = round(planned_s, digits), round(delivered_s, digits)
    direction = "short" if found < asked else "long"
    return (
        f"{abs(found - asked):.{digits}f} s too {direction} "
        f"({found:.{digits}f} instead of {asked:.{digits}f} s)"
    )


def _count_text(diff: int) -> str:
    return f"{amount(abs(diff), 'repetition')} {'fewer' if diff < 0 else 'more'}"


def _is_wrong_side(asked: str, left: int | None, right: int | None) -> bool:
    """Whether the side that was not asked for has more; equal sides are not the wrong side."""
    on_it, on_the_other = (left, right) if asked == "left" else (right, left)
    return (on_the_other or 0) > (on_it or 0)
