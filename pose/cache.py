"""The user's cache folder, and writing files so that nobody sees half of one.

Everything in the folder can be made again: the model bundle from the installed wheel, tracks
from their clips. Deleting it costs time and nothing else.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import platformdirs

CACHE_VARIABLE = "TAKEPROOF_CACHE"
_PARTIAL_PREFIX = ".making-"
# No file takes a day to write: what is older was left by a process that died.
_MAX_PARTIAL_AGE_S = 24 * 3600.0


def cache_dir() -> Path:
    """The folder named by ``TAKEPROOF_CACHE``, else the platform's own; it may not exist yet."""
    named = os.environ.get(CACHE_VARIABLE)
    return Path(named) if named else platformdirs.user_cache_path("takeproof", appauthor=False)


@contextmanager
def atomic_write(path: Path) -> Iterator[Path]:
    """A path to write to. It becomes `path` when the block ends, and is deleted if it fails.

    The name is unique, so two processes may write the same file at once: the later one replaces
    the earlier one, and a reader never sees half a file.

    Raises
    ------
    OSError
        The folder cannot be made or written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=_PARTIAL_PREFIX, dir=path.parent) as folder:
        partial = Path(folder) / path.name
        yield partial
        partial.replace(path)


def limit_size(folder: Path, max_bytes: int) -> None:
    """Delete the files of a folder that were not used for longest, until the rest fits.

    Half-written files of a process that died are deleted after a day.
    """
    files: list[tuple[float, int, Path]] = []
    for path in folder.iterdir():
        try:
            state = path.stat()
        except FileNotFoundError:  # another process has deleted it
            continue
        if path.is_file():
            files.append((state.st_mtime, state.st_size, path))
        elif (
            path.name.startswith(_PARTIAL_PREFIX)
            and time.time() - state.st_mtime > _MAX_PARTIAL_AGE_S
        ):
            shutil.rmtree(path, ignore_errors=True)
    held = 0
    for _, size, path in sorted(files, reverse=True):
        held += size
        if held > max_bytes:
            path.unlink(missing_ok=True)


def delete_cached_clip(sha256: str) -> None:
    """Delete everything cached of a clip, by the hash of its content."""
    if len(sha256) < 32 or not sha256.isalnum():
        return
    for kept in cache_dir().glob(f"*/{sha256[:32]}-*"):
        kept.unlink(missing_ok=True)
