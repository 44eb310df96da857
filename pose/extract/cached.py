"""Cached tracks of earlier runs: by content, model and settings, within a limit of size.

Several processes may use the cache at once: a track appears whole or not at all, and one that
another process deletes while it is read counts as not cached.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from pose.body.engine import Engine
from pose.cache import atomic_write, cache_dir, limit_size
from pose.errors import TrackError
from pose.extract.chunks import TRACKING_VERSION
from pose.extract.pictures import MAX_SIDE_PX
from pose.persons import Pick
from pose.track import TRACK_VERSION, ClipInfo, PoseTrack

# An hour of class is about 50 MB, so this is 80 hours.
MAX_BYTES = 4 << 30


def track_file(
    sha256: str, model_id: str, engine: Engine, sample_rate_hz: float, pick: Pick | None = None
) -> Path:
    """Where the track of a clip is cached, whether it is there or not."""
    how = f"{sample_rate_hz:g}hz-{MAX_SIDE_PX}px-v{TRACK_VERSION}.{TRACKING_VERSION}"
    if pick is not None:
        how += f"-person-{pick}"
    return cache_dir() / "tracks" / f"{sha256[:32]}-{model_id}-{engine}-{how}.parquet"


def read_cached(stored: Path, info: ClipInfo) -> PoseTrack | None:
    """The cached track; None when there is none or it cannot be read."""
    if not stored.is_file():
        return None
    try:
        os.utime(stored)  # used now, so deleted last
        # The same content may have another name by now.
        return replace(PoseTrack.read_parquet(stored), clip=info)
    except (TrackError, OSError, KeyError, TypeError, ValueError):
        return None


def write_cached(track: PoseTrack, stored: Path) -> None:
    """Cache the track for next time; a cache that cannot be written only costs time."""
    try:
        with atomic_write(stored) as partial:
            track.write_parquet(partial)
        limit_size(stored.parent, MAX_BYTES)
    except OSError:
        pass
