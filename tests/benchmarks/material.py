"""Long classes of any size, made of the demo class: encoded again once, joined at file level.

The demo is rendered: its pictures have no sensor noise and cost next to nothing to decode. So
every encoding gets noise as a camera makes it, and a camera's rate of bits. 360p25 is the demo as
it is.
"""

from __future__ import annotations

import math
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
from ruamel.yaml import YAML

from pose.cache import atomic_write, cache_dir

DEMO = Path(__file__).parents[2] / "clips" / "demo"
_FOLDER = "benchmarks-v1"
# Warm-up and squats.
_BEGIN_BLOCKS, _BEGIN_S = 2, 85.0
# At 1080 lines and 30 pictures a second, as phones and action cameras have it at the low end.
_BITS_PER_S = 8e6
_NOISE = 3.0  # standard deviation, of 255
_NOISE_PLANES = 8


@dataclass(frozen=True)
class Filmed:
    """How a class is filmed.

    Attributes
    ----------
    spare : bool
        Whether some pictures are ones that no other is built on, as most encoders make them but
        few cameras.
    """

    height: int
    rate_hz: int
    spare: bool = True

    @property
    def name(self) -> str:
        return f"{self.height}p{self.rate_hz}" + ("" if self.spare else "-plain")


AS_IT_IS = Filmed(360, 25)


def long_class(filmed: Filmed, minutes: float) -> tuple[Path, Path]:
    """A class of that length and its plan, made on first use and kept in the cache."""
    folder = cache_dir() / _FOLDER
    clip = folder / f"{filmed.name}-{minutes:g}min.mp4"
    plan = clip.with_suffix(".plan.yaml")
    with (DEMO / "harbour.plan.yaml").open() as file:
        content = YAML().load(file)
    blocks = content["blocks"]
    if filmed == AS_IT_IS:
        base = DEMO / "harbour.mp4"
    else:
        # Encoding is slow: its beginning stands for the demo.
        blocks = blocks[:_BEGIN_BLOCKS]
        base = folder / f"{filmed.name}.mp4"
        if not base.exists():
            with atomic_write(base) as partial:
                _encode(DEMO / "harbour.mp4", partial, filmed)
    times = _join(base, clip, 60 * minutes)
    content["blocks"] = [deepcopy(block) for _ in range(times) for block in blocks]
    with plan.open("w") as file:
        YAML().dump(content, file)
    return clip, plan


def _encode(source: Path, target: Path, filmed: Filmed) -> None:
    """The demo's beginning in another size and rate, with noise; the sound is copied."""
    width, height = 2 * round(filmed.height * 16 / 9 / 2), filmed.height
    rng = np.random.default_rng(5)
    noise = rng.normal(0, _NOISE, (_NOISE_PLANES, height, width))
    lighter = np.clip(noise, 0, 255).round().astype(np.uint8)
    darker = np.clip(-noise, 0, 255).round().astype(np.uint8)
    # Noise looks like a cut of scene to the encoder, which would begin anew every half second.
    options = {"preset": "veryfast", "sc_threshold": "0"} | ({} if filmed.spare else {"bf": "0"})
    with av.open(str(source)) as old, av.open(str(target), "w") as new:
        pictures = old.streams.video[0]
        stream = new.add_stream("libx264", rate=filmed.rate_hz, options=options)
        stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
        stream.codec_context.gop_size = 2 * filmed.rate_hz
        stream.bit_rate = round(_BITS_PER_S * (height / 1080) ** 2 * filmed.rate_hz / 30)
        voice = new.add_stream_from_template(old.streams.audio[0])
        count = 0
        for packet in old.demux(pictures, old.streams.audio[0]):
            if packet.dts is not None and packet.dts * packet.time_base >= _BEGIN_S:
                break
            if packet.stream.type == "audio":
                if packet.dts is not None:
                    packet.stream = voice
                    new.mux(packet)
                continue
            for picture in packet.decode():
                grown = picture.reformat(width, height, "yuv420p").to_ndarray()
                while count / filmed.rate_hz <= picture.time:
                    plane = grown.copy()
                    pick = int(rng.integers(_NOISE_PLANES))
                    light = cv2.subtract(cv2.add(plane[:height], lighter[pick]), darker[pick])
                    plane[:height] = light
                    frame = av.VideoFrame.from_ndarray(plane, format="yuv420p")
                    frame.pts, frame.time_base = count, Fraction(1, filmed.rate_hz)
                    new.mux(stream.encode(frame))
                    count += 1
        new.mux(stream.encode())


def _join(base: Path, target: Path, seconds: float) -> int:
    """The same clip over and over up to a length, packet by packet; returns how often."""
    with av.open(str(base)) as first:
        length_s = float(first.streams.video[0].duration * first.streams.video[0].time_base)
    times = math.ceil(seconds / length_s - 1e-6)
    if target.exists():
        return times
    with atomic_write(target) as partial, av.open(str(partial), "w") as new:
        copies = None
        last: dict[int, int] = {}
        for i in range(times):
            with av.open(str(base)) as old:
                copies = copies or [new.add_stream_from_template(s) for s in old.streams]
                for packet in old.demux():
                    if packet.dts is None:
                        continue
                    shift = round(i * length_s / packet.time_base)
                    packet.pts, packet.dts = packet.pts + shift, packet.dts + shift
                    track = packet.stream.index
                    # Sound ends a little later than the pictures: its first packet may not fit.
                    if packet.dts > last.get(track, -1 << 60) and (
                        packet.dts * packet.time_base < seconds
                    ):
                        last[track] = packet.dts
                        packet.stream = copies[track]
                        new.mux(packet)
    return times
