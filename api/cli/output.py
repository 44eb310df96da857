"""Where the commands write, and what they say about it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from api.work.folder import ReviewFolder
    from api.work.produce import Produced

OutFolder = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Where to write.")]


def print_produced(produced: Produced, folder: ReviewFolder) -> None:
    """Print the table of a review, and what was written where."""
    from api.cli.tables import print_edited_copies, print_review

    console = console_for()
    print_review(produced.review, console)
    console.print()
    print_line(f"Written to {folder.path}: {', '.join(produced.names)}")
    print_edited_copies(produced, folder, console)


def print_line(line: str) -> None:
    """Print one line; names in it are never taken for markup."""
    from annotate.text import one_line

    console_for().print(one_line(line), markup=False, highlight=False, soft_wrap=True)


def console_for(*, stderr: bool = False) -> Console:
    """Where to print: stdout, or stderr."""
    from rich.console import Console

    return Console(stderr=stderr, highlight=False)
