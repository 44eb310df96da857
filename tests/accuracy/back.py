"""The back line measured on rendered rehearsals whose lower back flexion is known.

python -m tests.accuracy.back [develop|report] [--only MOVEMENT] [--cached]

Every clip goes the whole way (picture, landmarks, outline, counting, comparison); only its movement
is given. Repetition 5 to 7 are rounded by 0, 20, 30 or 45 degrees against the four before. Renders
what is not in the cache yet, which takes about 20 s a clip.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.form.back_arc import back_arc
from annotate.form.back_line import FOLDED, judge_backs
from annotate.review.model import BackNotAssessable
from pose.extract.parallel import extract
from pose.signals.compute import movement_signals
from tests.accuracy.back_clips import FLAT_FIRST, MOVEMENTS, BackClip, design
from tests.accuracy.metrics import area_under_curve
from tests.known import known

# A counted repetition belongs to the true one whose peak is this near.
SAME_REP_S = 0.7
# The first is left out everywhere: it is nobody's measure and settles in.
FIRST_JUDGED = 1


@dataclass(frozen=True)
class Judged:
    """One repetition: what is true and what was said."""

    clip: BackClip
    number: int
    change_deg: float | None
    uncertainty_deg: float | None
    flagged: bool
    reason: str

    @property
    def flexion_deg(self) -> float:
        """Against the first repetitions."""
        return self.clip.flexion_deg if self.number >= FLAT_FIRST else 0.0

    @property
    def late(self) -> bool:
        """Not among those that make the measure; only these say something of a flat back."""
        return self.number >= FLAT_FIRST


def judge(clip: BackClip) -> list[Judged]:
    """Judge the repetitions of one clip."""
    path = clip.render()
    truth = json.loads(path.with_suffix(".truth.json").read_text())
    track = extract(path)
    signals = movement_signals(track)
    movement = catalogue()[clip.movement]
    counted = count_reps(signals, movement, 0.0, truth["duration_s"])
    (backs,) = judge_backs(back_arc(track, signals), signals, [counted.reps]).backs
    if movement.crouched:
        backs = [BackNotAssessable(reason=FOLDED) for _ in backs]
    out = []
    for number, rep in enumerate(truth["reps"]):
        near = [
            back
            for found, back in zip(counted.reps, backs, strict=True)
            if abs(found.peak_s - rep["peak_s"]) <= SAME_REP_S
        ]
        back = near[0] if near else None
        if back is not None and back.assessable:
            judged = Judged(
                clip, number, back.arc_change_deg, back.uncertainty_deg, back.rounded, ""
            )
        else:
            reason = "not counted" if back is None else back.reason
            judged = Judged(clip, number, None, None, False, reason)
        out.append(judged)
    return out[FIRST_JUDGED:]


def table(title: str, rows: Sequence[Judged]) -> Table:
    """Figures by angle off side view and by clothes."""
    out = Table(title=title)
    for column in ("clips", "n", "assess.", "flat flagged", "flat change", "AUC 20", "AUC 30",
                   "AUC 45", "AUC >= 30", "change 20", "30", "45", "found 20", "30", "45",
                   "mean |error|"):  # fmt: skip
        out.add_column(column)
    for off in (0.0, 15.0, 30.0, 90.0):
        for name, some in (
            (f"{off:.0f} off, tight", [r for r in rows if not r.clip.loose]),
            (f"{off:.0f} off, loose", [r for r in rows if r.clip.loose]),
        ):
            _row(out, name, [r for r in some if r.clip.off_side_deg == off])
    _row(out, "within 15", [r for r in rows if r.clip.off_side_deg <= 15])
    _row(out, "all", rows)
    return out


def _row(out: Table, name: str, rows: Sequence[Judged]) -> None:
    if not rows:
        return
    seen = [r for r in rows if r.change_deg is not None]
    late = [r for r in seen if r.late]
    flat = [r for r in late if r.flexion_deg == 0]
    by = {f: [r for r in late if r.flexion_deg == f] for f in (20.0, 30.0, 45.0)}
    all_flat = [r for r in seen if r.flexion_deg == 0]
    errors = [abs(known(r.change_deg) - r.flexion_deg) for r in late]
    out.add_row(
        f"{name} ({len({r.clip.shot.name for r in rows})})",
        str(len(rows)),
        f"{len(seen) / len(rows):.2f}",
        f"{sum(r.flagged for r in all_flat)}/{len(all_flat)}",
        _spread(flat),
        *(_area(some, flat) for some in by.values()),
        _area(by[30.0] + by[45.0], flat),
        *(_spread(some) for some in by.values()),
        *(f"{np.mean([r.flagged for r in some]):.2f}" if some else "-" for some in by.values()),
        f"{np.mean(errors):.1f}" if errors else "-",
    )


def _changes_deg(rows: Sequence[Judged]) -> list[float]:
    return [known(r.change_deg) for r in rows]


def _area(rounded: Sequence[Judged], flat: Sequence[Judged]) -> str:
    value = area_under_curve(_changes_deg(rounded), _changes_deg(flat))
    return f"{value:.3f}" if np.isfinite(value) else "-"


def _spread(rows: Sequence[Judged]) -> str:
    values = _changes_deg(rows)
    return f"{np.mean(values):+.0f}+-{np.std(values):.0f}" if values else "-"


def measure(clips: Iterable[BackClip], console: Console) -> list[Judged]:
    """Judge all clips, telling how far it is."""
    rows: list[Judged] = []
    for clip in clips:
        found = judge(clip)
        rows += found
        said = " ".join("x" if r.change_deg is None else f"{r.change_deg:+.0f}" for r in found)
        console.print(f"{clip.shot.name}: {said}", highlight=False)
    return rows


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.back", description=__doc__)
    parser.add_argument("half", nargs="?", choices=("develop", "report"), default="report")
    parser.add_argument("--only", choices=sorted(MOVEMENTS), action="append")
    parser.add_argument("--cached", action="store_true", help="only clips rendered before")
    options = parser.parse_args()
    console = Console(width=200)
    movements = options.only or list(MOVEMENTS)
    everything: list[Judged] = []
    for movement in movements:
        clips = [c for c in design(movement, options.half) if not options.cached or c.rendered]
        rows = measure(clips, console)
        everything += rows
        if rows:
            console.print(table(f"{movement}, {options.half} half", rows))
    console.print(table(f"All movements, {options.half} half", everything))
    for reason, count in Counter(r.reason for r in everything if r.reason).most_common():
        console.print(f"{count} x {reason}")


if __name__ == "__main__":
    main()
