"""Measure speed: each part alone, the whole review, and the analysis after the track.

python -m tests.benchmarks [--quick] [--only NAME]
"""

from __future__ import annotations

import argparse
import os
import time
from dataclasses import replace
from datetime import datetime

import numpy as np
from rich.console import Console
from rich.table import Table

from annotate import review_track
from annotate.plan.read import read_plan
from pose.extract.chunks import SAMPLE_RATE_HZ
from pose.extract.parallel import extract
from pose.track import PoseTrack
from tests.benchmarks.limit import measure_limit
from tests.benchmarks.material import AS_IT_IS, DEMO, Filmed, long_class
from tests.benchmarks.whole import review_twice

FULL = Filmed(1080, 30)
CASES = [
    (AS_IT_IS, 2.0),
    (AS_IT_IS, 10.0),
    (AS_IT_IS, 30.0),
    (Filmed(720, 30), 2.0),
    (Filmed(1080, 25), 2.0),
    (FULL, 2.0),
    (Filmed(1080, 30, spare=False), 2.0),
    (Filmed(1080, 60), 2.0),
    (FULL, 26.0),
]
QUICK = [(AS_IT_IS, 2.0), (FULL, 2.0)]


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("--quick", action="store_true", help="two short clips only")
    parser.add_argument("--only", metavar="NAME", help="only clips whose name has this in it")
    args = parser.parse_args()
    cases = QUICK if args.quick else CASES
    cases = [(f, m) for f, m in cases if (args.only or "") in f"{f.name} {m:g} min"]
    cores = len(os.sched_getaffinity(0))
    console = Console(width=150)
    load = ", ".join(f"{x:.1f}" for x in os.getloadavg())
    console.print(f"{datetime.now():%Y-%m-%d %H:%M}, {cores} cores, load before {load}")
    clips = [(f, m, *long_class(f, m)) for f, m in cases]

    table = Table(title="The whole review against its parts, core-milliseconds a second of video")
    for head in ("clip", "inference", "decode", "scale", "sum", "whole", "sum/whole", "cores busy",
                 "x real time", "pictures/s", "peak MB", "first word s", "again s"):  # fmt: skip
        table.add_column(head, justify="left" if head == "clip" else "right")
    for filmed, minutes, clip, plan in clips:
        limit = measure_limit(clip, cores)
        first, again = review_twice(clip, plan)
        length_s = 60 * minutes
        whole_s = first.cpu_s / length_s
        parts = (limit.inference_s, limit.decode_s, limit.scale_s, limit.whole_s, whole_s)
        table.add_row(
            f"{filmed.name} {minutes:g} min",
            *(f"{1000 * s:.1f}" for s in parts),
            f"{limit.whole_s / whole_s:.2f}",
            f"{first.cpu_s / first.wall_s:.2f}",
            f"{length_s / first.wall_s:.1f}",
            f"{SAMPLE_RATE_HZ * length_s / first.wall_s:.0f}",
            f"{first.peak_mb:.0f}",
            f"{first.first_word_s:.1f}",
            f"{again.wall_s:.1f}",
        )
        cells = [str(list(column.cells)[-1]) for column in table.columns]
        console.print(f"[dim]{', '.join(cells)}; load {os.getloadavg()[0]:.1f}")
    console.print(table)
    _print_analysis(console)


def _print_analysis(console: Console) -> None:
    """Time of the analysis after the track: the demo's own track over and over."""
    track = extract(DEMO / "harbour.mp4")
    plan = read_plan(DEMO / "harbour.plan.yaml")
    review_track(track, plan)
    table = Table(title="Analysis after the track")
    for head in ("minutes", "periods", "seconds", "core-seconds"):
        table.add_column(head, justify="right")
    for times in (1, 3, 9):
        length_s = track.clip.duration_s
        long = PoseTrack(
            np.concatenate([track.times_s + i * length_s for i in range(times)]),
            np.concatenate([track.xy_px] * times),
            np.concatenate([track.world_m] * times),
            np.concatenate([track.visibility] * times),
            np.concatenate([track.outline] * times),
            replace(track.clip, duration_s=times * length_s),
        )
        began, began_core = time.perf_counter(), time.process_time()
        review = review_track(long, plan.model_copy(update={"blocks": plan.blocks * times}))
        took = (time.perf_counter() - began, time.process_time() - began_core)
        minutes = f"{times * length_s / 60:.1f}"
        table.add_row(minutes, str(len(review.periods)), *(f"{s:.2f}" for s in took))
    console.print(table)


if __name__ == "__main__":
    main()
