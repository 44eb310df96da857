"""Clips written on the spot: any pictures, at exact times, in any shape."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]


def quadrants(width: int = 64, height: int = 48) -> Picture:
    """An asymmetric picture: red upper left, green upper right, blue lower left, grey rest."""
    picture = np.full((height, width, 3), 128, dtype=np.uint8)
    picture[: height // 2, : width // 2] = (250, 10, 10)
    picture[: height // 2, width // 2 :] = (10, 250, 10)
    picture[height // 2 :, : width // 2] = (10, 10, 250)
    return picture


def write_clip(  # noqa: PLR0913 - every test needs one or two of them
    path: Path,
    stamps_ms: Sequence[int],
    pictures: Sequence[Picture] | None = None,
    *,
    rotation_deg: int = 0,
    pixel_shape: Fraction | None = None,
    options: dict[str, str] | None = None,
    codec: str = "libx264",
    kind: str | None = None,
    key_every: int = 12,
    first_ms: int = 0,
) -> Path:
    """Write pictures at exact times; by default all are :func:`quadrants`.

    `pixel_shape` is the width of a pixel for one of height, as it is to be shown; `kind` the pixel
    format. Without stamps there is a header and no picture.
    """
    shown = pictures or [quadrants()] * max(1, len(stamps_ms))
    with av.open(str(path), "w", options=options or {}) as container:
        stream = container.add_stream(codec, rate=30)
        stream.height, stream.width = shown[0].shape[:2]
        odd = stream.height % 2 or stream.width % 2
        stream.pix_fmt = kind or ("yuv444p" if odd else "yuv420p")
        stream.codec_context.gop_size = key_every
        stream.codec_context.time_base = Fraction(1, 1000)
        stream.time_base = Fraction(1, 1000)
        if pixel_shape is not None:
            stream.codec_context.sample_aspect_ratio = pixel_shape
        if rotation_deg:
            # The display matrix turns counter-clockwise.
            stream.set_display_rotation(-rotation_deg)
        container.start_encoding()
        for stamp_ms, picture in zip(stamps_ms, shown if stamps_ms else (), strict=True):
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
            frame.pts, frame.time_base = first_ms + stamp_ms, Fraction(1, 1000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path
