"""Boundaries, labels and departures over many seeded classes, without rendering.

    python -m tests.accuracy.sessions [COUNT]

Joints are exact up to noise like the model's, so this measures the segmenter and the comparison,
not the pose model; rendered classes are in the first table of ``python -m tests.accuracy``.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate import review_track
from annotate.plan import unroll
from annotate.review import Review
from tests.accuracy.departures import DEPARTURES, judge, seeded_class
from tests.accuracy.labels import rightly_labelled
from tests.accuracy.metrics import matched_errors_s
from tests.film import film

COUNT = 200
YAWS_DEG = (0, 30, 45, 60, 80, -70)
BODIES = ("woman-a", "man-a", "woman-b", "man-b")


@dataclass
class Boundaries:
    """Boundaries gathered over classes."""

    true: int = 0
    found: int = 0
    errors_s: list[float] = field(default_factory=list)
    labelled: list[float] = field(default_factory=list)

    def add(self, truth: dict, review: Review) -> None:
        """Take in one class."""
        true = [p["start_s"] for p in truth["periods"][1:]]
        found = [p.start_s for p in review.periods[1:]]
        self.true += len(true)
        self.found += len(found)
        self.errors_s += matched_errors_s(true, found, 1.0)
        self.labelled.append(rightly_labelled(truth, review))

    def row(self) -> tuple[str, ...]:
        """Count, precision/recall/F1 at half a second and a second, error, labels."""
        errors = np.abs(self.errors_s)
        out = [str(self.true)]
        for margin in (0.5, 1.0):
            hits = int((errors <= margin).sum())
            precision, recall = hits / max(self.found, 1), hits / max(self.true, 1)
            f1 = 2 * precision * recall / max(precision + recall, 1e-9)
            out.append(f"{precision:.3f} / {recall:.3f} / {f1:.3f}")
        return (*out, f"{np.median(errors):.2f}", f"{np.mean(self.labelled):.4f}")


def departures_of(seed: int) -> tuple[str, ...]:
    """Every departure alone in turn on even seeds, every pair in turn on odd ones."""
    names = list(DEPARTURES)
    if seed % 2 == 0:
        return (names[(seed // 2) % len(names)],)
    pairs = list(combinations(names, 2))
    # A step that shares no factor with the number of pairs visits all of them.
    return pairs[(seed // 2) * 29 % len(pairs)]


def main(count: int = COUNT) -> None:
    """Print both tables."""
    console = Console(width=118)
    with_plan, without = Boundaries(), Boundaries()
    told: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    invented: list[str] = []
    for seed in range(count):
        plan, performed, departures = seeded_class(seed, departures_of(seed))
        track, truth = film(
            performed,
            seed=seed,
            yaw_deg=YAWS_DEG[seed % len(YAWS_DEG)],
            body_name=BODIES[seed % len(BODIES)],
        )
        review = review_track(track, plan)
        with_plan.add(truth, review)
        without.add(truth, review_track(track))
        result = judge(review, unroll(plan), departures)
        for departure in departures:
            told[departure.name] += 1
        for line in result.missed:
            missed[line.partition(" at ")[0]] += 1
            console.print(f"class {seed}: missed {line}")
        for line in result.invented:
            invented.append(line)
            console.print(f"class {seed}: invented {line}")

    table = Table(title=f"{count} seeded classes: boundaries (precision / recall / F1)")
    for column in ("", "boundaries", "within 0.5 s", "within 1 s", "median |error| s",
                   "time rightly labelled"):  # fmt: skip
        table.add_column(column)
    table.add_row("with plan", *with_plan.row())
    table.add_row("without plan", *without.row())
    console.print(table)

    table = Table(title="Departures from the plan")
    for column in ("departure", "seeded", "missed"):
        table.add_column(column)
    for name, seeded in sorted(told.items()):
        table.add_row(name, str(seeded), str(missed[name]))
    table.add_row("findings invented", "", str(len(invented)))
    console.print(table)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
