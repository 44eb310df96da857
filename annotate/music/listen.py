"""The music of a clip, analysed once: its beats are cached by the content of the file."""

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

# Raise it whenever beats are found in another way: cached ones then no longer count.
MUSIC_VERSION = 1

Block = NDArray[np.float32]
Heard = tuple[tuple[Beat, ...], tuple[Notice, ...]]


def listen(clip: Source, sha256: str, stop: Event | None = None) -> Heard:
    """Find the beats of a clip's music, or give a notice where its sound cannot be read.

    Parameters
    ----------
    clip : path
        The video.
    sha256 : str
        Of the clip's content; beats are cached under it.
    stop : Event or None
        Once set, the analysis ends.

    Returns
    -------
    tuple of Beat
    tuple of Notice

    Raises
    ------
    Cancelled
        `stop` was set.
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
    """Cache the beats; where that fails they are found again next time."""
    try:
        with atomic_write(kept) as partial:
            partial.write_text(json.dumps([asdict(beat) for beat in beats]), encoding="utf-8")
    except OSError:
        pass
