"""Measure accuracy on the committed clips, and on real footage and motion where it lies.

python -m tests.accuracy
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate import review_track
from annotate.catalogue.model import catalogue
from annotate.counting.count import Counted, count_reps
from annotate.counting.recognise import recognise
from annotate.plan.read import read_plan
from annotate.review.model import Review
from pose.extract.parallel import extract
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from tests.accuracy.labels import rightly_labelled
from tests.accuracy.metrics import (
    area_under_curve,
    count_score,
    matched_errors_s,
    precision_recall,
)
from tests.real import REAL, circuit, circuit_truth

ROOT = Path(__file__).parents[2]
# A true lower back flexion from which a repetition is rounded, for the area under the curve.
MIN_ROUNDED_DEG = 20.0


@dataclass
class Tally:
    """Counts and peaks gathered over clips."""

    true: list[int] = field(default_factory=list)
    found: list[int] = field(default_factory=list)
    peak_errors_s: list[float] = field(default_factory=list)
    named_right: int = 0
    named_wrong: int = 0
    unnamed: int = 0
    change_rounded_deg: list[float] = field(default_factory=list)
    change_flat_deg: list[float] = field(default_factory=list)
    change_error_deg: list[float] = field(default_factory=list)
    flat_flagged: int = 0
    not_assessable: int = 0


def main() -> None:
    """Print every table."""
    console = Console(width=118)
    tally = Tally()
    console.print(_short_clips(tally))
    console.print(_sessions(tally))
    console.print(_summary("Rendered clips", tally))
    if REAL.is_dir():
        real = Tally()
        console.print(_real_footage())
        console.print(_real_motion(real))
        console.print(_summary("Recorded motion of real people", real))
    else:
        console.print("Real footage and motion: not measured, the folder is not here.")


def _short_clips(tally: Tally) -> Table:
    table = Table(title="Short clips: counting with the movement known, naming without")
    for column in ("clip", "movement", "true", "found", "left/right true", "found", "peak error s",
                   "named", "back"):  # fmt: skip
        table.add_column(column)
    for truth_path in sorted((ROOT / "clips" / "short").glob("*.truth.json")):
        truth = json.loads(truth_path.read_text())
        track = extract(truth_path.with_name(truth["clip"]))
        signals = movement_signals(track)
        review = review_track(track)
        for i, period in enumerate(truth["periods"]):
            reps = [r for r in truth["reps"] if r["period"] == i]
            counted = _count(signals, period)
            errors = _note_counts(tally, period, reps, counted)
            name = _note_name(tally, signals, period)
            table.add_row(
                truth_path.name.removesuffix(".truth.json"),
                period["movement"],
                str(_true_count(period)),
                str(counted.count),
                _sides(period["left"], period["right"]),
                _sides(counted.of("left"), counted.of("right")),
                f"{np.mean(np.abs(errors)):.2f}" if errors else "-",
                name,
                _note_back(tally, review, truth),
            )
    return table


def _sessions(tally: Tally) -> Table:
    table = Table(title="Demo class against its plan")
    for column in ("clip", "boundaries true", "found", "F1 0.5 s", "F1 1 s", "median |error| s",
                   "time rightly labelled", "counts exact", "findings"):  # fmt: skip
        table.add_column(column)
    for truth_path in sorted((ROOT / "clips" / "demo").glob("*.truth.json")):
        truth = json.loads(truth_path.read_text())
        clip = truth_path.with_name(truth["clip"])
        track = extract(clip)
        for plan in (read_plan(clip.with_suffix(".plan.yaml")), None):
            review = review_track(track, plan)
            true_s = [p["start_s"] for p in truth["periods"][1:]]
            found_s = [p.start_s for p in review.periods[1:]]
            errors = matched_errors_s(true_s, found_s, 1.0)
            exact = []
            for i, period in enumerate(truth["periods"]):
                entry = catalogue().get(period["movement"])
                if entry is None or not entry.counts:
                    continue
                middle = 0.5 * (period["start_s"] + period["end_s"])
                got = next(p for p in review.periods if p.start_s <= middle < p.end_s)
                exact.append(got.reps.count == _true_count(period))
                if plan is not None:
                    reps = [r for r in truth["reps"] if r["period"] == i]
                    tally.true.append(_true_count(period))
                    tally.found.append(got.reps.count or 0)
                    peaks = [r.peak_s for r in got.reps.each]
                    tally.peak_errors_s += matched_errors_s([r["peak_s"] for r in reps], peaks, 1.0)
            table.add_row(
                clip.name + (" with plan" if plan else " without plan"),
                str(len(true_s)),
                str(len(found_s)),
                _f1(true_s, found_s, 0.5),
                _f1(true_s, found_s, 1.0),
                f"{np.median(np.abs(errors)):.2f}",
                f"{rightly_labelled(truth, review):.3f}",
                f"{sum(exact)}/{len(exact)}",
                str(sum(c.status != "as planned" for c in review.comparison)) if plan else "-",
            )
            if plan is not None:
                _note_back(tally, review, truth)
    return table


def _summary(title: str, tally: Tally) -> Table:
    score = count_score(tally.true, tally.found)
    table = Table(title=f"{title}: summary", show_header=False)
    peaks = np.abs(tally.peak_errors_s)
    rows = [
        ("periods with repetitions", str(score.periods)),
        ("exact / within one", f"{score.exact:.3f} / {score.within_one:.3f}"),
        ("normalised MAE / bias", f"{score.mae:.3f} / {score.bias:+.3f}"),
        ("repetitions found where there are none", str(score.false_in_empty)),
        ("mean / largest peak error s", f"{peaks.mean():.2f} / {peaks.max():.2f}"),
        ("named right / unknown / wrong",
         f"{tally.named_right} / {tally.unnamed} / {tally.named_wrong}"),
    ]  # fmt: skip
    judged = len(tally.change_flat_deg) + len(tally.change_rounded_deg)
    if judged:
        errors = np.abs(tally.change_error_deg)
        rows += [
            ("back: repetitions judged / not assessable", f"{judged} / {tally.not_assessable}"),
            (
                f"back: area under curve ({len(tally.change_rounded_deg)} rounded, "
                f"{len(tally.change_flat_deg)} flat)",
                f"{area_under_curve(tally.change_rounded_deg, tally.change_flat_deg):.3f}",
            ),
            ("back: mean |change - true flexion| deg", f"{errors.mean():.1f}"),
            ("back: flat repetitions flagged", str(tally.flat_flagged)),
        ]
    for row in rows:
        table.add_row(*row)
    return table


def _real_footage() -> Table:
    table = Table(title="Real footage")
    for column in ("clip", "true", "found at s", "complete"):
        table.add_column(column)
    for name, truth in (
        ("pose_squats.mp4", "squats at 2.0, 6.8, 11.8 s; the last cut off"),
        ("pose_1.mp4", "no squat, no jack"),
    ):
        review = review_track(extract(REAL / name))
        reps = [r for p in review.periods for r in p.reps.each]
        table.add_row(
            name,
            truth,
            ", ".join(f"{r.peak_s:.1f}" for r in reps) or "none",
            ", ".join("yes" if r.complete else "cut" for r in reps),
        )
    return table


# Labels of the recorded circuits that are counted surely, and the movement they are here.
REAL_MOVEMENTS = {
    "JumpJack": "jumping-jack",
    "Squat": "squat",
    "KneeRaise": "knee-lift",
    "ToeTouchOneHand": "toe-touch",
    "ToeTouchTwoHands": "toe-touch",
    "Jog": "jog",
}


def _real_motion(tally: Tally) -> Table:
    table = Table(title="Recorded motion of real people (joints, no video)")
    for column in ("recording", "label", "from-to s", "true", "found", "peak error s", "named"):
        table.add_column(column)
    for name, segments in circuit_truth().items():
        track = circuit(name)
        if track is None:
            continue
        signals = movement_signals(track)
        for segment in segments:
            movement = REAL_MOVEMENTS.get(segment["label"])
            if movement is None:
                continue
            period = {
                "movement": movement,
                "start_s": segment["start_s"],
                "end_s": segment["end_s"],
                "reps": len(segment["rep_peak_s"]),
                "left": 0,
                "right": 0,
            }
            counted = _count(signals, period)
            reps = [{"peak_s": t} for t in segment["rep_peak_s"]]
            errors = _note_counts(tally, period, reps, counted)
            table.add_row(
                name,
                segment["label"],
                f"{segment['start_s']:.1f}-{segment['end_s']:.1f}",
                str(period["reps"]),
                str(counted.count),
                f"{np.mean(np.abs(errors)):.2f}" if errors else "-",
                _note_name(tally, signals, period),
            )
    return table


def _count(signals: Signals, period: dict[str, Any]) -> Counted:
    entry = catalogue().get(period["movement"], catalogue()["other"])
    return count_reps(signals, entry, period["start_s"], period["end_s"])


def _true_count(period: dict[str, Any]) -> int:
    entry = catalogue().get(period["movement"])
    return period["reps"] if entry is not None and entry.counts else 0


def _note_counts(
    tally: Tally, period: dict[str, Any], reps: list[dict[str, Any]], counted: Counted
) -> list[float]:
    tally.true.append(_true_count(period))
    tally.found.append(counted.count)
    errors = matched_errors_s([r["peak_s"] for r in reps], [r.peak_s for r in counted.reps], 1.0)
    tally.peak_errors_s += errors
    return errors


def _note_name(tally: Tally, signals: Signals, period: dict[str, Any]) -> str:
    named = recognise(signals, period["start_s"], period["end_s"]).movement
    known = period["movement"] in catalogue() and bool(catalogue()[period["movement"]].looks)
    if named is None:
        tally.unnamed += known
        return "unknown"
    if named == period["movement"]:
        tally.named_right += 1
    else:
        tally.named_wrong += 1
    return named


def _note_back(tally: Tally, review: Review, truth: dict[str, Any]) -> str:
    """Compare every judged repetition with its true flexion; the first ones are the baseline."""
    found = [r for p in review.periods for r in p.reps.each]
    texts = []
    for true in truth["reps"]:
        entry = catalogue().get(true["movement"])
        if entry is None or not entry.bent_over:
            continue
        rep = min(found, key=lambda r: abs(r.peak_s - true["peak_s"]), default=None)
        if rep is None or abs(rep.peak_s - true["peak_s"]) > 0.7 or not rep.back.assessable:
            tally.not_assessable += 1
            continue
        change, flexion = rep.back.arc_change_deg, true["lumbar_deg"]
        rounded = flexion >= MIN_ROUNDED_DEG
        (tally.change_rounded_deg if rounded else tally.change_flat_deg).append(change)
        tally.change_error_deg.append(change - flexion)
        tally.flat_flagged += rep.back.rounded and not rounded
        texts.append(f"{change:+.0f}({flexion:.0f})")
    return " ".join(texts) or "-"


def _sides(left: int, right: int) -> str:
    return f"{left}/{right}" if left or right else "-"


def _f1(true_s: list[float], found_s: list[float], margin_s: float) -> str:
    precision, recall = precision_recall(true_s, found_s, margin_s)
    total = precision + recall
    return f"{2 * precision * recall / total:.3f}" if total else "0"


if __name__ == "__main__":
    main()
