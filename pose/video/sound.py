"""The sound of a clip: mono, on the clock of its pictures."""

from __future__ import annotations

from collections.abc import Iterator

import av
import numpy as np
from numpy.typing import NDArray

from pose.errors import ClipError
from pose.video.container import open_video
from pose.video.source import Source, open_container

# A quarter of the rate of a CD: carries sounds up to 5.5 kHz, where beats and consonants are.
RATE_HZ = 11025
# A gap in the time stamps up to this is rounding, not silence: a block of compressed sound is 23
# ms long (1024 samples at 44.1 kHz).
_JITTER_S = 0.05


def sound(path: Source) -> Iterator[NDArray[np.float32]]:
    """Blocks of samples, -1 to 1, at :data:`RATE_HZ`. The first begins with the first picture.

    A clip without sound gives nothing. Holes in the sound are filled with silence.

    Raises
    ------
    ClipError
        The clip cannot be opened.
    """
    with open_video(path) as video:
        zero_s = float(video.first.pts * video.stream.time_base)
    try:
        with open_container(path) as container:
            if container.streams.audio:
                yield from _blocks(container, zero_s)
    except av.FFmpegError as error:
        reason = getattr(error, "strerror", None) or "damaged"
        raise ClipError(f"{path}: its sound cannot be read ({reason})") from error


def _blocks(container: av.container.InputContainer, zero_s: float) -> Iterator[NDArray[np.float32]]:
    stream = container.streams.audio[0]
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE_HZ)
    given = 0  # samples so far, counted from the first picture
    for frame in container.decode(stream):
        at_s = None if frame.pts is None else float(frame.pts * frame.time_base) - zero_s
        frame.pts = None  # the resampler would refuse stamps that jump
        for piece in resampler.resample(frame):
            samples = piece.to_ndarray().reshape(-1).astype(np.float32)
            if at_s is not None:
                missing = round(at_s * RATE_HZ) - given
                if given == 0 and missing < 0:
                    samples = samples[-missing:]  # before the first picture
                elif missing > _JITTER_S * RATE_HZ:
                    yield np.zeros(missing, dtype=np.float32)
                    given += missing
                at_s = None
            if len(samples):
                given += len(samples)
                yield samples
