"""The demo class: Harbour intervals, week 3, filmed once, with four slips against its plan.

The plan is ``demo/harbour.plan.yaml``. What was filmed differs from it in this and nothing else:

- squat, round 2: 10 s of work instead of 15, and 5 squats instead of 7;
- hip hinge, round 3: left out, with its recovery;
- hip hinge, round 4: the lower back rounds in the last three of six repetitions, at the same
  inclination of the trunk;
- knee lift, round 2: 7 on the left, but only 5 on the right.
"""

from __future__ import annotations

from pathlib import Path

from clips.camera import Camera
from clips.film import Shot, film
from clips.session import Period, perform
from clips.spoken import Announced, spoken_cues, webvtt

WORK_S, RECOVERY_S = 15.0, 8.0
SHORT_WORK_S = 10.0
ROUNDING_DEG = (0.0, 0.0, 0.0, 32.0, 36.0, 40.0)
UNEVEN = ("left", "right") * 5 + ("left", "left")


def _tap() -> Period:
    return Period("recovery", "quarter-squat-tap", RECOVERY_S, reps=6)


def _step() -> Period:
    return Period("recovery", "step-touch", RECOVERY_S, reps=6)


def _march(kind: str, duration_s: float) -> Period:
    return Period(kind, "march", duration_s, cadence_per_min=110)


def _hinge(lumbar_deg: tuple[float, ...] = (0.0,)) -> Period:
    return Period(
        "work", "hip-hinge", WORK_S, reps=6, amplitude_jitter=0.015, lumbar_deg=lumbar_deg
    )


DELIVERED = (
    (_march("warm-up", 16), Announced("march", "March it out. Easy to begin with.")),
    (
        Period("work", "squat", WORK_S, reps=7),
        Announced("squat, round one of three", "Squat. Seven of them.", count_first=2),
    ),
    (_tap(), Announced("quarter squat and tap", "Ease off. Tap and tap.")),
    (
        Period("work", "squat", SHORT_WORK_S, reps=5),
        Announced("squat, round two of three", "And squat. Chest up."),
    ),
    (_tap(), Announced("quarter squat and tap", "Small squat, tap it out.")),
    (
        Period("work", "squat", WORK_S, reps=7),
        Announced("squat, last round", "Last round. Sit back.", last_call=True),
    ),
    (_tap(), Announced("quarter squat and tap", "Tap. Good work.")),
    (
        _hinge(),
        Announced("hip hinge, round one of four", "Hinge. Long back.", count_first=2),
    ),
    (_step(), Announced("step touch", "Step and touch. Breathe.")),
    (
        _hinge(),
        Announced("hip hinge, round two of four", "And hinge. Hips back.", last_call=True),
    ),
    (_step(), Announced("step touch", "Side to side. Shake it out.")),
    (_hinge(ROUNDING_DEG), Announced("hip hinge, last round", "Last hinge. Stay with me.")),
    (_step(), Announced("step touch", "Step and touch. Well done.")),
    (
        Period("work", "knee-lift", WORK_S, reps=14),
        Announced("knee lift, seven each side", "Knees up. Left and right."),
    ),
    (_march("recovery", RECOVERY_S), Announced("march", "March. Bring it down.")),
    (
        Period("work", "knee-lift", WORK_S, sides=UNEVEN),
        Announced("knee lift, last round", "Pull it down. Seven each side.", last_call=True),
    ),
    (_march("recovery", RECOVERY_S), Announced("march", "March. Nearly there.")),
    (
        Period("cool-down", "reach", 14, reps=6),
        Announced("reach, nice and slow", "Slow reaches. Long and tall."),
    ),
)

DEMO = Shot(
    "harbour",
    tuple(period for period, _ in DELIVERED),
    "woman-a",
    "teal",
    Camera(yaw_deg=78, height_m=1.15, distance_m=4.0, aim_m=(0.0, 0.0, 1.0)),
    seed=2024,
    sound=True,
)


def write_captions(folder: Path) -> Path:
    """Write the spoken cues, ``harbour.vtt``."""
    session = perform(DEMO.periods, DEMO.seed, DEMO.frame_rate)
    path = folder / f"{DEMO.name}.vtt"
    path.write_text(webvtt(spoken_cues(session, tuple(named for _, named in DELIVERED))))
    return path


def write_demo(folder: Path) -> Path:
    """Film the demo class: clip, truth and captions. The plan is written by hand, beside them."""
    folder.mkdir(parents=True, exist_ok=True)
    write_captions(folder)
    return film(DEMO, folder)
