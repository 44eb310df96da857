"""Tempo and beat of the music, stretch by stretch.

The tempo of a window is the lag with the highest autocorrelation of its onsets. Lags are limited to
one octave, so half and double tempo cannot be confused with it. Neighbouring windows of one tempo
make a stretch, whose tempo and beat are then refined together: the frequency at which the Fourier
sum of the onsets is largest, and the phase at which the onsets are strongest. Class music runs at
100 to 160 beats a minute (instructor-education pages).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import zoom_fft

from annotate.music.onsets import ONSETS_HZ, Onsets

Floats = NDArray[np.float64]

# One octave around the tempos of class music.
LEAST_BPM, MOST_BPM = 86.0, 172.0
# A window holds at least 22 beats, so that lags of four beats repeat in it several times. The step
# sets how closely a change of tempo is placed.
_WINDOW_S, _STEP_S = 16.0, 4.0
# Neighbouring windows have one tempo within this fraction: several steps of the lags (0.1 in 35 to
# 70, below 0.3 %), 2 to 3 beats a minute.
_SAME_TEMPO = 0.02
_LAGS: Floats = np.arange(60 * ONSETS_HZ / MOST_BPM, 60 * ONSETS_HZ / LEAST_BPM, 0.1)
# The limits from here on are judgements, tried on synthetic tracks with and without beat and speech
# (tests/annotate/music/test_beat.py).
# A window with lower autocorrelation than this, as a fraction of that at lag 0, has no beat.
_LEAST_REPEAT = 0.12
# The faster of two tempos is taken if its score is at least this fraction of the slower one's.
_AS_GOOD = 0.8
# A shorter stretch is dropped: an autocorrelation over fewer bars finds a tempo in anything.
_SHORTEST_S = 12.0
# An accented beat is this many times as strong as any other of its cycle.
_ACCENT = 1.25
# The loudness of a beat is the highest within this many values (30 ms) on each side.
_AROUND = 3
# Where the onsets on the beat are this many times their average, the beat is sure.
_SURE_RATIO = 2.0


@dataclass(frozen=True)
class Beat:
    """A stretch of music of one tempo.

    Attributes
    ----------
    start_s, end_s : float
        Seconds from the first picture.
    per_min : float
        Beats a minute.
    first_s : float
        Time of the first beat of the stretch, in seconds.
    sure : bool
        Whether the beat stands out enough to compare movement with it.
    cycle : int
        After how many beats the accents repeat: 8, 4, or 1 where none stands out.
    accent : int
        Which beat of the cycle carries the accent, 0 being the first beat of the stretch.
    """

    start_s: float
    end_s: float
    per_min: float
    first_s: float
    sure: bool
    cycle: int = 1
    accent: int = 0

    @property
    def each_s(self) -> float:
        """Seconds from beat to beat."""
        return 60.0 / self.per_min

    def count_at(self, time_s: float) -> float:
        """Beats since the first one."""
        return (time_s - self.first_s) / self.each_s

    def in_cycle(self, time_s: float) -> float | None:
        """Beats since the last accent, or None where no beat stands out."""
        if self.cycle == 1:
            return None
        return (self.count_at(time_s) - self.accent) % self.cycle


def find_beats(onsets: Onsets) -> tuple[Beat, ...]:
    """Find the stretches of music with a beat.

    Returns
    -------
    tuple of Beat
        In order of time, without overlap; empty without sound or beat.
    """
    onset = onsets.strength
    size, step = round(_WINDOW_S * ONSETS_HZ), round(_STEP_S * ONSETS_HZ)
    starts = range(0, max(len(onset) - size, 0) + 1, step) if len(onset) >= size // 2 else range(0)
    scores = [_scores(onset[i : i + size]) for i in starts]
    # Averaged over three windows, so that speech over the music in one of them does not matter.
    shared = [np.mean(scores[max(k - 1, 0) : k + 2], axis=0) for k in range(len(scores))]
    tempos = [(i, _tempo(score)) for i, score in zip(starts, shared, strict=True)]
    groups: list[list[tuple[int, float]]] = []
    for i, tempo in tempos:
        if tempo is None:
            groups.append([])
        elif (
            groups
            and groups[-1]
            and abs(tempo / np.median([t for _, t in groups[-1]]) - 1) <= (_SAME_TEMPO)
        ):
            groups[-1].append((i, tempo))
        else:
            groups.append([(i, tempo)])
    beats: list[Beat] = []
    for group in groups:
        if not group:
            continue
        first, last = group[0][0], group[-1][0] + size
        if beats:  # windows overlap, but stretches must not
            first = max(first, round(beats[-1].end_s * ONSETS_HZ))
        if (last - first) / ONSETS_HZ >= _SHORTEST_S:
            tempo = float(np.median([t for _, t in group]))
            # The last window ends up to a step before the sound does.
            last = len(onset) if len(onset) - last < step else last
            beats.append(_refined(onsets, first, min(last, len(onset)), tempo))
    return tuple(beats)


def _scores(onset: Floats) -> Floats:
    """Autocorrelation of a window at each lag of :data:`_LAGS`, 1 for a perfect repeat."""
    centred = onset - onset.mean()
    power = np.abs(np.fft.rfft(centred, 2 * len(centred))) ** 2
    repeat = np.fft.irfft(power)[: len(centred)]
    if repeat[0] <= 0:
        return np.zeros(len(_LAGS))
    index = np.arange(len(repeat))
    # A true beat also repeats after two and four beats; the weights fall since music changes.
    score = np.zeros(len(_LAGS))
    for n, weight in ((1, 1.0), (2, 0.7), (4, 0.5)):
        score += weight / 2.2 * np.interp(n * _LAGS, index, repeat / repeat[0])
    return score


def _tempo(score: Floats) -> float | None:
    """Tempo of a window, or None where nothing repeats."""
    best = int(np.argmax(score))
    if score[best] < _LEAST_REPEAT:
        return None
    # Off-beats also repeat after one and a half beats: two thirds of the tempo.
    shorter = int(np.argmin(np.abs(_LAGS - _LAGS[best] / 1.5)))
    near = slice(max(shorter - 10, 0), shorter + 11)
    if _LAGS[best] / 1.5 >= _LAGS[0] and score[near].max() >= _AS_GOOD * score[best]:
        best = near.start + int(np.argmax(score[near]))
    return float(60 * ONSETS_HZ / _LAGS[best])


def _refined(onsets: Onsets, first: int, last: int, tempo: float) -> Beat:
    """Refine the tempo near `tempo` (beats a minute), and find the phase of the beats."""
    part = onsets.strength[first:last]
    length_s = max(len(part) / ONSETS_HZ, 1.0)
    for width, fineness in ((0.03, 0.15), (0.004, 0.01)):
        # Steps much finer than the resolution of the stretch, one cycle over its length.
        step = fineness * 60.0 / length_s
        tempos = np.arange(tempo * (1 - width), tempo * (1 + width) + step, step)
        tempo = float(tempos[int(np.argmax(_strengths(part, tempos / 60.0)))])
    each_s = 60.0 / tempo
    # The phase at which the onsets on the beats are strongest.
    phases = np.arange(0, each_s, 0.5 / ONSETS_HZ)
    beats = np.arange(0, length_s - each_s, each_s)
    index = np.arange(len(part))
    smooth = np.convolve(part, [0.25, 0.5, 0.25], mode="same")
    on_beat = [np.interp((beats + p) * ONSETS_HZ, index, smooth).mean() for p in phases]
    best = int(np.argmax(on_beat))
    ratio = on_beat[best] / max(float(part.mean()), 1e-9)
    start_s = first / ONSETS_HZ
    loud = onsets.loudness[first:last]
    around = np.round((beats + phases[best]) * ONSETS_HZ).astype(int)
    cycle, accent = _accents(
        np.array([loud[max(i - _AROUND, 0) : i + _AROUND + 1].max() for i in around])
    )
    return Beat(
        start_s=round(start_s, 2),
        end_s=round(last / ONSETS_HZ, 2),
        per_min=round(tempo, 2),
        first_s=round(start_s + float(phases[best]), 3),
        sure=bool(ratio >= _SURE_RATIO),
        cycle=cycle,
        accent=accent,
    )


def _accents(strength: Floats) -> tuple[int, int]:
    """After how many beats the accents repeat, and which beat carries them.

    (1, 0) unless the same beat stands out in each third of the stretch.
    """
    for cycle in (8, 4):
        thirds = [part for part in np.array_split(strength, 3) if len(part) >= 2 * cycle]
        if len(thirds) < 3:
            continue
        found = set()
        begin = 0
        for part in thirds:
            at = (np.arange(len(part)) + begin) % cycle
            means = np.array([np.median(part[at == k]) for k in range(cycle)])
            order = np.argsort(means)
            clear = means[order[-1]] >= _ACCENT * means[order[-2]]
            found.add(int(order[-1]) if clear else -1)
            begin += len(part)
        if len(found) == 1 and -1 not in found:
            return cycle, found.pop()
    return 1, 0


def _strengths(part: Floats, beats_hz: Floats) -> Floats:
    """Sum of the onsets' spectrum at each frequency, its double and its fourfold.

    The frequencies are evenly spaced: the chirp z-transform gives all of them at once (Rabiner,
    Schafer & Rader 1969).
    """
    ends, count = (beats_hz[0], beats_hz[-1]), len(beats_hz)
    strengths = np.zeros(count)
    for k in (1, 2, 4):
        band = (k * ends[0], k * ends[1])
        strengths += np.abs(zoom_fft(part, band, count, fs=ONSETS_HZ, endpoint=True))
    return strengths
