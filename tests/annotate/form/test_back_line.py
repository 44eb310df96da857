"""Change of the back line against a person's own first repetitions, on outlines of known arc."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.catalogue.model import catalogue
from annotate.counting.count import count_reps
from annotate.form.back_arc import JUDGED, arm_over_back, back_arc, dorsal_side
from annotate.form.back_line import judge_backs
from annotate.review.model import Back, BackAssessed, BackNotAssessable
from pose import landmarks as lm
from pose.signals.compute import movement_signals
from pose.track import BACK_FRACTIONS, PoseTrack
from tests import stick
from tests.known import as_a, known

STARTS = [0.5, 4.0, 7.5, 11.0, 14.5, 18.0, 21.5]
REP_S, CLIP_S = 3.0, 25.5
HINGE = catalogue()["hip-hinge"]


def arc_profile(arc_deg: float) -> NDArray[np.float64]:
    """Outline over the judged part of the chord that is an arc of a circle of this angle."""
    chord = JUDGED[1] - JUDGED[0]
    if abs(arc_deg) < 1e-6:
        return np.zeros(len(BACK_FRACTIONS))
    radius = chord / (2 * np.sin(np.radians(arc_deg) / 2))
    along = BACK_FRACTIONS - sum(JUDGED) / 2
    inside = np.maximum(radius**2 - along**2, 0)
    arc = np.sign(radius) * (np.sqrt(inside) - np.sqrt(radius**2 - chord**2 / 4))
    return np.asarray(arc)


def filmed(rounding: list[float], *, yaw: float = 90.0, own_arc: float = -35.0) -> PoseTrack:
    """Hinges whose outline rounds by `rounding` degrees at each repetition's bottom."""

    def stance(t: float) -> stick.Stance:
        return stick.hinging(float(stick.wave(np.array([t]), STARTS, REP_S)[0]))

    film = stick.track(CLIP_S, stance, yaw_deg=yaw, noise_m=0.003)
    bumps = np.stack([stick.wave(film.times_s, [s], REP_S) for s in STARTS])
    arcs = own_arc + np.asarray(rounding) @ bumps
    outline = film.outline.copy()
    noise = np.random.default_rng(2).normal(0, 0.004, outline.shape)
    back = 1 if 0 < yaw < 180 else 0
    for i, arc in enumerate(arcs):
        outline[i, back] = 0.2 + arc_profile(arc)
        outline[i, 1 - back] = 0.25
    return replace(film, outline=(outline + noise).astype(np.float32))


def judged(film: PoseTrack) -> list[Back]:
    signals = movement_signals(film)
    reps = count_reps(signals, HINGE, 0, CLIP_S).reps
    assert len(reps) == len(STARTS)
    return judge_backs(back_arc(film, signals), signals, [reps]).backs[0]


@pytest.mark.parametrize("yaw", [90, 75, -90, -100])
def test_a_back_that_rounds_late_is_seen_from_either_side(yaw: int) -> None:
    backs = judged(filmed([0, 0, 0, 0, 30, 30, 30], yaw=yaw))
    assert [as_a(BackAssessed, b).rounded for b in backs] == [False] * 4 + [True] * 3
    assert [as_a(BackAssessed, b).arc_change_deg for b in backs[4:]] == pytest.approx(
        [30] * 3, abs=8
    )


def test_a_flat_back_is_never_flagged() -> None:
    backs = judged(filmed([0] * 7))
    assert not any(as_a(BackAssessed, b).rounded for b in backs)
    assert max(abs(as_a(BackAssessed, b).arc_change_deg) for b in backs) < 5


def test_a_back_that_is_always_rounded_is_this_persons_own_measure() -> None:
    assert not any(as_a(BackAssessed, b).rounded for b in judged(filmed([0] * 7, own_arc=25)))


def test_one_single_rounder_repetition_is_no_finding() -> None:
    backs = judged(filmed([0, 0, 0, 0, 30, 0, 0]))
    assert not any(as_a(BackAssessed, b).rounded for b in backs)


def test_one_rounded_repetition_among_the_first_does_not_spoil_the_measure() -> None:
    backs = judged(filmed([0, 0, 30, 0, 0, 30, 30]))
    assert [as_a(BackAssessed, b).rounded for b in backs] == [False] * 5 + [True] * 2


@pytest.mark.parametrize("yaw", [0, 180, 40])
def test_from_the_front_there_is_no_verdict_and_the_reason_says_what_to_do(yaw: int) -> None:
    backs = judged(filmed([0, 0, 0, 0, 40, 40, 40], yaw=yaw))
    assert not any(b.assessable for b in backs)
    assert all("turn side-on" in as_a(BackNotAssessable, b).reason for b in backs)


def test_without_an_outline_there_is_no_verdict() -> None:
    film = filmed([0] * 7)
    film = replace(film, outline=np.full_like(film.outline, np.nan))
    assert {as_a(BackNotAssessable, b).reason for b in judged(film)} == {
        "the outline of the back could not be seen"
    }


def test_too_few_repetitions_have_nothing_to_be_compared_with() -> None:
    film = filmed([0] * 7)
    signals = movement_signals(film)
    reps = count_reps(signals, HINGE, 0, CLIP_S).reps[:2]
    backs = judge_backs(back_arc(film, signals), signals, [reps]).backs[0]
    assert {as_a(BackNotAssessable, b).reason for b in backs} == {
        "too few earlier repetitions to compare with"
    }


def test_a_change_carries_its_uncertainty_and_what_it_was_compared_with() -> None:
    back = as_a(BackAssessed, judged(filmed([0, 0, 0, 0, 30, 30, 30]))[5])
    assert known(back.uncertainty_deg) >= 5
    assert back.compared_with == "own first repetitions"


def test_a_movement_done_only_twice_is_compared_with_the_earliest_of_the_clip() -> None:
    film = filmed([0, 0, 0, 0, 0, 30, 30])
    signals = movement_signals(film)
    reps = count_reps(signals, HINGE, 0, CLIP_S).reps
    (backs,) = judge_backs(back_arc(film, signals), signals, [reps[5:]], reps).backs
    assert [as_a(BackAssessed, b).compared_with for b in backs] == [
        "earliest bent-over repetitions of the clip"
    ] * 2
    assert all(as_a(BackAssessed, b).rounded for b in backs)


def test_repetitions_bent_quite_differently_are_not_compared() -> None:
    film = filmed([0] * 7)

    def stance(t: float) -> stick.Stance:
        bumps = stick.wave(np.array([t]), STARTS, REP_S)[0]
        return stick.hinging(float(bumps) * (1.0 if t < STARTS[4] else 1.7))

    deeper = stick.track(CLIP_S, stance, yaw_deg=90, noise_m=0.003)
    backs = judged(replace(deeper, outline=film.outline))
    assert all(b.assessable for b in backs[:4])
    # Where the deepest part of a repetition was never reached before, there is no like of it.
    assert {as_a(BackNotAssessable, b).reason for b in backs[4:]} == {
        "bent differently from the first repetitions: nothing to compare with"
    }


@pytest.mark.parametrize("yaw", [90, -90, 75])
def test_a_mirrored_film_keeps_its_backs(yaw: int) -> None:
    film = filmed([0, 0, 0, 0, 30, 30, 30], yaw=yaw)
    signals = movement_signals(film, mirrored=True)
    reps = count_reps(signals, HINGE, 0, CLIP_S).reps
    (backs,) = judge_backs(back_arc(film, signals), signals, [reps]).backs
    assert [as_a(BackAssessed, b).rounded for b in backs] == [False] * 4 + [True] * 3


def test_an_arm_laid_over_the_back_is_noticed() -> None:
    film = filmed([0] * 7)
    dorsal = dorsal_side(film)
    assert not arm_over_back(film, dorsal)[film.times_s > 1].any()
    xy = film.xy_px.copy()
    hips = xy[:, list(lm.HIPS)].mean(axis=1)
    chord = xy[:, list(lm.SHOULDERS)].mean(axis=1) - hips
    behind = np.stack([-chord[:, 1], chord[:, 0]], axis=1) * 0.2
    xy[:, lm.WRISTS[0]] = hips + 0.3 * chord + behind
    covered = replace(film, xy_px=xy)
    assert arm_over_back(covered, dorsal).all()
    assert {as_a(BackNotAssessable, b).reason for b in judged(covered)} == {
        "an arm covered the back"
    }


def test_a_crouch_with_thighs_against_the_trunk_is_not_judged() -> None:
    film = filmed([0] * 7)

    def stance(t: float) -> stick.Stance:
        down = float(stick.wave(np.array([t]), STARTS, REP_S)[0])
        return stick.Stance(trunk=70 * down, thigh=(100 * down,) * 2, shank=(-40 * down,) * 2)

    crouched = stick.track(CLIP_S, stance, yaw_deg=90, noise_m=0.003)
    backs = judged(replace(crouched, outline=film.outline))
    assert {as_a(BackNotAssessable, b).reason for b in backs} == {
        "crouched too low: seat and thighs shape the outline"
    }


def test_repetitions_late_in_a_set_are_nobodys_first() -> None:
    film = filmed([0] * 7)
    signals = movement_signals(film)
    reps = list(count_reps(signals, HINGE, 0, CLIP_S).reps)
    upright = replace(reps[0], end_s=reps[0].start_s + 0.1)
    (backs,) = judge_backs(back_arc(film, signals), signals, [[upright] * 8 + reps]).backs
    assert {as_a(BackNotAssessable, b).reason for b in backs[8:]} == {
        "too few earlier repetitions to compare with"
    }


def test_movements_that_crouch_are_known_beforehand() -> None:
    assert {m.id for m in catalogue().values() if m.crouched} == {
        "squat-thrust",
        "squat-thrust-jump",
    }
