"""What has to be known of a whole clip before its chunks: who is in it, and whom to follow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pose.body.engine import Engine, chosen_engine, open_landmarker
from pose.body.landmarker import Landmarker
from pose.body.look import Sighting, look_around
from pose.body.model import model_file, model_id
from pose.body.people import join_people, person_at
from pose.errors import PersonNotFound
from pose.extract.pictures import MAX_SIDE_PX, after_key
from pose.persons import People, PersonSeen, Pick
from pose.track import ClipInfo
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
# With more key frames than this they are enough, however far apart: nobody who matters in a film of
# minutes is in none of them.
_ENOUGH_KEYS = 12


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
        followed = _picked(seen, pick, clip.info)
    people = People(seen, followed, picked=None if pick is None else str(pick))
    return Survey(clip, people, model_id(model), engine)


def _looks(source: Source, clip: ClipProbe, landmarker: Landmarker) -> Iterator[list[Sighting]]:
    """Who is in each picture of the survey, in order of time."""
    count = int(np.clip(clip.info.duration_s / _THOROUGH_STEP_S, 1, _MAX_THOROUGH))
    next_thorough_s, step_s = 0.0, clip.info.duration_s / count
    before: list[Sighting] = []
    for frame in _pictures(source, clip):
        thorough = frame.time_s >= next_thorough_s
        next_thorough_s += step_s if thorough else 0.0
        before = look_around(frame, landmarker, [s.place for s in before], thorough=thorough)
        yield before


def _pictures(source: Source, clip: ClipProbe) -> Iterator[Frame]:
    """Pictures of the survey, no two nearer than the step.

    Key frames where there are enough: each needs one picture decoded. In a short film with few of
    them somebody may come and go between two, so all of it is decoded.
    """
    step_s = min(_STEP_S, clip.info.duration_s / _MIN_PICTURES)
    keys_s: list[float] = []
    for key_s in clip.key_times_s.tolist():
        if not keys_s or key_s - keys_s[-1] >= step_s:
            keys_s.append(key_s)
    if len(keys_s) < min(_ENOUGH_KEYS, clip.info.duration_s / step_s):
        yield from frames(source, sample_rate_hz=1 / step_s, max_side_px=MAX_SIDE_PX)
        return
    every = 1e3  # pictures a second: all there are
    for key_s in keys_s:
        start_s = after_key(key_s, every)
        found = frames(source, sample_rate_hz=every, start_s=start_s, max_side_px=MAX_SIDE_PX)
        frame = next(found, None)
        if frame is not None:
            yield frame


def _picked(seen: Sequence[PersonSeen], pick: Pick, clip: ClipInfo) -> int:
    """Who is at the point; an error where nobody is."""
    x, y = pick.x, pick.y
    if max(x, y) > 1:
        x, y = x / max(clip.width, 1), y / max(clip.height, 1)
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise PersonNotFound(
            f"person {pick}: outside of the picture, which is {clip.width} x {clip.height} pixels"
        )
    if pick.time_s is not None and pick.time_s > clip.duration_s:
        raise PersonNotFound(f"person {pick}: the clip ends at {clip.duration_s:.0f} s")
    found = person_at(seen, x, y, pick.time_s)
    if found is None:
        others = f"{len(seen)} found elsewhere" if seen else "nobody was found at all"
        raise PersonNotFound(f"person {pick}: nobody is there ({others}); give a point on the body")
    return found
