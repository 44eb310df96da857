"""Which moments are shown, and what is laid over them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from annotate import review_track
from annotate.form.back_arc import JUDGED
from annotate.form.repetitions import with_reps
from annotate.form.stills import BONES, find_stills, overlay
from annotate.review.model import BackAssessed, Period, Rep, RepSet, RepSpan, Review
from pose import landmarks as lm
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from pose.track import PoseTrack
from tests.annotate.form.test_back_line import filmed
from tests.annotate.reviews import review
from tests.known import as_a, known


@pytest.fixture(scope="module")
def rounding() -> tuple[PoseTrack, Signals, Review]:
    film = filmed([0, 0, 0, 0, 30, 40, 30])
    return film, movement_signals(film), review_track(film)


def test_every_flagged_repetition_and_a_pair_are_shown(
    rounding: tuple[PoseTrack, Signals, Review],
) -> None:
    _, _, review = rounding
    (period,) = [p for p in review.periods if p.reps.count]
    assert review.stills == find_stills(review.periods)
    single = [s for s in review.stills if s.beside_s is None]
    (pair,) = [s for s in review.stills if s.beside_s is not None]
    assert [s.repetition for s in single] == [4, 5, 6]
    assert len({s.file for s in review.stills}) == 4
    assert pair.repetition == 5 and known(pair.beside_repetition) < 4
    for still in single:
        rep = period.reps.each[still.repetition]
        assert abs(still.at_s - rep.peak_s) < 0.7


def test_nothing_flagged_nothing_shown() -> None:
    assert review_track(filmed([0] * 7)).stills == ()


def test_the_outlines_lie_where_they_were_seen(rounding: tuple[PoseTrack, Signals, Review]) -> None:
    film, signals, review = rounding
    period = next(p for p in review.periods if p.reps.count)
    at_s = known(as_a(BackAssessed, period.reps.each[5].back).at_s)
    over = overlay(film, signals, review, period.index, at_s)
    i = int(np.abs(film.times_s - at_s).argmin())
    assert over.time_s == film.times_s[i]
    hips, shoulders = over.bones[-1]
    assert hips == pytest.approx(film.xy_px[i, list(lm.HIPS)].mean(axis=0))
    assert len(over.bones) == len(BONES) + 1
    # Facing left in the picture and bent over, the back is the upper side.
    chord = shoulders - hips
    length = np.hypot(*chord)
    across = np.array([chord[1], -chord[0]]) / length
    offsets = -(over.back - hips) @ across / length
    seen = film.outline[i, 1]
    assert offsets[0] == pytest.approx(seen[np.isfinite(seen)][6], abs=0.05)
    assert (over.back[:, 1] < hips[1]).all()
    # An arc of a circle rises tan(arc / 4) / 2 over its chord: here 40 degrees more than at first.
    middle = len(over.back) // 2
    first = -(over.first - hips) @ across / length
    rise = (JUDGED[1] - JUDGED[0]) * np.tan(np.radians(10)) / 2
    assert offsets[middle] - first[middle] == pytest.approx(rise, rel=0.3)


def test_what_was_not_seen_is_not_drawn(rounding: tuple[PoseTrack, Signals, Review]) -> None:
    film, signals, review = rounding
    blind = replace(film, outline=np.full_like(film.outline, np.nan))
    period = next(p for p in review.periods if p.reps.count)
    over = overlay(blind, signals, review, period.index, period.reps.each[5].peak_s)
    assert len(over.back) == 0 and len(over.first) == 0


def periods_of(*spans: tuple[str, float, float]) -> list[Period]:
    return [
        Period(
            index=i, kind="work", start_s=start_s, end_s=end_s, duration_s=end_s - start_s,
            confidence=1, movement=movement, movement_confidence=1, intensity=None,
            reps=RepSet(count=0, confidence=0),
        )
        for i, (movement, start_s, end_s) in enumerate(spans)
    ]  # fmt: skip


def rise_over_first(
    film: PoseTrack, signals: Signals, found: Review, period: int, at_s: float
) -> float:
    """How far the middle of the back stands over the first outline, in chord lengths."""
    over = overlay(film, signals, found, period, at_s)
    hips, shoulders = over.bones[-1]
    chord = shoulders - hips
    across = np.array([chord[1], -chord[0]]) / np.hypot(*chord) ** 2
    middle = len(over.back) // 2
    return float(-(over.back[middle] - over.first[middle]) @ across)


def test_the_still_shows_the_repetitions_that_were_compared_with() -> None:
    """Done only twice, a movement is compared with the earliest of the clip: so is its still."""
    film = filmed([0, 0, 0, 0, 0, 40, 40])
    signals = movement_signals(film)
    periods = with_reps(
        film, signals, periods_of(("hip-hinge", 0, 17.8), ("toe-touch", 17.8, 25.5))
    )
    backs = [as_a(BackAssessed, rep.back) for rep in periods[1].reps.each]
    assert {b.compared_with for b in backs} == {"earliest bent-over repetitions of the clip"}
    assert [b.rounded for b in backs] == [True, True]
    found = review(periods)
    rise = (JUDGED[1] - JUDGED[0]) * np.tan(np.radians(10)) / 2
    for back in backs:
        assert rise_over_first(film, signals, found, 1, known(back.at_s)) == pytest.approx(
            rise, rel=0.3
        )


def test_the_repetitions_in_the_review_are_those_that_are_drawn(
    rounding: tuple[PoseTrack, Signals, Review],
) -> None:
    film, signals, found = rounding
    done = next(p for p in found.periods if p.reps.count)
    each = done.reps.each
    assert [s.start_s for s in done.back_compared_with] == [r.start_s for r in each[1:4]]
    at_s = known(as_a(BackAssessed, each[5].back).at_s)

    def rise(*spans: Rep) -> float:
        told = tuple(RepSpan(start_s=r.start_s, end_s=r.end_s) for r in spans)
        periods = [
            p.model_copy(update={"back_compared_with": told}) if p == done else p
            for p in found.periods
        ]
        other = found.model_copy(update={"periods": tuple(periods)})
        return rise_over_first(film, signals, other, done.index, at_s)

    # Rounded by 40 degrees here, by 30 in the two beside it.
    assert rise(each[4], each[6]) < 0.5 * rise(*each[1:4])


def test_where_nothing_was_compared_no_other_outline_is_drawn(
    rounding: tuple[PoseTrack, Signals, Review],
) -> None:
    film, signals, found = rounding
    done = next(p for p in found.periods if p.reps.count)
    periods = [p.model_copy(update={"back_compared_with": ()}) for p in found.periods]
    at_s = known(as_a(BackAssessed, done.reps.each[5].back).at_s)
    over = overlay(film, signals, review(periods), done.index, at_s)
    assert len(over.first) == 0 and len(over.back) > 0
