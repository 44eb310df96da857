"""Which engine finds the body, and opening it.

LiteRT runs on every Python and brings one library of 59 MB. mediapipe 0.10.21 exists for Python up
to 3.12 only and is the reference that LiteRT is measured against (docs/measurements.md).
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Literal, cast, get_args

from pose.body.landmarker import Landmarker
from pose.errors import ModelError

ENGINE_VARIABLE = "TAKEPROOF_ENGINE"
Engine = Literal["litert", "mediapipe"]
DEFAULT_ENGINE: Engine = "litert"
_PACKAGES: dict[Engine, str] = {"litert": "ai-edge-litert", "mediapipe": "mediapipe"}


def chosen_engine() -> Engine:
    """The engine named by ``TAKEPROOF_ENGINE``, else the default.

    Raises
    ------
    ModelError
        The variable names no engine.
    """
    named = os.environ.get(ENGINE_VARIABLE) or DEFAULT_ENGINE
    if named not in get_args(Engine):
        raise ModelError(
            f"{ENGINE_VARIABLE}={named}: no such engine; set it to "
            f"{' or '.join(get_args(Engine))}, or unset it"
        )
    return cast(Engine, named)


def runtime(engine: Engine) -> str:
    """The library that an engine runs in, with its version; part of every review."""
    try:
        return f"{_PACKAGES[engine]} {version(_PACKAGES[engine])}"
    except PackageNotFoundError as error:
        raise ModelError(
            f"{_PACKAGES[engine]} is not installed; install it, or set {ENGINE_VARIABLE} to "
            f"{' or '.join(e for e in get_args(Engine) if e != engine)}"
        ) from error


@contextmanager
def open_landmarker(model: Path, engine: Engine) -> Iterator[Landmarker]:
    """An engine with the networks of a bundle; opening takes as long as a dozen pictures do.

    Raises
    ------
    ModelError
        The library is not installed, or the bundle cannot be used.
    """
    runtime(engine)
    landmarker: Landmarker
    # Imported here: each library takes a second, and mediapipe may not be there.
    if engine == "litert":
        from pose.body.litert.tracker import LiteRtLandmarker

        landmarker = LiteRtLandmarker(model)
    else:
        from pose.body.mediapipe_engine import MediapipeLandmarker

        landmarker = MediapipeLandmarker(model)
    try:
        yield landmarker
    finally:
        landmarker.close()
