"""Repetitions and changes of movement compared with the beat of the music.

Done to the music, a repetition takes a whole number of counts. How far the peaks drift from that
over a round says ahead or behind. Half and double time are teaching devices and reported as such.
A new movement begins on the first count of an eight (instructor-education pages).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from annotate.counting.tempo import tempo_of
from annotate.music.beat import Beat
from annotate.review.model import Comparison, Cue, Period, Review
from annotate.review.music import ChangeOnBeat, Music, OnBeat
from annotate.review.queries import label_of, rows_by_delivered
from annotate.text import amount

# Counts a repetition may take: parts and multiples of a bar of four, and of a waltz bar of three.
_COUNTS = (1, 2, 3, 4, 6, 8, 12, 16)
# In step within this fraction of such a number: less than half of the step from 4 to 3 or from 8
# to 6 (a quarter), so that no repetition fits two of them.
_IN_STEP = 0.08
# With fewer repetitions the slope of the peaks is too uncertain. Common practice, no source.
_LEAST_REPS = 5
# The confidence of a count below which a finding says "about" (compare/findings.py).
_SURE_COUNT = 0.6
# A drift up to this many counts over a round is on the beat: a count lasts 0.35 to 0.7 s, and
# peaks are off by up to about a fifth of a second.
_ON_BEAT = 0.5
# A change within this many counts of the first is on it: boundaries are found within half a second
# (docs/measurements.md), which is up to one and a half counts.
_COUNT_NEAR = 1.5
# An announcement this long before a change may still be about it; as for the spoken cues
# (cues/judge.py).
_ANNOUNCED_WITHIN_S = 15.0


def with_music(review: Review, beats: Sequence[Beat]) -> Review:
    """Add the music to a review, and compare movement with it where the beat is sure.

    Returns
    -------
    Review
        A copy with `music`, `on_beat` and `changes_on_beat`.
    """
    rows = rows_by_delivered(review.comparison)
    sure = [b for b in beats if b.sure]
    judged = [
        found
        for period in review.periods
        if (found := _period_on_beat(period, rows.get(period.index), sure)) is not None
    ]
    changes = [
        _change_on_beat(before, after, beat, review.cues, rows.get(after.index))
        for before, after in zip(review.periods, review.periods[1:], strict=False)
        if after.kind not in ("still", "absent")
        and (beat := _beat_at(sure, after.start_s)) is not None
    ]
    music = tuple(
        Music(start_s=b.start_s, end_s=b.end_s, beats_per_min=b.per_min, first_beat_s=b.first_s,
              sure=b.sure, accent_every=b.cycle, accent_beat=b.accent)
        for b in beats
    )  # fmt: skip
    return review.model_copy(
        update={"music": music, "on_beat": tuple(judged), "changes_on_beat": tuple(changes)}
    )


def beats_of(music: Sequence[Music]) -> tuple[Beat, ...]:
    """Get back the beats a review was made with, to judge a corrected one with them."""
    return tuple(
        Beat(m.start_s, m.end_s, m.beats_per_min, m.first_beat_s, m.sure, m.accent_every,
             m.accent_beat)
        for m in music
    )  # fmt: skip


def _beat_at(beats: Sequence[Beat], time_s: float) -> Beat | None:
    return next((b for b in beats if b.start_s <= time_s <= b.end_s), None)


def _period_on_beat(period: Period, row: Comparison | None, beats: Sequence[Beat]) -> OnBeat | None:
    peaks = [r.peak_s for r in period.reps.each if r.complete]
    beat = _beat_at(beats, (period.start_s + period.end_s) / 2)
    if beat is None or len(peaks) < _LEAST_REPS or period.reps.confidence < _SURE_COUNT:
        return None
    if not beat.start_s <= peaks[0] <= peaks[-1] <= beat.end_s:
        return None  # the music changes during the period
    at = np.array([beat.count_at(t) for t in peaks])
    each, _ = np.polyfit(np.arange(len(at)), at, 1)
    whole = min(_COUNTS, key=lambda n: abs(each / n - 1))
    in_step = abs(each / whole - 1) <= _IN_STEP
    gained = float((whole - each) * (len(at) - 1)) if in_step else None
    tempo = tempo_of(None if row is None else row.planned, period)
    return OnBeat(
        period=period.index,
        beats_per_rep=round(float(each), 2),
        tempo=tempo,
        gained_beats=None if gained is None else round(gained, 2),
        text=f"{label_of(period, row)}: {_words(float(each), whole, gained, tempo, beat)}.",
    )


def _words(each: float, whole: int, gained: float | None, tempo: str | None, beat: Beat) -> str:
    if gained is None:
        return f"one repetition every {each:.1f} counts, not in step with the music"
    counts = "every count" if whole == 1 else f"every {whole} counts"
    time = f", {tempo} time" if tempo else ""
    if abs(gained) <= _ON_BEAT:
        return f"one repetition {counts}{time}, on the beat"
    way = "ahead" if gained > 0 else "behind"
    return (
        f"one repetition {counts}{time}, {abs(gained):.1f} counts "
        f"({abs(gained) * beat.each_s:.1f} s) {way} over the round"
    )


def _change_on_beat(
    before: Period, after: Period, beat: Beat, cues: Sequence[Cue], row: Comparison | None
) -> ChangeOnBeat:
    at_s = after.start_s
    place = beat.in_cycle(at_s)
    count = None if place is None else int(round(place)) % beat.cycle + 1
    said = [
        c.at_s for c in cues
        if c.kind == "announce" and max(before.start_s, at_s - _ANNOUNCED_WITHIN_S) <= c.at_s < at_s
    ]  # fmt: skip
    ahead = round((at_s - said[-1]) / beat.each_s) if said else None
    parts = []
    if place is not None:
        off = min(place, beat.cycle - place)
        name = "eight" if beat.cycle == 8 else "four"
        on = f"on the first count of {name}" if off <= _COUNT_NEAR else f"about count {count}"
        parts.append(f"{on} ({name}s)" if off > _COUNT_NEAR else on)
    if ahead is not None:
        parts.append(f"announced {amount(ahead, 'count')} ahead")
    text = ", ".join(parts) or "the count it fell on is not known"
    return ChangeOnBeat(
        at_s=at_s,
        count=count,
        out_of=None if place is None else beat.cycle,
        announced_counts=ahead,
        text=f"{label_of(after, row)}: {text}.",
    )
