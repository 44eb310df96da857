"""Clips made on the spot and the real footage, where it is at hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

REAL = Path(__file__).resolve().parents[3] / "shared" / "real"

Picture = NDArray[np.uint8]
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
        patch.setenv("TAKEPROOF_CACHE", str(tmp_path_factory.mktemp("cache")))
        patch.delenv("TAKEPROOF_MODEL", raising=False)
        yield


def quadrants(width: int = 64, height: int = 48) -> Picture:
    """An asymmetric picture: red upper left, green upper right, blue lower left, grey rest."""
    picture = np.full((height, width, 3), 128, dtype=np.uint8)
    picture[: height // 2, : width // 2] = (250, 10, 10)
    picture[: height // 2, width // 2 :] = (10, 250, 10)
    picture[height // 2 :, : width // 2] = (10, 10, 250)
    return picture


@pytest.fixture
def make_clip(tmp_path: Path) -> MakeClip:
    def make(  # noqa: PLR0913 - every test needs one or two of them
        stamps_ms: Sequence[int],
        *,
        pictures: Sequence[Picture] | None = None,
        name: str = "clip.mp4",
        rotation_deg: int = 0,
        options: dict[str, str] | None = None,
        codec: str = "libx264",
        key_every: int = 12,
        first_ms: int = 0,
    ) -> Path:
        """Write pictures at exact times; by default all are `quadrants`."""
        shown = pictures or [quadrants()] * len(stamps_ms)
        path = tmp_path / name
        with av.open(str(path), "w", options=options or {}) as container:
            stream = container.add_stream(codec, rate=30)
            stream.height, stream.width = shown[0].shape[:2]
            odd = stream.height % 2 or stream.width % 2
            stream.pix_fmt = "yuv444p" if odd else "yuv420p"
            stream.codec_context.gop_size = key_every
            stream.codec_context.time_base = Fraction(1, 1000)
            stream.time_base = Fraction(1, 1000)
            if rotation_deg:
                # The display matrix turns counter-clockwise.
                stream.set_display_rotation(-rotation_deg)
            for stamp_ms, picture in zip(stamps_ms, shown, strict=True):
                frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
                frame.pts, frame.time_base = first_ms + stamp_ms, Fraction(1, 1000)
                container.mux(stream.encode(frame))
            container.mux(stream.encode())
        return path

    return make
