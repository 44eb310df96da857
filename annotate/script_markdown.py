"""The script as Markdown to print: one heading a period."""

from __future__ import annotations

from annotate.cue_lines import clock
from annotate.script import Script, ScriptPeriod


def script_markdown(script: Script) -> str:
    """The script to print: one heading a period, its clocks, the difference, the lines."""
    out = [f"# {_plain(script.title)}", "", f"Length {clock(script.duration_s)}.", ""]
    for period in script.periods:
        end = period.planned_start_s + period.planned_duration_s
        out.append(f"## {clock(period.planned_start_s)}-{clock(end)}  {_plain(period.label)}")
        out.append("")
        out += _clock_rows(period)
        out.append("")
        out.append(f"**{_plain(period.difference)}**" if period.status != "as planned"
                   else _plain(period.difference))  # fmt: skip
        out.append("")
        for line in period.lines:
            words = f"*{_plain(line.text)}*" if line.kind == "direction" else _plain(line.text)
            out.append(f"- `{clock(line.at_s)}` {line.kind}: {words}")
        if period.lines:
            out.append("")
    if script.not_in_plan:
        out += ["## Not in the plan", "", *(f"- {_plain(x)}" for x in script.not_in_plan), ""]
    out += ["## Take care", "", *(f"- {c}" for c in script.cautions), ""]
    return "\n".join(out)


def _clock_rows(period: ScriptPeriod) -> list[str]:
    def cells(
        start: float | None, length: float | None, reps: int | None, rate: float | None
    ) -> str:
        return " | ".join(
            (
                "-" if start is None else clock(start),
                "-" if length is None else f"{length:.0f} s",
                "-" if reps is None else str(reps),
                "-" if rate is None else f"{rate:.0f}/min",
            )
        )

    return [
        "| | start | length | repetitions | cadence |",
        "|---|---|---|---|---|",
        "| planned | "
        + cells(period.planned_start_s, period.planned_duration_s, period.planned_reps,
                period.planned_cadence_per_min) + " |",
        "| delivered | "
        + cells(period.delivered_start_s, period.delivered_duration_s, period.delivered_reps,
                period.delivered_cadence_per_min) + " |",
    ]  # fmt: skip


def _plain(text: str) -> str:
    """User text without Markdown meaning."""
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#|" else c for c in text)
