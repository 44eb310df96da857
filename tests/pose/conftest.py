"""Clips made on the spot and the real footage, where it is at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.made_clip import Picture, write_clip
from tests.own_cache import own_cache

REAL = Path(__file__).resolve().parents[3] / "shared" / "real"

MakeClip = Callable[..., Path]


@pytest.fixture(scope="session")
def real() -> Path:
    """Folder of real footage; its own README states the truth of each clip."""
    if not REAL.is_dir():
        pytest.skip("no real footage beside the checkout (../shared/real)")
    return REAL


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Tests neither read nor fill the user's cache."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("TAKEPROOF_MODEL", raising=False)
        own_cache(patch, tmp_path_factory.mktemp("cache"))
        yield


@pytest.fixture
def make_clip(tmp_path: Path) -> MakeClip:
    def make(
        stamps_ms: Sequence[int],
        *,
        pictures: Sequence[Picture] | None = None,
        name: str = "clip.mp4",
        **how: Any,
    ) -> Path:
        return write_clip(tmp_path / name, stamps_ms, pictures, **how)

    return make
