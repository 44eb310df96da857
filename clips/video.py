"""Write frames (and sound) as an MP4 that browsers play: H.264 4:2:0, AAC, index in front."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from clips.sound import SAMPLE_RATE

QUALITY = "24"  # x264 constant rate factor
SOUND_BITS_PER_S = 48_000
SOUND_FRAME = 1024  # samples per AAC frame


def write_video(
    path: Path,
    frames: Iterable[NDArray[np.uint8]],
    width_px: int,
    height_px: int,
    frame_rate: float,
    sound: NDArray[np.float32] | None = None,
) -> None:
    """Encode frames (height, width, 3) in RGB, and mono samples at ``SAMPLE_RATE``."""
    rate = Fraction(frame_rate).limit_denominator(1001)
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as container:
        picture = container.add_stream(
            "libx264", rate=rate, options={"crf": QUALITY, "preset": "medium", "tune": "animation"}
        )
        picture.width, picture.height, picture.pix_fmt = width_px, height_px, "yuv420p"
        picture.codec_context.thread_count = 1
        voice = None
        if sound is not None:
            voice = container.add_stream("aac", rate=SAMPLE_RATE, layout="mono")
            voice.bit_rate = SOUND_BITS_PER_S
        heard = 0
        for i, pixels in enumerate(frames):
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(pixels), format="rgb24")
            frame.pts, frame.time_base = i, 1 / rate
            container.mux(picture.encode(frame))
            # Sound goes in step with the picture, so that players need not seek for it.
            while (
                voice is not None
                and sound is not None
                and heard < min(len(sound), (i + 1) / frame_rate * SAMPLE_RATE)
            ):
                part = av.AudioFrame.from_ndarray(
                    sound[None, heard : heard + SOUND_FRAME], format="fltp", layout="mono"
                )
                part.sample_rate, part.pts = SAMPLE_RATE, heard
                part.time_base = Fraction(1, SAMPLE_RATE)
                container.mux(voice.encode(part))
                heard += SOUND_FRAME
        container.mux(picture.encode(None))
        if voice is not None:
            container.mux(voice.encode(None))


def mark_turned(path: Path, width_px: int, height_px: int) -> None:
    """Tell players to turn the picture a quarter clockwise, as phones held upright do.

    Writes the display matrix of the first track header in place.

    Parameters
    ----------
    width_px, height_px : int
        Size as stored, before the turn.

    Raises
    ------
    ValueError
        The file has no version 0 track header.
    """
    data = bytearray(path.read_bytes())
    start = data.find(b"tkhd")
    if start < 0 or data[start + 4] != 0:
        raise ValueError(f"{path.name}: no version 0 track header to turn")
    one, perspective = 1 << 16, 1 << 30
    matrix = (0, one, 0, -one & 0xFFFFFFFF, 0, 0, height_px << 16, 0, perspective)
    offset = start + 4 + 40
    data[offset : offset + 36] = b"".join(value.to_bytes(4, "big") for value in matrix)
    path.write_bytes(bytes(data))
