"""The script as Markdown to print: large type, a page for each block, both times of each line."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from annotate.script.build import Script, ScriptPeriod
from annotate.script.schedule import ScriptLine
from annotate.text import clock, plain

# Markdown has no type size and no page breaks; browsers that print it understand these.
_LARGE = '<div style="font-size: 150%">'
_NEW_PAGE = '<div style="break-before: page"></div>'


def script_markdown(script: Script) -> str:
    """Write the script as Markdown: for each period its times, the difference and the lines.

    The stations of a circuit share a page.
    """
    out = [_LARGE, "", f"# {plain(script.title)}", "", f"Length {clock(script.duration_s)}.", ""]
    for i, (block, periods) in enumerate(groupby(script.periods, key=lambda p: p.block)):
        if i:
            out += [_NEW_PAGE, ""]
        out += [f"## {plain(block)}", ""]
        for period in periods:
            out += _period(period)
    if script.not_in_plan:
        out += ["## Not in the plan", "", *(f"- {plain(x)}" for x in script.not_in_plan), ""]
    out += ["## Take care", "", *(f"- {c}" for c in script.cautions), "", "</div>", ""]
    return "\n".join(out)


def _period(period: ScriptPeriod) -> Iterable[str]:
    end_s = period.planned_start_s + period.planned_duration_s
    yield f"### {clock(period.planned_start_s)}-{clock(end_s)}  {plain(period.label)}"
    yield ""
    yield "| | start | length | repetitions | cadence |"
    yield "|---|---|---|---|---|"
    yield _row("planned", period.planned_start_s, period.planned_duration_s, period.planned_reps,
               period.planned_cadence_per_min)  # fmt: skip
    yield _row("delivered", period.delivered_start_s, period.delivered_duration_s,
               period.delivered_reps, period.delivered_cadence_per_min)  # fmt: skip
    yield ""
    difference = plain(period.difference)
    yield difference if period.status == "as planned" else f"**{difference}**"
    yield ""
    if period.on_beat:
        yield f"Music: {plain(period.on_beat)}"
        yield ""
    if period.lines:
        yield "| at | say | last take |"
        yield "|---|---|---|"
        yield from (_line(line) for line in period.lines)
        yield ""


def _line(line: ScriptLine) -> str:
    words = plain(line.text)
    said = f"*{words}*" if line.kind == "direction" else f"**{words}**"
    parts = ["" if line.delivered_s is None else clock(line.delivered_s), plain(line.difference)]
    last = ", ".join(p for p in parts if p)
    return f"| {clock(line.at_s)} | {said} | {last} |"


def _row(
    name: str, start_s: float | None, length_s: float | None, reps: int | None, rate: float | None
) -> str:
    cells = (
        name,
        "-" if start_s is None else clock(start_s),
        "-" if length_s is None else f"{length_s:.0f} s",
        "-" if reps is None else str(reps),
        "-" if rate is None else f"{rate:.0f}/min",
    )
    return f"| {' | '.join(cells)} |"
