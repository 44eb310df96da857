"""Stills: the moments of flagged repetitions, and what is drawn over their pictures.

There is one still for each repetition whose back line is rounder, and one with the roundest and the
flattest side by side for each period that has such repetitions. Drawn over it: the skeleton, the
outline of the back, and the outline of the baseline repetitions (:mod:`annotate.form.baseline`) in
the same posture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from annotate.form.back_arc import JUDGED, dorsal_side
from annotate.form.back_line import ALIKE_HIP_DEG, ALIKE_TRUNK_DEG
from annotate.review.model import Period, Rep, RepSpan, Review, Still
from annotate.review.queries import flagged_reps
from pose import landmarks as lm
from pose.body.outline import outline_px
from pose.signals.model import Signals
from pose.track import BACK_FRACTIONS, PoseTrack

Floats = NDArray[np.float64]

BONES = tuple(
    (pair_a[side], pair_b[side])
    for pair_a, pair_b in (
        (lm.SHOULDERS, lm.ELBOWS), (lm.ELBOWS, lm.WRISTS), (lm.HIPS, lm.KNEES),
        (lm.KNEES, lm.ANKLES), (lm.ANKLES, lm.HEELS), (lm.HEELS, lm.TOES),
    )
    for side in (0, 1)
)  # fmt: skip
# Of each baseline repetition the median of the three samples most like this posture: it survives
# one stray outline.
_SAMPLES = 3
# Samples further from this posture are not used: three standard deviations of the weight by which
# postures are alike (back_line), squared.
_UNLIKE = 9.0


@dataclass(frozen=True, eq=False)
class Overlay:
    """What is drawn over one picture, in pixels of the shown picture.

    Attributes
    ----------
    time_s : float
        Time of the picture.
    bones : (b, 2, 2) float64
        Lines of the skeleton, the line from hips to shoulders last.
    back, first : (k, 2) float64
        Outline of the back here, and of the baseline repetitions in this posture; empty where it is
        not known.
    """

    time_s: float
    bones: Floats
    back: Floats
    first: Floats


def find_stills(periods: Sequence[Period]) -> tuple[Still, ...]:
    """The stills of all flagged repetitions, with their file names."""
    out = []
    for period in periods:
        flagged = flagged_reps(period)
        if not flagged:
            continue
        judged = [(i, r) for i, r in enumerate(period.reps.each) if r.back.assessable]
        stem = f"period-{period.index + 1:02d}"
        for i, rep in flagged:
            out.append(
                Still(
                    file=f"{stem}-repetition-{i + 1:02d}.jpg",
                    period=period.index,
                    repetition=i,
                    at_s=_moment(rep),
                    text=f"Repetition {i + 1}: back line {_change(rep):.0f} deg rounder than at "
                    "first",
                )
            )
        worst = max(flagged, key=lambda pair: _change(pair[1]))
        best = min(judged, key=lambda pair: abs(_change(pair[1])))
        out.append(
            Still(
                file=f"{stem}-roundest-and-flattest.jpg",
                period=period.index,
                repetition=worst[0],
                at_s=_moment(worst[1]),
                beside_repetition=best[0],
                beside_s=_moment(best[1]),
                text=f"Repetition {worst[0] + 1} beside repetition {best[0] + 1}",
            )
        )
    return tuple(out)


def overlay(
    track: PoseTrack, signals: Signals, review: Review, period: int, time_s: float
) -> Overlay:
    """What is drawn over the picture nearest to `time_s`.

    `period` is the index of the period whose baseline is drawn.
    """
    i = int(np.abs(track.times_s - time_s).argmin())
    dorsal = dorsal_side(track)
    low, high = JUDGED
    judged = (low <= BACK_FRACTIONS) & (high >= BACK_FRACTIONS)
    xy = track.xy_px[i]
    chord = np.stack([xy[list(lm.HIPS)].mean(axis=0), xy[list(lm.SHOULDERS)].mean(axis=0)])
    side = int(dorsal[i])
    back = outline_px(chord, track.outline[i, side], side)
    compared_with = review.periods[period].back_compared_with
    first = outline_px(chord, _first_outline(track, signals, compared_with, i, dorsal), side)
    return Overlay(
        time_s=float(track.times_s[i]),
        bones=np.stack([*(xy[list(pair)] for pair in BONES), chord]),
        back=_known(back[judged]),
        first=_known(first[judged]),
    )


def _first_outline(
    track: PoseTrack,
    signals: Signals,
    compared_with: Sequence[RepSpan],
    sample: int,
    dorsal: NDArray[np.intp],
) -> Floats:
    """Outline of the baseline repetitions, (k,), in postures like that of a sample."""
    at = signals.nearest(track.times_s)
    trunk, hip = signals["trunk_deg"][at], signals["hip_deg"][at]
    apart = ((trunk - trunk[sample]) / ALIKE_TRUNK_DEG) ** 2 + (
        (hip - hip[sample]) / ALIKE_HIP_DEG
    ) ** 2
    outlines = []
    for rep in compared_with:
        within = (track.times_s >= rep.start_s) & (track.times_s <= rep.end_s)
        alike = np.flatnonzero(within & (apart < _UNLIKE))
        # A sample within a baseline repetition is compared with the other ones.
        if len(alike) and not within[sample]:
            nearest = alike[np.argsort(apart[alike])[:_SAMPLES]]
            outlines.append(_middle(track.outline[nearest, dorsal[nearest]]))
    return _middle(np.array(outlines)) if outlines else np.full(len(BACK_FRACTIONS), np.nan)


def _middle(outlines: NDArray[Any]) -> Floats:
    """Median of outlines at each point, ignoring NaN; NaN where no outline has the point."""
    middle = np.full(outlines.shape[1], np.nan)
    seen = np.isfinite(outlines).any(axis=0)
    middle[seen] = np.nanmedian(outlines[:, seen], axis=0)
    return middle


def _moment(rep: Rep) -> float:
    at_s = rep.back.at_s if rep.back.assessable else None
    return rep.peak_s if at_s is None else at_s


def _change(rep: Rep) -> float:
    return rep.back.arc_change_deg if rep.back.assessable else 0.0


def _known(points: Floats) -> Floats:
    return np.asarray(points[np.isfinite(points).all(axis=1)])
