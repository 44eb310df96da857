"""Every engine that is installed, one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec
from typing import get_args

import pytest

from pose.body.engine import Engine, open_landmarker
from pose.body.landmarker import Landmarker
from pose.body.model import model_file

_MODULES = {"litert": "ai_edge_litert", "mediapipe": "mediapipe"}


@pytest.fixture(params=get_args(Engine), scope="module")
def engine(request: pytest.FixtureRequest) -> Engine:
    """Its name; skipped where its library is not installed."""
    name: Engine = request.param
    if find_spec(_MODULES[name]) is None:
        pytest.skip(f"{name} is not installed here (mediapipe exists for Python up to 3.12)")
    return name


@pytest.fixture(scope="module")
def landmarker(engine: Engine) -> Iterator[Landmarker]:
    """Opened once for a file of tests; `follow` resets it."""
    with open_landmarker(model_file(), engine) as opened:
        yield opened
