"""The class's music: a plain synthetic beat, so that a clip has a sound track to carry."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

SAMPLE_RATE = 44100


def _decaying(length_s: float, decay_s: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    times_s = np.arange(int(length_s * SAMPLE_RATE)) / SAMPLE_RATE
    return times_s, np.exp(-times_s / decay_s)


def beat(duration_s: float, per_minute: float = 120.0, seed: int = 0) -> NDArray[np.float32]:
    """A drum on every beat, a shaker between, a low note on every fourth; mono, -1 to 1.

    Returns
    -------
    samples : array, shape (round(duration_s * SAMPLE_RATE),)
    """
    rng = np.random.default_rng(seed)
    times_s, fade = _decaying(0.25, 0.07)
    drum = 0.55 * fade * np.sin(2 * np.pi * (48 * times_s + 2.2 * (1 - np.exp(-times_s / 0.03))))
    times_s, fade = _decaying(0.08, 0.018)
    shaker = 0.10 * fade * rng.standard_normal(len(times_s))
    times_s, fade = _decaying(1.0, 0.4)
    low = 0.16 * fade * np.sin(2 * np.pi * 110 * times_s)
    total = round(duration_s * SAMPLE_RATE)
    samples = np.zeros(total + SAMPLE_RATE * 2)
    step_s = 60 / per_minute
    for i in range(int(duration_s / step_s)):
        start = int(i * step_s * SAMPLE_RATE)
        half = start + int(step_s / 2 * SAMPLE_RATE)
        samples[start : start + len(drum)] += drum
        samples[half : half + len(shaker)] += shaker
        if i % 4 == 0:
            samples[start : start + len(low)] += low
    return samples[:total].astype(np.float32)
