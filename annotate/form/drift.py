"""How form changes over repetitions and rounds: reported only if the change is large and sure.

The first repetition of a round is left out: the person is still settling in (common practice, no
source; see also the baseline of the back line). The sides of an alternating movement differ by
habit: each side is shifted to the common median before both are put in one row. Slower repetitions
are not reported as tiring: loss of speed shows effort only where every repetition is done as fast
as possible, and here the music sets the pace.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import Movement, catalogue
from annotate.form.measures import DEPTH_WORDS
from annotate.form.points import POINTS
from annotate.review.model import Drift, Period, Rep, ViewSpan
from annotate.review.queries import sets_by_movement
from annotate.stats import mann_kendall_p, theil_sen
from annotate.text import amount

Floats = NDArray[np.float64]

SETTLE_IN_REPS = 1
# Neighbouring repetitions are similar even without a trend, which makes the test sure too easily;
# and several measures are tested at once. Hence a strict p-value, and a smallest size as well.
SURE_P = 0.005
# The fewest with which the test still reaches SURE_P when two pairs are out of order (p 0.0044;
# with seven 0.016).
LEAST_REPS = 8
# Rounds are tested together: from four repetitions on, three rounds in perfect order reach SURE_P
# (p 0.0009); with three repetitions each they do not (p 0.016).
LEAST_ROUND_REPS = 4
# Repetitions seen from directions further apart than this are not compared. The same change of
# direction starts a new view (counting/view.py).
SAME_VIEW_DEG = 35.0

# Smallest change that is reported: absolute, and as a fraction of the level. Landmark noise: single
# values are good to about 10 degrees, the median of many from one camera to a few. The back line's
# limit is higher because an outline shows less (see back_line). Judgement, no source.
LEAST = {
    "deg": (6.0, 0.08),
    "trunk lengths": (0.05, 0.08),
    "ratio": (0.1, 0.0),
    "s": (0.15, 0.08),
}
LEAST_BACK_DEG = 10.0

OTHER_VIEW = "seen from different directions: not compared"


@dataclass(frozen=True)
class Measure:
    """A measure that is followed over the repetitions of a movement.

    Attributes
    ----------
    words : str
        What is measured, the subject of a sentence.
    unit : str
        A key of :data:`LEAST`.
    value : callable
        The value of one repetition, or None where it is not known.
    rose, fell : str
        The verb for a larger and for a smaller value.
    note : str
        Added to the sentence.
    """

    id: str
    words: str
    unit: str
    value: Callable[[Rep], float | None]
    rose: str = "grew by"
    fell: str = "fell by"
    note: str = ""


def find_drift(periods: Sequence[Period], view: Sequence[ViewSpan] = ()) -> tuple[Drift, ...]:
    """Drift of every measure of every known movement in which repetitions were found.

    Parameters
    ----------
    periods : sequence of Period
        With their repetitions, in time order.
    view : sequence of ViewSpan
        From where the camera saw the person; movements seen from different directions are not
        judged.

    Returns
    -------
    tuple of Drift
        ``statement`` is None where no change is large and sure; ``evidence`` says why.
    """
    out = []
    for movement, rounds in sets_by_movement(periods).items():
        if movement not in catalogue():
            continue
        comparable = _one_view(rounds, view)
        for measure in measures_of(catalogue()[movement]):
            found = _drift(movement, rounds, measure, comparable)
            if found is not None:
                out.append(found)
    return tuple(out)


def measures_of(movement: Movement) -> tuple[Measure, ...]:
    """The measures that are followed over the repetitions of a movement."""
    found = []
    if movement.depth is not None:
        words, unit = DEPTH_WORDS[movement.depth]
        found.append(Measure("depth", words, unit, lambda r: r.depth))
    if movement.bent_over:
        if movement.depth != "trunk_deg":
            found.append(Measure("trunk", "trunk inclination", "deg", lambda r: r.trunk_deg))
        found.append(
            Measure("back", "back line", "deg", _back, "became rounder by", "became flatter by")
        )
    for name in movement.watch:
        if name in POINTS:
            point = POINTS[name]
            found.append(Measure(name, point.words, point.unit, _point(name)))
    found.append(
        Measure(
            "time", "time of a repetition", "s", lambda r: r.end_s - r.start_s,
            note=" (the music may set the pace: this alone is no sign of tiring)",
        )
    )  # fmt: skip
    return tuple(found)


def _back(rep: Rep) -> float | None:
    return rep.back.arc_change_deg if rep.back.assessable else None


def _point(name: str) -> Callable[[Rep], float | None]:
    return lambda rep: next((w.value for w in rep.watched if w.point == name), None)


def _drift(
    movement: str, rounds: Sequence[Period], measure: Measure, comparable: bool
) -> Drift | None:
    shown = [[measure.value(rep) for rep in p.reps.each] for p in rounds]
    rows = [_row(p.reps.each, measure) for p in rounds]
    rows = [row for row in rows if len(row)]
    count = sum(len(row) for row in rows)
    if count == 0:
        return None
    per_round = [_mean(values) for values in shown]
    digits = 1 if measure.unit == "deg" else 2
    statement = None
    if not comparable:
        evidence = OTHER_VIEW
    elif count < LEAST_REPS:
        evidence = f"{amount(count, 'repetition')}: too few for a trend"
    else:
        statement, evidence = _judge(movement, rows, measure)
    return Drift(
        movement=movement,
        measure=measure.id,
        unit=measure.unit,
        per_rep=tuple(_rounded(v, digits) for values in shown for v in values),
        per_round=tuple(_rounded(v, digits) for v in per_round),
        evidence=evidence,
        statement=statement,
    )


def _judge(movement: str, rows: Sequence[Floats], measure: Measure) -> tuple[str | None, str]:
    """The sentence, or None, and the evidence for or against it."""
    whole = np.concatenate(rows)
    slope = theil_sen(whole)
    steps = len(whole) - 1
    overall_p = mann_kendall_p([whole])
    long_rows = [row for row in rows if len(row) >= LEAST_ROUND_REPS]
    within_p = mann_kendall_p(long_rows) if len(rows) > 1 else 1.0
    least = _least(measure, float(np.median(whole)))
    text = (
        f"{len(whole)} repetitions; from first to last {_signed(slope.per_step * steps, measure)} "
        f"(95 % interval {_signed(slope.low * steps, measure)} to "
        f"{_signed(slope.high * steps, measure)}); Mann-Kendall p {_p(overall_p)}"
    )
    name = catalogue()[movement].name
    change = slope.per_step * steps
    if overall_p <= SURE_P and abs(change) >= least:
        where = "from the first repetitions to the last"
        # The means of the first and last round differ by a part of the whole change only; where
        # that part is small, the change is not one between rounds.
        between = float(rows[-1].mean() - rows[0].mean())
        if len(rows) > 1 and between * np.sign(change) >= least / 2:
            change, where = between, f"from round 1 to round {len(rows)}"
        return _sentence(name, measure, change, where), text
    if within_p <= SURE_P:
        changes = [theil_sen(row).per_step * (len(row) - 1) for row in long_rows]
        change = float(np.median(changes))
        text += f"; within the rounds {_signed(change, measure)}, p {_p(within_p)}"
        if abs(change) >= least:
            where = "within a round, from its first repetitions to its last"
            return _sentence(name, measure, change, where), text
    return None, text


def _sentence(name: str, measure: Measure, change: float, where: str) -> str:
    verb = measure.rose if change > 0 else measure.fell
    return f"{name}: {measure.words} {verb} {_amount(abs(change), measure)} {where}{measure.note}."


def _least(measure: Measure, level: float) -> float:
    if measure.id == "back":
        return LEAST_BACK_DEG
    absolute, share = LEAST[measure.unit]
    return max(absolute, share * abs(level))


def _row(reps: Sequence[Rep], measure: Measure) -> Floats:
    """Values of a round's settled, complete repetitions, each side around the common median."""
    kept = [
        (rep.side, value)
        for rep in reps[SETTLE_IN_REPS:]
        if rep.complete and (value := measure.value(rep)) is not None
    ]
    row = np.array([value for _, value in kept])
    sides = np.array([side for side, _ in kept])
    if len(set(sides.tolist())) > 1:
        middle = float(np.median(row))
        for side in set(sides.tolist()):
            row[sides == side] += middle - float(np.median(row[sides == side]))
    return row


def _one_view(rounds: Sequence[Period], view: Sequence[ViewSpan]) -> bool:
    """Whether the camera saw all rounds from about the same direction."""
    yaws = [
        span.yaw_deg
        for span in view
        if span.yaw_deg is not None
        and any(span.start_s < p.end_s and p.start_s < span.end_s for p in rounds)
    ]
    turned = [abs((a - b + 180.0) % 360.0 - 180.0) for a in yaws for b in yaws]
    return max(turned, default=0.0) <= SAME_VIEW_DEG


def _mean(values: Sequence[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    return sum(known) / len(known) if known else None


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _amount(value: float, measure: Measure) -> str:
    if measure.unit == "deg":
        return f"{value:.0f} deg"
    if measure.unit == "ratio":
        return f"{value:.2f}"
    return f"{value:.1f} s" if measure.unit == "s" else f"{value:.2f} trunk lengths"


def _signed(value: float, measure: Measure) -> str:
    return f"{'+' if value >= 0 else '-'}{_amount(abs(value), measure)}"


def _p(p: float) -> str:
    return "< 0.001" if p < 0.001 else f"{p:.3f}"
