"""Run one command: errors become one line on stderr and an exit code."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import typer

from api.cli.commands import app
from pose.errors import InputError

# The usage error of the click that this typer runs on; typer does not export it.
_UsageError: type[Exception] = typer.BadParameter.__mro__[1]


def run(args: Sequence[str]) -> int:
    """Run one command and return its exit code: 0 done, 2 bad input or usage, 1 our fault."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a character the terminal cannot show must not stop us
            stream.reconfigure(errors="replace")
    try:
        code = app(list(args) or ["--help"], prog_name="takeproof", standalone_mode=False)
    except InputError as error:
        return _stop(str(error), 2)
    except _UsageError as error:
        return _stop(f"{error.format_message()} See takeproof --help.", 2)  # type: ignore[attr-defined]
    except (KeyboardInterrupt, typer.Abort):
        return _stop("stopped; nothing was written", 130)
    except Exception as error:
        from api.faults import report_fault

        return _stop(report_fault(error), 1)
    if code == 130:  # newer typer turns Ctrl-C into this code itself
        return _stop("stopped; nothing was written", 130)
    return code if isinstance(code, int) else 0


def _stop(line: str, code: int) -> int:
    from annotate.text import one_line

    line = one_line(line)
    print(line if line.startswith("takeproof") else f"takeproof: {line}", file=sys.stderr)
    return code


def main() -> None:
    """Console script ``takeproof``."""
    sys.exit(run(sys.argv[1:]))
