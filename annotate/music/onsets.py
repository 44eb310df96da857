"""Onset strength of the sound over time, from which tempo and beat are found.

Spectral flux: the rise of the logarithm of each band's strength from one moment to the next,
summed over bands (S. Dixon, "Onset detection revisited", DAFx 2006).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pose.video.sound import RATE_HZ

Floats = NDArray[np.float64]

# 100 values a second exactly would need a hop of 110.25 samples; the true rate is used instead.
HOP = 110
ONSETS_HZ = RATE_HZ / HOP
# 46 ms of sound: short against the shortest beat, 350 ms, and still 22 Hz a bin.
_WINDOW = 512
# Bands spaced by logarithm, as pitch is; neighbouring edges at the low end fall together.
_BANDS = 20
# Below this fraction of full scale (-80 dB) is silence. Common practice, no source.
_FLOOR = 1e-4
# The slow average that is subtracted: over more than one beat at any tempo.
_MEAN_S = 1.0
# A decoder's blocks are some hundredths of a second: this many are some seconds.
_BLOCKS_AT_ONCE = 100


@dataclass(frozen=True, eq=False)
class Onsets:
    """Onsets at :data:`ONSETS_HZ`; empty without sound.

    Attributes
    ----------
    strength : (n,) float64
        The rise on a logarithmic scale without its slow average: soft and loud onsets count alike.
    loudness : (n,) float64
        The rise on a linear scale, which shows accents.
    """

    strength: Floats
    loudness: Floats


def onsets(blocks: Iterable[NDArray[np.float32]]) -> Onsets:
    """Find the onsets of sound given block by block.

    Parameters
    ----------
    blocks : iterable of (k,) float32
        Samples from -1 to 1 at :data:`pose.video.sound.RATE_HZ`.
    """
    window = np.hanning(_WINDOW)
    edges = np.unique(np.geomspace(2, _WINDOW // 2, _BANDS + 1).astype(int))
    rows: list[Floats] = []
    rest = np.zeros(_WINDOW // 2)  # so that a value stands for the middle of its window
    for block in _longer(blocks):
        rest = np.concatenate([rest, block])
        count = (len(rest) - _WINDOW) // HOP + 1
        if count < 1:
            continue
        at = np.arange(count)[:, None] * HOP + np.arange(_WINDOW)
        strength = np.abs(np.fft.rfft(rest[at] * window, axis=1))
        rows.append(np.add.reduceat(strength, edges[:-1], axis=1))
        rest = rest[count * HOP :]
    if not rows:
        return Onsets(np.zeros(0), np.zeros(0))
    bands = np.concatenate(rows)
    rise = _rise(np.log(_FLOOR * _WINDOW + bands))
    width = round(_MEAN_S * ONSETS_HZ)
    mean = np.convolve(rise, np.ones(width) / width, mode="same")
    return Onsets(np.maximum(rise - mean, 0.0), _rise(bands))


def _longer(blocks: Iterable[NDArray[np.float32]]) -> Iterator[NDArray[np.float32]]:
    """Join blocks to some seconds each; a decoder's are too short to transform efficiently."""
    held: list[NDArray[np.float32]] = []
    for block in blocks:
        held.append(block)
        if len(held) == _BLOCKS_AT_ONCE:
            yield np.concatenate(held)
            held.clear()
    if held:
        yield np.concatenate(held)


def _rise(level: Floats) -> Floats:
    rise: Floats = np.maximum(np.diff(level, axis=0, prepend=level[:1]), 0.0).sum(axis=1)
    return rise
