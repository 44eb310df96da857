"""A clip as older cameras write them: a kind that browsers do not play."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np

DEMO = Path(__file__).parents[2] / "clips" / "demo" / "harbour.mp4"


def write_old_avi(path: Path) -> None:
    """Two seconds of the demo as MPEG-4 part 2 in AVI, with a tone."""
    with av.open(str(DEMO)) as source, av.open(str(path), "w") as out:
        picture = out.add_stream("mpeg4", rate=25)
        picture.width, picture.height, picture.pix_fmt = 640, 360, "yuv420p"
        voice = out.add_stream("mp3", rate=44100, layout="stereo")
        for i, frame in enumerate(source.decode(video=0)):
            if frame.time >= 2:
                break
            frame.pts, frame.time_base = i, Fraction(1, 25)
            out.mux(picture.encode(frame))
        out.mux(picture.encode(None))
        tone = 0.2 * np.sin(np.arange(2 * 44100) / 20)
        samples = np.stack([tone, tone]).astype(np.float32)
        for start in range(0, samples.shape[1] - 1151, 1152):
            part = av.AudioFrame.from_ndarray(
                samples[:, start : start + 1152].copy(), format="fltp", layout="stereo"
            )
            part.sample_rate, part.pts = 44100, start
            out.mux(voice.encode(part))
        out.mux(voice.encode(None))
