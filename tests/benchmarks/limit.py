"""The parts that cannot be left out, each alone on all cores: decoding and inference."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pose.chunks import MAX_SIDE_PX, SAMPLE_RATE_HZ
from pose.clip import Frame, frames, needless, probe
from pose.landmarker import Landmarker
from pose.model import model_file
from pose.video import open_video, pictures_from

# Of longer clips a stretch of this length stands for all of it.
_STRETCH_S = 60.0
_PICTURES = 300
T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True)
class Limit:
    """Seconds of all cores for a second of video.

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
    passed_over = needless(found, SAMPLE_RATE_HZ)
    length_s = min(_STRETCH_S, found.info.duration_s)
    share = length_s / cores
    spans = [(i * share, (i + 1) * share) for i in range(cores)]

    def decode(span: tuple[float, float]) -> None:
        with open_video(clip, passed_over) as video:
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
            passed_over=passed_over,
        ):
            if len(kept) < _PICTURES:
                kept.append(frame)
        return kept

    decode_s, _ = _on_all(decode, spans)
    prepare_s, prepared = _on_all(prepare, spans)
    model = model_file()

    def infer(pictures: list[Frame]) -> float:
        with Landmarker(model, tracking=True) as landmarker:
            for picture in pictures[:10]:  # finding the person, and the first slow looks
                landmarker.find(picture.rgb)
            began = time.perf_counter()
            for picture in pictures:
                landmarker.find(picture.rgb)
            return len(pictures) / (time.perf_counter() - began)

    _, rates = _on_all(infer, prepared)
    samples = sum(len(p) for p in prepared)
    covered_s = samples / _samples_per_s(prepared)
    return Limit(
        samples / covered_s / sum(rates),
        decode_s / length_s,
        max(0.0, prepare_s - decode_s) / length_s,
    )


def _samples_per_s(prepared: Sequence[list[Frame]]) -> float:
    first = prepared[0]
    return (len(first) - 1) / (first[-1].time_s - first[0].time_s)


def _on_all(work: Callable[[T], R], parts: Sequence[T]) -> tuple[float, list[R]]:
    began = time.perf_counter()
    with ThreadPoolExecutor(len(parts)) as pool:
        results = list(pool.map(work, parts))
    return time.perf_counter() - began, results
