"""What has to be known of a whole clip before its chunks: who is in it, and whom to follow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pose.body.engine import Engine, chosen_engine, open_landmarker
from pose.body.landmarker import Landmarker
from pose.body.look import Sighting, look_around
from pose.body.model import model_file, model_id
from pose.body.people import join_people, person_at
from pose.errors import PersonNotFound
from pose.extract.pictures import MAX_SIDE_PX, after_key
from pose.persons import People
from pose.video.decode import frames
from pose.video.picture import Frame
from pose.video.probe import ClipProbe, probe
from pose.video.source import Source

# Looking at a picture a survey takes about as long as tracking one or two: one every three seconds
# is a fortieth of what follows.
_STEP_S = 3.0
# Pictures with a thorough look, evenly over the clip: 20 looks each. At most one for every half
# minute of the clip, or a short clip would be surveyed for longer than it is followed.
_MAX_THOROUGH, _THOROUGH_STEP_S = 8, 30.0
# A short clip is looked at this often all the same.
_MIN_PICTURES = 5


@dataclass(frozen=True)
class Pick:
    """Whom to follow, told by hand: a point of the picture, as fractions of its width and height.

    `time_s` None: whoever is there in most pictures.
    """

    x: float
    y: float
    time_s: float | None = None


@dataclass(frozen=True, eq=False)
class Survey:
    """What has to be known of the whole clip before its chunks."""

    clip: ClipProbe
    people: People
    model_id: str
    engine: Engine


def survey(source: Source, clip: ClipProbe | None = None, pick: Pick | None = None) -> Survey:
    """Find out who is in a clip and whom to follow.

    Parameters
    ----------
    source : path or address
    clip : ClipProbe or None
        Its probe, if already made.
    pick : Pick or None
        Whom to follow; None: whom the clip is about.

    Raises
    ------
    ClipError, ModelError
    PersonNotFound
        Nobody is where `pick` points.
    """
    clip = clip or probe(source)
    model = model_file()
    engine = chosen_engine()
    with open_landmarker(model, engine) as landmarker:
        seen = join_people(list(_looks(source, clip, landmarker)))
    followed = 0 if seen else None
    if pick is not None:
        followed = person_at(seen, pick.x, pick.y, pick.time_s)
        if followed is None:
            raise PersonNotFound(_nobody_at(pick, len(seen)))
    return Survey(clip, People(seen, followed), model_id(model), engine)


def _looks(source: Source, clip: ClipProbe, landmarker: Landmarker) -> Iterator[list[Sighting]]:
    """Who is in each picture of the survey, in order of time."""
    times_s = _survey_times_s(clip)
    count = int(np.clip(clip.info.duration_s / _THOROUGH_STEP_S, 1, _MAX_THOROUGH))
    thorough = set(np.linspace(0, len(times_s) - 1, count).round().astype(int).tolist())
    before: list[Sighting] = []
    for number, time_s in enumerate(times_s):
        frame = _picture(source, time_s)
        if frame is None:
            continue
        known = [s.place for s in before]
        before = look_around(frame, landmarker, known, thorough=number in thorough)
        yield before


def _survey_times_s(clip: ClipProbe) -> list[float]:
    """Key frames, because each needs one picture decoded; no two nearer than the step."""
    step_s = min(_STEP_S, clip.info.duration_s / _MIN_PICTURES)
    times_s: list[float] = []
    for key_s in clip.key_times_s.tolist():
        if not times_s or key_s - times_s[-1] >= step_s:
            times_s.append(key_s)
    return times_s


def _picture(source: Source, time_s: float) -> Frame | None:
    every = 1e3  # pictures a second: all there are
    found = frames(
        source,
        sample_rate_hz=every,
        start_s=after_key(time_s, every),
        max_side_px=MAX_SIDE_PX,
    )
    return next(found, None)


def _nobody_at(pick: Pick, people: int) -> str:
    at = "" if pick.time_s is None else f" at {pick.time_s:g} s"
    found = "nobody was found" if not people else f"{people} found elsewhere"
    return (
        f"--person {pick.x:g},{pick.y:g}{at}: nobody is there ({found}); give a point on the body, "
        "as fractions of the picture's width and height"
    )
