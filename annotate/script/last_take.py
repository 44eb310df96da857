"""The moment in the last take for each line of the next one, and the difference."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Cue, Period, Review
from annotate.review.queries import delivered_as
from annotate.script.schedule import LineKind, ScriptLine

# Lines that belong to the end of their period; the others belong to its start.
_AT_END = ("announce", "option", "countdown", "left", "reps")
# What a line is among the spoken cues.
_CUE_KINDS: dict[LineKind, tuple[str, ...]] = {
    "announce": ("announce",),
    "countdown": ("countdown",),
    "halfway": ("halfway",),
    "left": ("seconds-left",),
    "reps": ("reps-left", "last-one"),
}
# A cue of its kind this close to the expected moment is taken for the line; the nearest one, since
# calls of one kind may be 5 s apart (lines.py). Common practice, no source.
_SAID_WITHIN_S = 8.0


def beside(
    lines: Sequence[ScriptLine],
    planned: Sequence[PlannedPeriod],
    rows: dict[int, Comparison],
    review: Review,
) -> list[ScriptLine]:
    """Add to each line its moment in the last take and the difference in words.

    With captions the moment is when the line was said; otherwise it is when its period would have
    had it.

    Parameters
    ----------
    lines : sequence of ScriptLine
    planned : sequence of PlannedPeriod
    rows : dict of Comparison
        By index of the planned period.
    review : Review
        Of the last take.
    """
    out = []
    for line in lines:
        period = _period_at(planned, line.at_s)
        done = delivered_as(rows.get(period.index), review.periods)
        if line.kind == "direction" or done is None:
            out.append(line)
            continue
        if done.kind == "absent":  # nothing was seen there
            out.append(line)
            continue
        if line.kind in _AT_END:
            moment_s = done.end_s - (period.end_s - line.at_s)
        elif line.kind in ("halfway", "form"):
            share = (line.at_s - period.start_s) / period.duration_s
            moment_s = done.start_s + share * done.duration_s
        else:
            moment_s = done.start_s + (line.at_s - period.start_s)
        moment_s = min(max(moment_s, done.start_s), done.end_s)
        said = _said(line, moment_s, done, review.cues)
        # Relative to the start of its period: a delay of earlier periods is reported there.
        start_s = done.start_s - period.start_s
        words = _words((said.at_s if said else moment_s) - start_s - line.at_s, review)
        if said is None and review.cues and line.kind in _CUE_KINDS:
            words = "not heard"
        elif said is not None and said.verdict == "wrong":
            words = f'said "{said.text}": {said.difference}'
        at_s = round(said.at_s if said else moment_s, 1)
        out.append(line.model_copy(update={"delivered_s": at_s, "difference": words}))
    return out


def _period_at(planned: Sequence[PlannedPeriod], at_s: float) -> PlannedPeriod:
    return next((p for p in planned if p.start_s <= at_s < p.end_s), planned[-1])


def _said(line: ScriptLine, moment_s: float, done: Period, cues: Sequence[Cue]) -> Cue | None:
    kinds = _CUE_KINDS.get(line.kind, ())
    near = [
        c
        for c in cues
        if c.kind in kinds
        and abs(c.at_s - moment_s) <= _SAID_WITHIN_S
        and done.start_s <= c.at_s < done.end_s
    ]
    return min(near, key=lambda c: abs(c.at_s - moment_s), default=None)


def _words(late_s: float, review: Review) -> str:
    tolerance_s = review.plan.tolerance.seconds if review.plan else 2.0
    if abs(late_s) <= tolerance_s:
        return "on time"
    return f"{abs(late_s):.0f} s {'late' if late_s > 0 else 'early'}"
