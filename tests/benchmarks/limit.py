"""The parts that cannot be left out, each alone on all cores: decoding and inference."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pose.body.engine import chosen_engine, open_landmarker
from pose.body.model import model_file
from pose.extract.chunks import SAMPLE_RATE_HZ
from pose.extract.pictures import MAX_SIDE_PX
from pose.video.container import open_video, pictures_from
from pose.video.decode import disposable_stamps, frames
from pose.video.picture import Frame
from pose.video.probe import probe

# Of longer clips a stretch of this length stands for all of it.
_STRETCH_S = 60.0
_PICTURES = 300
_FIRST = 10
T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True)
class Limit:
    """Core-seconds for a second of video: what other programs do meanwhile hardly shows.

    Attributes
    ----------
    inference_s : float
        The model on prepared pictures, at the usual number a second.
    decode_s : float
        The decoder alone, on the pictures that are needed.
    scale_s : float
        Making the small RGB pictures that the model gets of what the decoder gives.
    """

    inference_s: float
    decode_s: float
    scale_s: float

    @property
    def whole_s(self) -> float:
        return self.inference_s + self.decode_s + self.scale_s


def measure_limit(clip: Path, cores: int) -> Limit:
    """Measure a clip's first minute."""
    found = probe(clip)
    skip = disposable_stamps(found, SAMPLE_RATE_HZ)
    length_s = min(_STRETCH_S, found.info.duration_s)
    share = length_s / cores
    spans = [(i * share, (i + 1) * share) for i in range(cores)]

    def decode(span: tuple[float, float]) -> None:
        with open_video(clip, skip) as video:
            for picture in pictures_from(video, span[0]):
                if video.time_s(picture) >= span[1]:
                    break

    def prepare(span: tuple[float, float]) -> list[Frame]:
        kept: list[Frame] = []
        for frame in frames(
            clip,
            sample_rate_hz=SAMPLE_RATE_HZ,
            start_s=span[0],
            end_s=span[1],
            max_side_px=MAX_SIDE_PX,
            skip=skip,
        ):
            if len(kept) < _PICTURES:
                kept.append(frame)
        return kept

    decode_s, _ = _on_all(decode, spans)
    prepare_s, prepared = _on_all(prepare, spans)
    model = model_file()

    def infer(pictures: list[Frame]) -> None:
        with open_landmarker(model, chosen_engine()) as landmarker:
            for picture in pictures:
                landmarker.track(picture.rgb)

    first_s, _ = _on_all(infer, [p[:_FIRST] for p in prepared])
    infer_s, _ = _on_all(infer, prepared)
    # Opening the model and finding the person are no part of it.
    one_s = (infer_s - first_s) / sum(len(p[_FIRST:]) for p in prepared)
    return Limit(
        one_s * _samples_per_s(prepared), decode_s / length_s, (prepare_s - decode_s) / length_s
    )


def _samples_per_s(prepared: Sequence[list[Frame]]) -> float:
    first = prepared[0]
    return (len(first) - 1) / (first[-1].time_s - first[0].time_s)


def _on_all(work: Callable[[T], R], parts: Sequence[T]) -> tuple[float, list[R]]:
    """Core-seconds that all parts take, each in a thread of its own, and the results."""
    began = time.process_time()
    with ThreadPoolExecutor(len(parts)) as pool:
        results = list(pool.map(work, parts))
    return time.process_time() - began, results
