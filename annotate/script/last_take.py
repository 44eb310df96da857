"""The moment in the last take for each line of the next one, and the difference."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Comparison, Cue, Period, Review
from annotate.review.queries import delivered_as
from annotate.script.schedule import LineKind, ScriptLine

# Lines that belong to the end of their period; the others belong to its start.
_KINDS_AT_END = ("announce", "option", "countdown", "left", "reps")
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
_MAX_CUE_DISTANCE_S = 8.0


def with_last_take(
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
        if done.kind == "absent" or done.not_assessable is not None:  # nothing was seen there
            out.append(line)
            continue
        if line.kind in _KINDS_AT_END:
            moment_s = done.end_s - (period.end_s - line.at_s)
        elif line.kind in ("halfway", "form"):
            fraction = (line.at_s - period.start_s) / period.duration_s
            moment_s = done.start_s + fraction * done.duration_s
        else:
            moment_s = done.start_s + (line.at_s - period.start_s)
        moment_s = min(max(moment_s, done.start_s), done.end_s)
        spoken_cue = _spoken_cue(line, moment_s, done, review.cues)
        # Relative to the start of its period: a delay of earlier periods is reported there.
        start_s = done.start_s - period.start_s
        words = _lateness_text(
            (spoken_cue.at_s if spoken_cue else moment_s) - start_s - line.at_s, review
        )
        if spoken_cue is None and review.cues and line.kind in _CUE_KINDS:
            words = "not heard"
        elif spoken_cue is not None and spoken_cue.verdict == "wrong":
            words = f'said "{spoken_cue.text}": {spoken_cue.difference}'
        at_s = round(spoken_cue.at_s if spoken_cue else moment_s, 1)
        out.append(line.model_copy(update={"delivered_s": at_s, "difference": words}))
    return out


def _period_at(planned: Sequence[PlannedPeriod], at_s: float) -> PlannedPeriod:
    return next((p for p in planned if p.start_s <= at_s < p.end_s), planned[-1])


def _spoken_cue(line: ScriptLine, moment_s: float, done: Period, cues: Sequence[Cue]) -> Cue | None:
    kinds = _CUE_KINDS.get(line.kind, ())
    near = [
        c
        for c in cues
        if c.kind in kinds
        and abs(c.at_s - moment_s) <= _MAX_CUE_DISTANCE_S
        and done.start_s <= c.at_s < done.end_s
    ]
    return min(near, key=lambda c: abs(c.at_s - moment_s), default=None)


def _lateness_text(late_s: float, review: Review) -> str:
    tolerance_s = review.plan.tolerance.seconds if review.plan else 2.0
    if abs(late_s) <= tolerance_s:
        return "on time"
    return f"{abs(late_s):.0f} s {'late' if late_s > 0 else 'early'}"
