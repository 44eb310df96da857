"""Mutate the modules that decide, and say which faults no test notices.

    python -m tests.mutation [MODULE...] [--sample N] [--seed S] [--processes P]

MODULE is a dotted name or the end of one (``align``). With ``--sample`` only N mutants of each
module are tried, the same ones for the same seed. Mutants in ``equivalent.yaml`` do not count.
Ends with 1 where more than one in twenty survives.
"""

from __future__ import annotations

import argparse
import importlib
import os
import random
import sys
import time
from functools import partial

from rich.console import Console
from rich.markup import escape
from rich.table import Table
from ruamel.yaml import YAML

from tests.mutation.operators import Mutant, mutants_of
from tests.mutation.rooms import MODULES, ROOT, path_of
from tests.mutation.trial import Outcome, in_child, try_out

MAX_SURVIVORS = 0.05
# Loaded once, before any fork. Nothing of the project's own: that may be what is mutated.
_HEAVY = ("numpy", "scipy.signal", "scipy.ndimage", "scipy.interpolate", "scipy.stats", "pandas",
          "pydantic", "ruptures", "cv2", "av", "openpyxl", "pyarrow.parquet",
          "opentimelineio.opentime")  # fmt: skip


def chosen(names: list[str]) -> list[str]:
    """Modules by their full name or the end of it; all of them where none is named."""
    wanted = [m for m in MODULES if not names or any(f".{m}".endswith(f".{n}") for n in names)]
    for name in names:
        if not any(f".{m}".endswith(f".{name}") for m in wanted):
            sys.exit(f"{name} is not mutated; choose from {', '.join(MODULES)}")
    return wanted


def explained(module: str) -> dict[tuple[str, str], str]:
    """Source line and change of the mutants that nobody could notice, with the reason."""
    text = (ROOT / "tests/mutation/equivalent.yaml").read_text(encoding="utf-8")
    entries = YAML(typ="safe", pure=True).load(text).get(module, [])
    return {(e["line"], e["change"]): e["reason"] for e in entries}


def main() -> int:
    """Try the mutants, print the survivors and the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("modules", nargs="*", metavar="MODULE")
    parser.add_argument("--sample", type=int, metavar="N", help="so many mutants of each module")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    asked = parser.parse_args()

    os.chdir(ROOT)
    # A fork keeps one thread: numerical libraries must not start more.
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    # Other packages' plugins take a second to load, in every process.
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    for name in _HEAVY:
        importlib.import_module(name)
    console = Console(width=118, highlight=False)
    table = Table(title="Mutants")
    for column in ("module", "mutants", "killed", "survived", "timed out", "equivalent",
                   "survivors", "seconds"):  # fmt: skip
        table.add_column(column, justify="left" if column == "module" else "right")
    tried = survived = 0
    for module in chosen(asked.modules):
        began = time.monotonic()
        mutants = mutants_of(module, path_of(module))
        known = explained(module)
        for line, change in known.keys() - {(m.text, m.change) for m in mutants}:
            console.print(escape(f"{module}: equivalent.yaml explains what is not there any more: "
                                 f"{line} | {change}"))  # fmt: skip
        counted = [m for m in mutants if (m.text, m.change) not in known]
        if asked.sample is not None and asked.sample < len(counted):
            picked = random.Random(f"{asked.seed} {module}").sample(
                range(len(counted)), asked.sample
            )
            counted = [counted[i] for i in sorted(picked)]
        # In a child: what one module needs may be what the next one is mutated in.
        outcomes = in_child(partial(try_out, module, MODULES[module], counted, asked.processes))
        if outcomes is None:
            sys.exit(
                f"{module}: the tests could not be run; see python -m pytest {MODULES[module]}"
            )
        left = [m for m, o in zip(counted, outcomes, strict=True) if o == "survived"]
        for mutant in left:
            _print(console, mutant)
        explained_away = sum((m.text, m.change) in known for m in mutants)
        _row(table, module, outcomes, explained_away, time.monotonic() - began)
        tried, survived = tried + len(counted), survived + len(left)
    fraction = survived / max(tried, 1)
    table.caption = f"{survived} of {tried} survived: {fraction:.1%}"
    console.print(table)
    return int(fraction > MAX_SURVIVORS)


def _print(console: Console, mutant: Mutant) -> None:
    path = path_of(mutant.module).relative_to(ROOT)
    console.print(escape(f"{path}:{mutant.line}: {mutant.text}\n    {mutant.change}"))


def _row(
    table: Table, module: str, outcomes: list[Outcome], equivalent: int, took_s: float
) -> None:
    ways = [outcomes.count(o) for o in ("killed", "survived", "timed out")]
    fraction = f"{ways[1] / max(len(outcomes), 1):.1%}"
    table.add_row(
        module, str(len(outcomes)), *map(str, ways), str(equivalent), fraction, f"{took_s:.0f}"
    )


if __name__ == "__main__":
    sys.exit(main())
