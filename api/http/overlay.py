"""Skeleton and outline of the back to draw over the clip, compact, a minute at a time."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, Field

from annotate.form.back_arc import dorsal_side
from annotate.form.stills import BONES
from pose import landmarks as lm
from pose.body.outline import outline_px
from pose.track import BACK_FRACTIONS, PoseTrack

MAX_STRETCH_S = 60.0
# Steps across the picture's width and height: finer than the pixels of a usual screen.
UNITS = 2000
_SHOWN = (lm.NOSE, *sorted({i for bone in BONES for i in bone}))
_BACK = (BACK_FRACTIONS >= 0.0) & (BACK_FRACTIONS <= 0.9)


class ClipOverlay(BaseModel):
    """Positions over a stretch of the clip; `units` is the picture's full width and height."""

    units: int = Field(examples=[UNITS])
    landmarks: list[str] = Field(examples=[[lm.NAMES[i] for i in _SHOWN[:3]]])
    bones: list[list[int]] = Field(description="pairs of indices into landmarks")
    times_s: list[float]
    positions: list[list[int] | None] = Field(
        description="x, y of each landmark at each time; null where nobody was found"
    )
    back: list[list[int] | None] = Field(
        description="x, y along the outline of the back; null where it is not seen"
    )


def clip_overlay(track_file: Path, start_s: float, end_s: float) -> ClipOverlay:
    """Positions from `start_s` on, over at most :data:`MAX_STRETCH_S`."""
    track, dorsal = _read_track(track_file, track_file.stat().st_mtime_ns)
    end_s = min(end_s, start_s + MAX_STRETCH_S)
    here = np.flatnonzero((track.times_s >= start_s) & (track.times_s < end_s))
    size = np.array([max(track.clip.width, 1), max(track.clip.height, 1)], dtype=np.float64)
    place = {landmark: i for i, landmark in enumerate(_SHOWN)}
    # Hips and shoulders are joined as well: the frame of the trunk.
    trunk = [(lm.SHOULDERS[0], lm.SHOULDERS[1]), (lm.HIPS[0], lm.HIPS[1]),
             (lm.SHOULDERS[0], lm.HIPS[0]), (lm.SHOULDERS[1], lm.HIPS[1])]  # fmt: skip
    return ClipOverlay(
        units=UNITS,
        landmarks=[lm.NAMES[i] for i in _SHOWN],
        bones=[[place[a], place[b]] for a, b in (*BONES, *trunk) if a in place and b in place],
        times_s=[round(float(t), 3) for t in track.times_s[here]],
        positions=[_in_units(track.xy_px[i, list(_SHOWN)] / size) for i in here],
        back=[_back_points(track, i, int(dorsal[i]), size) for i in here],
    )


@lru_cache(maxsize=2)
def _read_track(track_file: Path, stamp: int) -> tuple[PoseTrack, NDArray[np.intp]]:
    track = PoseTrack.read_parquet(track_file)
    return track, dorsal_side(track)


def _back_points(
    track: PoseTrack, i: int, side: int, size: NDArray[np.float64]
) -> list[int] | None:
    xy = track.xy_px[i]
    chord = np.stack([xy[list(lm.HIPS)].mean(axis=0), xy[list(lm.SHOULDERS)].mean(axis=0)])
    points = outline_px(chord, track.outline[i, side], side)[_BACK]
    known = points[np.isfinite(points).all(axis=1)]
    return _in_units(known / size) if len(known) >= 3 else None


def _in_units(fractions: NDArray[Any]) -> list[int] | None:
    if not np.isfinite(fractions).all():
        return None
    flat: list[int] = np.round(fractions * UNITS).astype(int).ravel().tolist()
    return flat
