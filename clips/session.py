"""A filmed session: periods of movement, one after the other, as postures frame by frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from clips.grounding import CONTACTS, Footing
from clips.motions import MOVEMENTS
from clips.motions.rep import ALL, BOTH, HANDS, LEFT, RIGHT, Key, Movement
from clips.posture import COLUMN

FloatArray = NDArray[np.float64]

# A change of movement is centred on the boundary of its periods.
LEAD_S = 0.35  # from the boundary to the first repetition
TAIL_S = 0.25  # from the last repetition to the boundary
SWAY_DEG = {"trunk_lean": 0.5, "trunk_side": 0.5, "trunk_turn": 0.9, "neck": 1.5, "neck_turn": 2.5}
ARM_SWAY_DEG = 1.5


@dataclass(frozen=True)
class Period:
    """What is done for how long.

    Attributes
    ----------
    kind : str
        work, recovery, warm-up, cool-down or still.
    reps : int, optional
        How many; otherwise as many as ``cadence_per_min`` (or the movement's usual time) gives.
    sides : tuple of str
        Side of each repetition, where they do not simply alternate from ``start_side``.
    amplitude : float
        Size of every repetition against the movement's own, 1 is full.
    amplitude_jitter, tempo_jitter : float
        Standard deviation from one repetition to the next, as a fraction.
    lumbar_deg : tuple of float
        Lower back flexion at the peak of each repetition; the last one stands for the rest.
    sizes, lengths : tuple of float
        Size and time of each repetition relative to the others, for sets uneven on purpose;
        the last one stands for the rest.
    pauses_s : dict of int to float
        Standing still after a repetition, by its index.
    """

    kind: str
    movement: str
    duration_s: float
    reps: int | None = None
    cadence_per_min: float | None = None
    sides: tuple[str, ...] = ()
    start_side: str = "left"
    amplitude: float = 1.0
    amplitude_jitter: float = 0.03
    tempo_jitter: float = 0.03
    lumbar_deg: tuple[float, ...] = (0.0,)
    sizes: tuple[float, ...] = (1.0,)
    lengths: tuple[float, ...] = (1.0,)
    pauses_s: Mapping[int, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Rep:
    """When one repetition happens; ``period`` is the index of its period."""

    period: int
    movement: str
    side: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Session:
    """Postures and footing of every frame, and the repetitions they hold."""

    frame_rate: float
    times_s: FloatArray
    postures: FloatArray
    footing: Footing
    periods: tuple[Period, ...]
    starts_s: tuple[float, ...]
    reps: tuple[Rep, ...]

    @property
    def duration_s(self) -> float:
        """Length of the session."""
        return self.starts_s[-1] + self.periods[-1].duration_s


@dataclass(frozen=True)
class _TimedKey:
    time_s: float
    posture: FloatArray
    planted: frozenset[str]
    travel_m: float = 0.0


def rep_sides(period: Period, movement: Movement, room_s: float) -> tuple[str, ...]:
    """Side of each repetition of a period in which ``room_s`` is left for repetitions."""
    if movement.gesture:
        return ()
    if period.sides:
        return period.sides
    count = period.reps
    if count is None:
        each_s = 60 / period.cadence_per_min if period.cadence_per_min else movement.rep_s
        count = max(1, round(room_s / each_s))
    if not movement.alternating:
        return ("both",) * count
    other = "right" if period.start_side == "left" else "left"
    return tuple(period.start_side if i % 2 == 0 else other for i in range(count))


def _of(values: tuple[float, ...], i: int) -> float:
    """Value of the i-th repetition; the last one stands for the rest."""
    return values[min(i, len(values) - 1)]


def _rep_keys(
    keys: tuple[Key, ...], start_s: float, length_s: float, amplitude: float, lumbar_deg: float
) -> list[_TimedKey]:
    rest = keys[0].posture
    timed = []
    for key in keys:
        row = rest + amplitude * (key.posture - rest)
        row[COLUMN["lumbar"]] += key.depth * lumbar_deg
        timed.append(
            _TimedKey(start_s + key.phase * length_s, row, key.planted, key.travel_m * amplitude)
        )
    return timed


def _gesture_keys(
    movement: Movement, start_s: float, end_s: float, rng: np.random.Generator
) -> list[_TimedKey]:
    assert movement.gesture is not None
    planted = movement.keys[0].planted
    timed, now = [], start_s
    while now < end_s:
        timed.append(_TimedKey(now, movement.gesture(rng), planted))
        now += movement.rep_s * rng.uniform(0.6, 1.5)
    timed.append(_TimedKey(end_s, movement.gesture(rng), planted))
    return timed


def _change_over(before: _TimedKey, after: _TimedKey) -> list[_TimedKey]:
    """Between two movements first one foot finds its new place, then the other."""
    middle_s = (before.time_s + after.time_s) / 2
    middle = (before.posture + after.posture) / 2
    return [
        _TimedKey(before.time_s + 1e-6, before.posture, LEFT),
        _TimedKey(middle_s, middle, RIGHT),
        _TimedKey(after.time_s - 1e-6, after.posture, BOTH),
    ]


def _sample(keys: list[_TimedKey], times_s: FloatArray) -> tuple[FloatArray, Footing]:
    """Run smoothly through the keys, without overshoot, and say what carries every frame."""
    at = np.array([key.time_s for key in keys])
    at = np.maximum.accumulate(at) + 1e-7 * np.arange(len(at))  # a key may repeat the one before
    rows = np.array([key.posture for key in keys])
    before = np.clip(np.searchsorted(at, times_s + 1e-4, side="right") - 1, 0, len(keys) - 1)
    carried = np.array([[contact in key.planted for contact in CONTACTS] for key in keys])
    travel = np.array([key.travel_m for key in keys])
    flying = ~carried.any(axis=1)
    for i in range(1, len(keys)):  # a flight over several keys travels as one
        if flying[i] and flying[i - 1]:
            travel[i] = travel[i - 1]
    held = np.clip(times_s, at[0], at[-1])
    postures = np.asarray(PchipInterpolator(at, rows, axis=0)(held))
    return postures, Footing(carried[before], travel[before])


def _sway(times_s: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Small slow wandering of trunk, head and arms (n, len(ANGLES)), degrees."""
    sway = np.zeros((len(times_s), len(COLUMN)))
    amounts = dict(SWAY_DEG)
    for side in ("left", "right"):
        for angle in ("arm_forward", "arm_out", "forearm_forward"):
            amounts[f"{side}_{angle}"] = ARM_SWAY_DEG
    for angle, amount_deg in amounts.items():
        for frequency in (0.23, 0.51, 0.9):
            phase = rng.uniform(0, 2 * np.pi)
            rate = 2 * np.pi * frequency * rng.uniform(0.8, 1.25)
            sway[:, COLUMN[angle]] += amount_deg / 2 * np.sin(rate * times_s + phase)
    return sway


def perform(periods: tuple[Period, ...], seed: int, frame_rate: float = 25.0) -> Session:
    """Carry out the periods one after the other.

    Raises
    ------
    KeyError
        A movement that is not in :data:`clips.motions.MOVEMENTS`.
    """
    rng = np.random.default_rng(seed)
    keys: list[_TimedKey] = []
    reps: list[Rep] = []
    starts: list[float] = []
    start_s = 0.0
    for index, period in enumerate(periods):
        movement = MOVEMENTS[period.movement]
        starts.append(start_s)
        first_s, last_s = start_s + LEAD_S, start_s + period.duration_s - TAIL_S
        sides = rep_sides(period, movement, last_s - first_s)
        fresh: list[_TimedKey] = []
        if movement.gesture:
            fresh = _gesture_keys(movement, first_s, last_s, rng)
        lengths = np.maximum(1 + rng.normal(0, period.tempo_jitter, len(sides)), 0.7)
        lengths *= [_of(period.lengths, i) for i in range(len(sides))]
        pauses_s = np.array([period.pauses_s.get(i, 0.0) for i in range(len(sides))])
        lengths_s = (last_s - first_s - pauses_s.sum()) * lengths / max(lengths.sum(), 1e-9)
        begin_s = first_s + np.concatenate([[0], (lengths_s + pauses_s).cumsum()[:-1]])
        for i, side in enumerate(sides):
            amplitude = period.amplitude * (1 + rng.normal(0, period.amplitude_jitter))
            amplitude *= _of(period.sizes, i)
            lumbar_deg = _of(period.lumbar_deg, i)
            if fresh and pauses_s[i - 1] == 0:  # the next one's first key is where this one ends
                fresh.pop()
            fresh += _rep_keys(
                movement.side_keys(side), begin_s[i], lengths_s[i], amplitude, lumbar_deg
            )
            end_s = float(begin_s[i] + lengths_s[i])
            reps.append(Rep(index, period.movement, side, float(begin_s[i]), end_s))
        if keys:
            fresh = _change_over(keys[-1], fresh[0]) + fresh
        else:
            # Wait for the first repetition on what will carry it: hands stay down, jumps wait.
            waiting = ALL if fresh[0].planted >= HANDS else BOTH
            fresh.insert(0, _TimedKey(0.0, fresh[0].posture, waiting))
        keys += fresh
        start_s += period.duration_s
    keys.append(_TimedKey(start_s + 1.0, keys[-1].posture, keys[-1].planted))  # hold to the end
    times_s = np.arange(round(start_s * frame_rate)) / frame_rate
    postures, footing = _sample(keys, times_s)
    postures = postures + _sway(times_s, rng)
    return Session(frame_rate, times_s, postures, footing, periods, tuple(starts), tuple(reps))
