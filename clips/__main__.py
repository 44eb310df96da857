"""Render clips: ``python -m clips demo``, ``short``, or ``one MOVEMENT``."""

from __future__ import annotations

import argparse
from pathlib import Path

from clips.body import BODIES
from clips.camera import Camera
from clips.demo_class import write_demo
from clips.film import Shot, film
from clips.looks import LOOKS
from clips.motions import MOVEMENTS
from clips.session import Period
from clips.short_clips import SHORT_CLIPS

HERE = Path(__file__).parent


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m clips", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    demo = commands.add_parser("demo", help="the demo class, with plan, captions and truth")
    demo.add_argument("--out", type=Path, default=HERE / "demo")
    short = commands.add_parser("short", help="the short test clips")
    short.add_argument("names", nargs="*", metavar="NAME", help="only these")
    short.add_argument("--out", type=Path, default=HERE / "short")
    one = commands.add_parser("one", help="one movement as seen by a camera of your choice")
    one.add_argument("movement", choices=sorted(MOVEMENTS))
    one.add_argument("--out", type=Path, default=Path())
    one.add_argument("--name", help="default: movement and yaw")
    one.add_argument("--duration", type=float, default=8.0, metavar="SECONDS")
    one.add_argument("--reps", type=int)
    one.add_argument("--sides", help="such as LLLRR")
    one.add_argument("--lumbar", default="0", metavar="DEG[,DEG...]", help="flexion of each rep")
    one.add_argument("--amplitude", type=float, default=1.0)
    one.add_argument("--amplitude-jitter", type=float, default=0.03)
    one.add_argument("--tempo-jitter", type=float, default=0.03)
    one.add_argument("--yaw", type=float, default=0.0, metavar="DEG")
    one.add_argument("--height", type=float, default=1.1, metavar="M", help="of the camera")
    one.add_argument("--distance", type=float, default=4.5, metavar="M", help="of the camera")
    one.add_argument("--fov", type=float, default=36.0, metavar="DEG")
    one.add_argument("--body", default="woman-a", choices=sorted(p.stem for p in BODIES.iterdir()))
    one.add_argument("--look", default="teal", choices=sorted(LOOKS))
    one.add_argument("--size", type=int, nargs=2, default=(640, 360), metavar=("W", "H"))
    one.add_argument("--seed", type=int, default=1)
    return parser


def _one(options: argparse.Namespace) -> Shot:
    letters = {"L": "left", "R": "right"}
    period = Period(
        "work" if not MOVEMENTS[options.movement].gesture else "still",
        options.movement,
        options.duration,
        reps=options.reps,
        sides=tuple(letters[letter] for letter in (options.sides or "").upper()),
        amplitude=options.amplitude,
        amplitude_jitter=options.amplitude_jitter,
        tempo_jitter=options.tempo_jitter,
        lumbar_deg=tuple(float(value) for value in options.lumbar.split(",")),
    )
    return Shot(
        options.name or f"{options.movement}-{options.yaw:.0f}",
        (period,),
        options.body,
        options.look,
        Camera(options.yaw, options.height, options.distance, options.fov),
        width_px=options.size[0],
        height_px=options.size[1],
        seed=options.seed,
    )


def main() -> None:
    """Command line."""
    options = _parser().parse_args()
    if options.command == "one":
        print(film(_one(options), options.out))
    elif options.command == "short":
        for shot in SHORT_CLIPS:
            if not options.names or shot.name in options.names:
                print(film(shot, options.out), flush=True)
    else:
        print(write_demo(options.out))


if __name__ == "__main__":
    main()
