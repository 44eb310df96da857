"""Boundaries, labels and departures over many seeded classes, without rendering.

    python -m tests.accuracy.sessions [COUNT [FIRST]]
    python -m tests.accuracy.sessions rendered

Joints are exact up to noise like the model's, so this measures the segmenter and the comparison,
not the pose model. ``rendered`` films six of the classes as pictures (into the user's cache; some
minutes each the first time) and goes the whole way.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import combinations, repeat
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate import review_track
from annotate.plan.unroll import unroll
from annotate.review.model import Review
from clips.session import Period
from pose.extract.parallel import extract
from pose.track import PoseTrack
from tests.accuracy.departures import DEPARTURES, judge, seeded_class
from tests.accuracy.labels import rightly_labelled
from tests.accuracy.metrics import matched_errors_s
from tests.film import film

COUNT = 200
# Seeds of the classes that are rendered: a mix of views, bodies, movements and departures.
RENDERED = (1, 5, 23, 27, 3, 105)
FRAME_RATE = 12.5
# Less of the time rightly labelled than this is worth a line.
LABELLED = 0.9
YAWS_DEG = (0, 30, 45, 60, 80, -70)
BODIES = ("woman-a", "man-a", "woman-b", "man-b")


@dataclass
class Boundaries:
    """Boundaries gathered over classes."""

    true: int = 0
    found: int = 0
    errors_s: list[float] = field(default_factory=list)
    labelled: list[float] = field(default_factory=list)

    def add(self, truth: dict[str, Any], review: Review) -> None:
        """Take in one class."""
        true = [p["start_s"] for p in truth["periods"][1:]]
        found = [p.start_s for p in review.periods[1:]]
        self.true += len(true)
        self.found += len(found)
        self.errors_s += matched_errors_s(true, found, 1.0)
        self.labelled.append(rightly_labelled(truth, review))

    def join(self, other: Boundaries) -> None:
        """Take in what was gathered elsewhere."""
        self.true += other.true
        self.found += other.found
        self.errors_s += other.errors_s
        self.labelled += other.labelled

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


@dataclass
class Results:
    """What is gathered over classes."""

    with_plan: Boundaries = field(default_factory=Boundaries)
    without: Boundaries = field(default_factory=Boundaries)
    told: Counter[str] = field(default_factory=Counter)
    missed: Counter[str] = field(default_factory=Counter)
    invented: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)

    def join(self, other: Results) -> None:
        """Take in what was gathered elsewhere."""
        self.with_plan.join(other.with_plan)
        self.without.join(other.without)
        self.told.update(other.told)
        self.missed.update(other.missed)
        self.invented += other.invented
        self.lines += other.lines


def filmed(seed: int, performed: tuple[Period, ...]) -> tuple[PoseTrack, dict[str, Any]]:
    """The class as exact joints."""
    yaw, body = YAWS_DEG[seed % len(YAWS_DEG)], BODIES[seed % len(BODIES)]
    return film(performed, seed=seed, yaw_deg=yaw, body_name=body)


def rendered(seed: int, performed: tuple[Period, ...]) -> tuple[PoseTrack, dict[str, Any]]:
    """The class as a video, looked at by the pose model."""
    from clips.camera import Camera
    from clips.film import Shot
    from tests.accuracy.rendered_set import film_of

    yaw, body = YAWS_DEG[seed % len(YAWS_DEG)], BODIES[seed % len(BODIES)]
    camera = Camera(yaw_deg=yaw, height_m=1.05, distance_m=4.6, aim_m=(0.0, 0.0, 1.0))
    looks = ("teal", "coral", "plum", "grey", "mint", "night")
    shot = Shot(
        f"class-{seed}", performed, body, looks[seed % len(looks)], camera,
        frame_rate=FRAME_RATE, seed=seed,
    )  # fmt: skip
    clip = film_of(shot)
    return extract(clip), json.loads(clip.with_suffix(".truth.json").read_text())


def measure(seed: int, as_pictures: bool) -> Results:
    """Review one class with and without its plan."""
    plan, performed, departures, unseen = seeded_class(seed, departures_of(seed))
    track, truth = (rendered if as_pictures else filmed)(seed, performed)
    for start_s, end_s in unseen:
        gone = (track.times_s >= start_s) & (track.times_s < end_s)
        track.xy_px[gone] = np.nan
        track.world_m[gone] = np.nan
    review, bare = review_track(track, plan), review_track(track)
    results = Results()
    results.with_plan.add(truth, review)
    results.without.add(truth, bare)
    result = judge(review, unroll(plan), departures)
    results.told.update(d.name for d in departures)
    results.missed.update(line.partition(" at ")[0] for line in result.missed)
    results.invented += result.invented
    results.lines += [f"class {seed}: missed {line}" for line in result.missed]
    results.lines += [f"class {seed}: invented {line}" for line in result.invented]
    labelled = results.without.labelled[0]
    if labelled < LABELLED:
        results.lines.append(f"class {seed}: without plan {labelled:.3f} of the time labelled")
    return results


def main(asked: str = str(COUNT), first: str = "0") -> None:
    """Print both tables."""
    console = Console(width=118)
    results = Results()
    as_pictures = asked == "rendered"
    seeds = RENDERED if as_pictures else range(int(first), int(first) + int(asked))
    with ProcessPoolExecutor() as pool:
        for one in pool.map(measure, seeds, repeat(as_pictures)):
            results.join(one)
            for line in one.lines:
                console.print(line)

    table = Table(title=f"{len(seeds)} seeded classes: boundaries (precision / recall / F1)")
    for column in ("", "boundaries", "within 0.5 s", "within 1 s", "median |error| s",
                   "time rightly labelled"):  # fmt: skip
        table.add_column(column)
    table.add_row("with plan", *results.with_plan.row())
    table.add_row("without plan", *results.without.row())
    console.print(table)

    table = Table(title="Departures from the plan")
    for column in ("departure", "seeded", "missed"):
        table.add_column(column)
    for name, seeded in sorted(results.told.items()):
        table.add_row(name, str(seeded), str(results.missed[name]))
    table.add_row("findings invented", "", str(len(results.invented)))
    console.print(table)


if __name__ == "__main__":
    main(*sys.argv[1:3])
