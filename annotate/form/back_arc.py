"""The arc of the back's outline over time, where no arm covers it.

Outline and landmarks are read from the raw track: mirroring a film changes neither which way the
figure faces in the picture nor the shape of its back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from pose import landmarks as lm
from pose.body.outline import profile_arc_deg
from pose.signals.filters import MAX_GAP_S, low_pass, resample
from pose.signals.geometry import midpoint, yaw_deg
from pose.signals.model import Signals
from pose.signals.view import steady_left_axis
from pose.track import BACK_FRACTIONS, PoseTrack

Floats = NDArray[np.float64]

# The part of the chord that is judged. Frame by frame the lower 60 % carry the signal and the rest
# the noise of the shoulder landmarks; over time and at matched posture the longer stretch is
# steadier against hips found a little too far up or down (measured, see docs/measurements.md).
JUDGED = (0.0, 0.8)
# Low-pass: the trunk moves more slowly than the limbs; judgement, kept because the accuracy of the
# back line was measured with it (docs/measurements.md).
CUTOFF_HZ = 2.0
# Half an arm's width, in chord lengths (about 4 cm at half a metre of trunk): an arm nearer to the
# edge than this may itself be the edge.
ARM = 0.08
# The arm is checked from this fraction of the upper arm on: the part above belongs to the shoulder,
# where the outline is not judged.
FREE_ARM = 0.4


@dataclass(frozen=True, eq=False)
class BackArc:
    """The back over time, on the grid of the signals.

    Attributes
    ----------
    arc_deg : (m,) float64
        Arc of the outline in degrees, larger is rounder; NaN where it is not seen.
    arm_over : (m,) bool
        Where an arm covers the edge of the back.
    """

    arc_deg: Floats
    arm_over: NDArray[np.bool_]


def dorsal_side(track: PoseTrack) -> NDArray[np.intp]:
    """Side of the outline on which the back lies, (n,): 0 left, 1 right of hips-to-shoulders.

    A person who faces the picture's left has the back to the right of the line from hips to
    shoulders, also when the trunk bends forward.
    """
    if len(track) < 2:
        return np.zeros(len(track), dtype=np.intp)
    rate_hz = 1.0 / float(np.median(np.diff(track.times_s)))
    axis = steady_left_axis(track.world_m, rate_hz)
    return np.asarray(np.sin(np.radians(yaw_deg(axis))) > 0).astype(np.intp)


def arm_over_back(track: PoseTrack, dorsal: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Samples where an arm lies on or beyond the judged part of the back's edge, (n,) bool.

    Parameters
    ----------
    track : PoseTrack
        Of n samples.
    dorsal : (n,) int
        Side of the back, see :func:`dorsal_side`.
    """
    hips = midpoint(track.xy_px, lm.HIPS)
    chord = midpoint(track.xy_px, lm.SHOULDERS) - hips
    length = np.linalg.norm(chord, axis=1)
    sign = np.where(dorsal == 0, 1.0, -1.0)
    out = np.stack([chord[:, 1], -chord[:, 0]], axis=1) * (sign / length)[:, None]
    edge = track.outline[np.arange(len(track)), dorsal]
    covered = np.zeros(len(track), dtype=bool)
    for side in (0, 1):
        shoulder, elbow, wrist = (
            track.xy_px[:, pair[side]] for pair in (lm.SHOULDERS, lm.ELBOWS, lm.WRISTS)
        )
        points = [shoulder + share * (elbow - shoulder) for share in np.linspace(FREE_ARM, 1, 5)]
        points += [elbow + share * (wrist - elbow) for share in np.linspace(0.2, 1, 5)]
        for point in points:
            along = ((point - hips) * chord).sum(axis=1) / length**2
            away = ((point - hips) * out).sum(axis=1) / length
            near = np.clip(np.searchsorted(BACK_FRACTIONS, along), 0, len(BACK_FRACTIONS) - 1)
            there = edge[np.arange(len(track)), near]
            beside = (along > JUDGED[0] - ARM) & (along < JUDGED[1] + ARM)
            covered |= beside & (away > there - ARM)
    return covered


def back_arc(track: PoseTrack, signals: Signals) -> BackArc:
    """Measure the arc of the back over a whole track, on the time grid of the signals."""
    if len(signals.times_s) == 0:
        return BackArc(np.empty(0), np.empty(0, dtype=bool))
    dorsal = dorsal_side(track)
    arc = profile_arc_deg(BACK_FRACTIONS, track.outline[np.arange(len(track)), dorsal], *JUDGED)
    covered = arm_over_back(track, dorsal)
    arc[covered] = np.nan
    # A median before the low-pass removes single stray outlines.
    known = np.isfinite(arc)
    if known.any():
        arc[known] = median_filter(arc[known], size=5, mode="nearest")
    grid = resample(track.times_s, arc, signals.times_s, MAX_GAP_S)
    nearest = np.clip(np.searchsorted(track.times_s, signals.times_s), 0, len(track) - 1)
    return BackArc(low_pass(grid, signals.rate_hz, CUTOFF_HZ), covered[nearest])
