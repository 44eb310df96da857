"""The music of a clip, heard once: its beats are remembered by what the file holds."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from threading import Event

import numpy as np
from numpy.typing import NDArray

from annotate.music.beat import Beat, find_beats
from annotate.music.onsets import onsets
from annotate.review.model import Notice
from pose.cache import atomic_write, cache_dir
from pose.errors import Cancelled, ClipError
from pose.video.sound import sound
from pose.video.source import Source

# Bumped whenever beats are found in another way.
MUSIC_VERSION = 1

Block = NDArray[np.float32]
Heard = tuple[tuple[Beat, ...], tuple[Notice, ...]]


def listen(clip: Source, sha256: str, stop: Event | None = None) -> Heard:
    """The music of a clip; a notice instead where its sound cannot be read.

    Parameters
    ----------
    sha256 : str
        Of the clip's content.
    stop : Event or None
        Once set, listening ends.

    Raises
    ------
    Cancelled
        `stop` was set meanwhile.
    """
    kept = cache_dir() / "music" / f"{sha256[:32]}-v{MUSIC_VERSION}.json"
    known = _recalled(kept)
    if known is not None:
        return known, ()
    try:
        beats = find_beats(onsets(_until(stop, sound(clip))))
    except ClipError as error:  # the pictures can still be judged
        return (), (Notice(level="warning", code="sound", text=str(error), origin="footage"),)
    _remember(beats, kept)
    return beats, ()


def _until(stop: Event | None, blocks: Iterator[Block]) -> Iterator[Block]:
    for block in blocks:
        if stop is not None and stop.is_set():
            raise Cancelled
        yield block


def _recalled(kept: Path) -> tuple[Beat, ...] | None:
    try:
        return tuple(Beat(**beat) for beat in json.loads(kept.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def _remember(beats: tuple[Beat, ...], kept: Path) -> None:
    """A few hundred bytes a clip; without room for them they are found anew next time."""
    try:
        with atomic_write(kept) as partial:
            partial.write_text(json.dumps([asdict(beat) for beat in beats]), encoding="utf-8")
    except OSError:
        pass
