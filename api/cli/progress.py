"""Progress of long work on the terminal: a bar with the time left, or plain lines in a log."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

from annotate.text import one_line


@contextmanager
def progress_shown(console: Console) -> Iterator[Callable[[str, float], None]]:
    """Give a function that shows the stage, in plain words, and the fraction done."""
    if not console.is_terminal:
        yield _report_lines(console)
        return
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=None),
        TaskProgressColumn(),
        TimeRemainingColumn(compact=True),
        TextColumn("left"),
    )
    with Progress(*columns, console=console, transient=True, expand=True) as bar:
        task = bar.add_task("Starting", total=1.0)

        def report(stage: str, fraction: float) -> None:
            bar.update(
                task, description=_capitalised(stage), completed=min(max(fraction, 0.0), 1.0)
            )

        yield report


def _report_lines(console: Console) -> Callable[[str, float], None]:
    """Print one line a stage: bars would fill a log file."""
    seen: set[str] = set()

    def report(stage: str, fraction: float) -> None:
        if stage not in seen and fraction < 1:
            seen.add(stage)
            console.print(f"{_capitalised(stage)} ...", markup=False, highlight=False)

    return report


def _capitalised(stage: str) -> str:
    return one_line(stage[:1].upper() + stage[1:])
