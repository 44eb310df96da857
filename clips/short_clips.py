"""The short test clips: one movement each, different bodies, looks and cameras."""

from __future__ import annotations

from clips.camera import Camera
from clips.film import Shot
from clips.session import Period


def _work(movement: str, reps: int, duration_s: float, **more: object) -> tuple[Period, ...]:
    return (Period("work", movement, duration_s, reps=reps, **more),)  # type: ignore[arg-type]


SIDE = Camera(yaw_deg=90, height_m=1.0, distance_m=3.4, aim_m=(0.0, 0.0, 0.90))
OBLIQUE = Camera(yaw_deg=45, height_m=1.2, distance_m=3.6, aim_m=(0.0, 0.0, 0.95))
FRONT = Camera(yaw_deg=0, height_m=1.1, distance_m=4.1, aim_m=(0.0, 0.0, 0.98))

SHORT_CLIPS = (
    Shot("squat-side", _work("squat", 4, 9), "woman-a", "teal", SIDE, seed=11),
    Shot("squat-oblique", _work("squat", 4, 9), "man-a", "ochre", OBLIQUE, seed=12),
    Shot("squat-front", _work("squat", 4, 9), "woman-b", "plum", FRONT, seed=13),
    Shot("hinge-flat-side", _work("hip-hinge", 4, 10), "man-b", "night", SIDE, seed=14),
    Shot(
        "hinge-rounding-side",
        _work("hip-hinge", 6, 13, lumbar_deg=(0.0, 0.0, 0.0, 40.0)),
        "woman-a", "teal", SIDE, seed=15,
    ),
    Shot(
        "hinge-loose-top-side",
        _work("hip-hinge", 6, 13, lumbar_deg=(0.0, 0.0, 0.0, 40.0)),
        "woman-b", "coral", SIDE, seed=16,
    ),
    Shot("jack-front", _work("jumping-jack", 8, 9), "woman-a", "mint", FRONT, seed=17),
    Shot("march-oblique", _work("march", 16, 9), "man-a", "grey", OBLIQUE, seed=18),
    Shot("knee-lift-oblique", _work("knee-lift", 8, 9), "woman-b", "teal",
         Camera(yaw_deg=45, height_m=1.2, distance_m=4.9, aim_m=(0.0, 0.0, 1.0)), seed=19),
    Shot(
        "hamstring-curl-oblique", _work("hamstring-curl", 8, 8), "man-b", "ochre",
        Camera(yaw_deg=-50, height_m=1.3, distance_m=3.5, aim_m=(0.0, 0.0, 0.92)), seed=20,
    ),
    Shot("side-lunge-front", _work("side-lunge", 4, 9), "woman-a", "plum", FRONT, seed=21),
    Shot(
        "push-up-side", _work("push-up", 4, 8.5), "man-a", "night",
        Camera(yaw_deg=90, height_m=0.8, distance_m=3.4, aim_m=(0.0, -0.7, 0.4)), seed=22,
    ),
    Shot("talk", (Period("still", "talk", 9),), "woman-b", "coral",
         Camera(yaw_deg=15, height_m=1.4, distance_m=3.4, aim_m=(0.0, 0.0, 0.95)), seed=23),
    Shot(
        "squat-portrait", _work("squat", 3, 7), "woman-a", "grey",
        Camera(yaw_deg=60, height_m=1.2, distance_m=3.3, aim_m=(0.0, 0.0, 0.9)),
        width_px=360, height_px=640, seed=24, upright=True,
    ),
)  # fmt: skip
