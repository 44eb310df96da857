"""Where a clip is read from: a file, or any address fsspec knows, such as ``s3://bucket/take.mp4``.

Of an address only the stretches that are asked for travel: nothing is copied to this machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import Any

import av

from pose.errors import ClipError


@dataclass(frozen=True)
class StoredClip:
    """A clip kept under a file name of ours, and the name its owner knows it by.

    Messages show the owner's name; :func:`open` and :class:`~pathlib.Path` take the file's.
    """

    path: Path
    name: str

    def __fspath__(self) -> str:
        return str(self.path)

    def __str__(self) -> str:
        return self.name


Source = str | Path | StoredClip

# What is read ahead from a store at once: about three seconds of a 1080p class.
_BLOCK_BYTES = 4 << 20


def is_address(source: Source) -> bool:
    """True for ``protocol://...``; everything else is a path, colons included."""
    return isinstance(source, str) and "://" in source


def name_of(source: Source) -> str:
    """The clip's own name, without the way to it."""
    if isinstance(source, StoredClip):
        return source.name
    return str(source).rstrip("/").rsplit("/", 1)[-1] if is_address(source) else Path(source).name


@contextmanager
def open_bytes(source: Source) -> Iterator[BufferedReader]:
    """The bytes of a clip, open for reading anywhere.

    Raises
    ------
    ClipError
        An address that nothing installed here can read.
    OSError
        As :func:`open`.
    """
    if not is_address(source):
        with Path(source).open("rb") as file:
            yield file
        return
    try:
        import fsspec

        remote = fsspec.open(str(source), "rb", block_size=_BLOCK_BYTES)
    except ImportError as error:
        raise ClipError(f"{source}: cannot be read ({error}); install what is missing") from error
    except ValueError as error:
        raise ClipError(f"{source}: {error}; give a path or an address fsspec knows") from error
    with remote as file:
        yield file


@contextmanager
def open_container(source: Source) -> Iterator[Any]:
    """The clip as PyAV's container; raises what PyAV and :func:`open_bytes` raise."""
    if is_address(source):
        with open_bytes(source) as file, av.open(file) as container:
            yield container
    else:
        # Resolved, so that a name such as "take:2.mp4" is not read as a protocol.
        with av.open(str(Path(source).resolve())) as container:
            yield container
