"""Counting, sides and names on the rendered set, by movement and view, the two halves apart.

python -m tests.accuracy.counting [develop|report]

The first run renders the clips that are not in the cache: about a quarter of an hour a half.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate.catalogue.model import catalogue
from annotate.counting.count import FoundRep, count_reps
from annotate.counting.recognise import recognise
from annotate.counting.unknown import count_unknown
from pose.extract.parallel import extract
from pose.signals.compute import movement_signals
from tests.accuracy.metrics import count_score, matched_errors_s
from tests.accuracy.rendered_set import VIEWS_DEG, Half, clip_file, of_half, truth

PEAK_MARGIN_S = 1.0


@dataclass(frozen=True)
class Outcome:
    """What was found in one clip.

    Attributes
    ----------
    named : str or None
        Movement recognised without a plan.
    sides : (int, int, int)
        Repetitions of an alternating movement whose side is right, wrong, not told.
    """

    movement: str
    view_deg: float
    true: int
    found: int
    peak_errors_s: tuple[float, ...]
    sides: tuple[int, int, int]
    named: str | None

    @property
    def known(self) -> bool:
        return self.movement in catalogue()


def outcomes(half: Half) -> list[Outcome]:
    """Count and name every clip of a half; held and idle clips are counted as unknown ones."""
    out = []
    for clip in of_half(half):
        signals = movement_signals(extract(clip_file(clip)))
        told = truth(clip)
        period = told["periods"][0]
        entry = catalogue().get(clip.movement)
        start_s, end_s = period["start_s"], period["end_s"]
        if entry is None or entry.sides == "none":
            counted, true, reps = count_unknown(signals, start_s, end_s), 0, []
        else:
            counted = count_reps(signals, entry, start_s, end_s)
            true, reps = period["reps"], told["reps"]
        alternating = entry is not None and entry.sides == "alternating"
        peaks = [r.peak_s for r in counted.reps]
        out.append(
            Outcome(
                clip.movement,
                clip.view_deg,
                true,
                counted.count,
                tuple(matched_errors_s([r["peak_s"] for r in reps], peaks, PEAK_MARGIN_S)),
                _sides(reps, counted.reps) if alternating else (0, 0, 0),
                recognise(signals, start_s, end_s).movement,
            )
        )
    return out


def _sides(true: list[dict[str, Any]], found: Iterable[FoundRep]) -> tuple[int, int, int]:
    right = wrong = untold = 0
    for rep in found:
        side = min(true, key=lambda r: abs(r["peak_s"] - rep.peak_s))["side"]
        right += rep.side == side
        untold += rep.side == "both" and side != "both"
        wrong += rep.side not in (side, "both")
    return right, wrong, untold


def by_movement(half: Half, found: list[Outcome]) -> Table:
    """One row a movement, one column a view."""
    table = Table(title=f"Half to {half}: found/true, and the name where it is not the right one")
    for column in ("movement", *(f"{view:.0f} deg" for view in VIEWS_DEG)):
        table.add_column(column)
    for movement in sorted({o.movement for o in found}):
        cells = []
        for view in VIEWS_DEG:
            here = [o for o in found if o.movement == movement and o.view_deg == view]
            cells.append(" ".join(_cell(o) for o in here))
        table.add_row(movement, *cells)
    return table


def _cell(o: Outcome) -> str:
    name = "" if o.named == (o.movement if o.known else None) else f" ({o.named or 'unknown'})"
    return f"{o.found}/{o.true}{name}"


def summary(half: Half, found: list[Outcome]) -> Table:
    """The figures of a half, all views together and each apart."""
    table = Table(title=f"Half to {half}")
    for column in ("view", "clips", "exact", "within 1", "MAE", "bias", "in empty", "peak s",
                   "sides right/wrong/untold", "named right/unknown/wrong"):  # fmt: skip
        table.add_column(column)
    for view in (None, *VIEWS_DEG):
        here = [o for o in found if view in (None, o.view_deg)]
        score = count_score([o.true for o in here], [o.found for o in here])
        peaks = np.abs([e for o in here for e in o.peak_errors_s])
        known = [o for o in here if o.known]
        right = sum(o.named == o.movement for o in known)
        wrong = sum(o.named not in (o.movement if o.known else None, None) for o in here)
        table.add_row(
            "all" if view is None else f"{view:.0f}",
            str(len(here)),
            f"{score.exact:.3f}",
            f"{score.within_one:.3f}",
            f"{score.mae:.3f}",
            f"{score.bias:+.3f}",
            str(score.false_in_empty),
            f"{peaks.mean():.3f}",
            "/".join(str(sum(o.sides[k] for o in here)) for k in range(3)),
            f"{right}/{sum(o.named is None for o in known)}/{wrong}",
        )
    return table


def main() -> None:
    """Print the tables of one half, or of both."""
    console = Console(width=118)
    for half in get_args(Half):
        if half in (sys.argv[1:] or get_args(Half)):
            found = outcomes(half)
            console.print(by_movement(half, found))
            console.print(summary(half, found))


if __name__ == "__main__":
    main()
