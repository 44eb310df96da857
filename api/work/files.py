"""Replace several files together: all of them or none.

Everything is written to a temporary folder beside the targets and then renamed. Only a kill between
two renames can leave old and new files mixed; :mod:`api.work.produce` notices and repairs that.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from api.errors import OutputError

# A text, a function that writes a file or a folder at a path, or None: the file is deleted.
Content = str | Callable[[Path], object] | None

_READY = ".making-"
# What a killed run left is deleted after a day: until then its owner may still be running.
_ABANDONED_S = 24 * 3600.0


def replace_together(folder: Path, contents: Mapping[str, Content]) -> None:
    """Write named files into a folder; nothing is replaced before all are ready.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    contents : mapping of file name to content
        Put in place in this order.

    Raises
    ------
    OutputError
        The folder cannot be made or written to; what was there stays.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _sweep(folder)
        with tempfile.TemporaryDirectory(prefix=_READY, dir=folder) as making:
            for name, content in contents.items():
                _make(Path(making) / name, content)
            for name in contents:
                _put(Path(making) / name, folder / name)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written to ({_reason(error)})") from error


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot be written to, before any long work.

    Raises
    ------
    OutputError
        A file is in the way, or the nearest existing parent is not writable.
    """
    nearest = folder
    while not nearest.exists() and nearest != nearest.parent:
        nearest = nearest.parent
    if not nearest.is_dir():
        raise OutputError(f"{nearest}: is a file, not a folder; name another with --out")
    if not os.access(nearest, os.W_OK):
        raise OutputError(f"{nearest}: cannot be written to; name another folder with --out")


def _make(path: Path, content: Content) -> None:
    if callable(content):
        content(path)
    elif content is not None:
        with path.open("w", encoding="utf-8", newline="") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())


def _put(ready: Path, target: Path) -> None:
    """Rename into place; where nothing was made, delete the target."""
    if target.is_dir():
        shutil.rmtree(target)
    if ready.exists():
        os.replace(ready, target)
    else:
        target.unlink(missing_ok=True)


def _sweep(folder: Path) -> None:
    for left in folder.glob(f"{_READY}*"):
        if time.time() - left.stat().st_mtime > _ABANDONED_S:
            shutil.rmtree(left, ignore_errors=True)


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
