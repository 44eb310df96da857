"""Spoken cues against filmed sessions: slips seeded into the captions, and single cues."""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest

from annotate import review_track
from annotate.cues.captions import words_of
from annotate.cues.judge import judge_cues
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Cue, Review
from clips.session import Period
from tests.annotate.instructor import SLIPS, say_class, webvtt
from tests.annotate.reviews import as_planned, block, period, reps, review
from tests.film import film
from tests.known import known

PLAN = ClassPlan(
    title="Pier intervals",
    blocks=(
        block(name="Warm-up", kind="warm-up", movement="march", duration=20),
        block(name="Squats", movement="squat", rounds=3, work=24, recovery=14, reps=11,
              recovery_movement="step-touch"),
        block(name="Knee lifts", movement="knee-lift", rounds=2, work=24, recovery=14,
              recovery_movement="march"),
        block(name="Hinges", movement="hip-hinge", rounds=2, work=24, recovery=14, reps=10,
              recovery_movement="step-touch"),
        block(name="Cool-down", kind="cool-down", movement="reach", duration=16),
    ),
)  # fmt: skip
TIMELINE = unroll(PLAN)


@cache
def session(seed: int) -> tuple[Review, dict[str, Any]]:
    """A class as planned, reviewed, and the truth of its film."""
    performed = tuple(Period(p.kind, known(p.movement), p.duration_s, reps=p.reps)
                      for p in TIMELINE.periods)  # fmt: skip
    track, truth = film(performed, seed=seed, yaw_deg=60)
    for true, planned in zip(truth["periods"], TIMELINE.periods, strict=True):
        true["round"], true["rounds"] = planned.round, planned.rounds
    return review_track(track, PLAN), truth


def trial(
    seed: int, style: str, lost: float, k: int
) -> tuple[set[str], set[str], set[str], list[Cue]]:
    """Slips made, those of which every word came through, those found; and what was invented."""
    filmed, truth = session(seed)
    rng = random.Random(f"{seed}{style}{lost}{k}")
    work = [i for i, p in enumerate(truth["periods"]) if p["kind"] == "work"]
    slips = dict(zip(rng.sample(work, 4), rng.sample(SLIPS, 4), strict=True))
    said = say_class(truth, rng, slips)
    text, intact = webvtt(said, rng, style=style, lost=lost)
    found, invented = set(), []
    for cue in judge_cues(words_of(text), filmed).cues:
        if cue.verdict == "wrong":
            about = {s.slip for s in said if s.slip and abs(s.at_s - cue.at_s) < 2.5}
            found |= about
            invented += [] if about else [cue]
    return {s.slip for s in said if s.slip}, intact, found, invented


@pytest.mark.slow
@pytest.mark.parametrize("style", ["lines", "words", "rolling", "digits"])
@pytest.mark.parametrize("seed", [1, 2])
def test_every_slip_is_found_and_none_invented(style: str, seed: int) -> None:
    for k in range(6):
        made, _, found, invented = trial(seed, style, 0.0, k)
        assert found == made
        assert invented == []


@pytest.mark.slow
@pytest.mark.parametrize("style", ["lines", "words", "rolling", "digits"])
def test_with_a_tenth_of_the_words_lost_or_wrong_none_is_invented(style: str) -> None:
    made = intact = heard = found = 0
    for k in range(12):
        of, whole, got, invented = trial(1 + k % 2, style, 0.1, k)
        assert invented == []
        made, intact = made + len(of), intact + len(whole)
        heard, found = heard + len(got & whole), found + len(got)
    # A slip whose words were lost cannot be found; of the others nearly all are.
    assert heard >= 0.9 * intact
    assert found >= 0.7 * made


@pytest.mark.slow
def test_cues_said_right_are_right() -> None:
    filmed, truth = session(1)
    rng = random.Random(3)
    text, _ = webvtt(say_class(truth, rng, {}), rng)
    verdicts = [c.verdict for c in judge_cues(words_of(text), filmed).cues]
    assert "wrong" not in verdicts
    assert verdicts.count("right") >= 0.9 * len(verdicts) > 40


# --- single cues, on a class delivered to the second -----------------------------------------

CLASS = as_planned(
    unroll(
        ClassPlan(
            blocks=(
                block(name="Squat", movement="squat", rounds=2, work=30, recovery=20, reps=10,
                      recovery_movement="step-touch"),
                block(name="Side lunge", movement="side-lunge", work=30, recovery=20, reps=10,
                      recovery_movement="step-touch"),
            )
        )
    )
)  # fmt: skip


def verdicts(
    *lines: tuple[float, float, str], on: Review = CLASS, **settings: Any
) -> list[tuple[str, str, str]]:
    def clock(s: float) -> str:
        return f"{int(s // 60):02d}:{s % 60:06.3f}"

    text = "WEBVTT\n\n" + "\n\n".join(f"{clock(a)} --> {clock(b)}\n{t}" for a, b, t in lines)
    return [
        (c.kind, c.verdict, c.difference) for c in judge_cues(words_of(text), on, **settings).cues
    ]


def one(
    at_s: float, text: str, lasts_s: float = 1.0, on: Review = CLASS
) -> list[tuple[str, str, str]]:
    return verdicts((at_s, at_s + lasts_s, text), on=on)


@pytest.mark.parametrize(
    ("at_s", "text", "expected"),
    [
        # Work 0-30, 10 squats of 3 s; recovery 30-50; work 50-80.
        (20.0, "10 seconds left", [("seconds-left", "right", "")]),
        (12.0, "ten more seconds", [("seconds-left", "wrong", "18 s were left")]),
        (5.0, "20 seconds", [("seconds-left", "unknown", "25 s were left")]),
        (31.0, "30 seconds of work next", []),
        (15.0, "halfway", [("halfway", "right", "")]),
        (6.0, "halfway there", [("halfway", "wrong", "9 s before the middle")]),
        (6.0, "almost halfway", []),
        (18.0, "four more", [("reps-left", "right", "")]),
        (9.0, "two more", [("reps-left", "wrong", "7 repetitions followed")]),
        (9.0, "two more rounds", []),
        (26.5, "last one", [("last-one", "right", "")]),
        (12.0, "last one", [("last-one", "wrong", "6 repetitions followed")]),
        (12.0, "not the last one", []),
        (51.0, "round 2 of 2", [("round", "right", "")]),
        (51.0, "round one", [("round", "wrong", "it was round 2 of 2")]),
        (45.0, "last round", [("round", "right", "")]),
        (46.0, "second round", [("round", "right", "")]),
        (26.0, "next step touch", [("announce", "right", "")]),
        (26.0, "next up push-ups", [("announce", "wrong", "step touch followed")]),
        (46.0, "next, pulse squats", [("announce", "unknown",
                                       "could not be told apart in the footage")]),
        (50.5, "and squat", [("movement", "right", "")]),
        (20.0, "or march if you like", []),
    ],
)  # fmt: skip
def test_one_cue(at_s: float, text: str, expected: list[tuple[str, ...]]) -> None:
    assert one(at_s, text) == expected


def test_a_countdown_that_stops_early_ends_where_the_next_number_would_be() -> None:
    words = ((26.0, 26.4, "four"), (27.0, 27.4, "three"), (28.0, 28.4, "two"))
    assert verdicts(*words) == [("countdown", "right", "")]
    early = tuple((a - 5, b - 5, t) for a, b, t in words)
    (cue,) = verdicts(*early)
    assert cue == ("countdown", "wrong", "the change came 5.0 s after the count ended")


def test_one_caption_with_a_whole_countdown() -> None:
    assert verdicts((26.0, 29.9, "Four, three, two, one.")) == [("countdown", "right", "")]


def test_a_word_that_sounds_like_the_number_is_taken_for_it() -> None:
    said = ((22.0, 22.4, "for"), (23.0, 23.4, "three"), (24.0, 24.4, "to"), (25.0, 25.4, "won"))
    (cue,) = verdicts(*said)
    assert cue[:2] == ("countdown", "wrong")


def test_a_change_of_side_is_seen() -> None:
    sided = [
        r.model_copy(update={"side": "left" if r.peak_s < 15 else "right"})
        for r in reps(0, 10, 3).each
    ]
    lunges = period(0, "work", 0, 30, "side-lunge", reps(0, 10, 3).model_copy(
        update={"each": tuple(sided)}))  # fmt: skip
    filmed = review([lunges, period(1, "recovery", 30, 40, "march")])
    assert one(14.0, "other side", on=filmed) == [("other-side", "right", "")]
    assert one(6.0, "switch legs", on=filmed) == [("other-side", "wrong", "the left side went on")]
    assert one(33.0, "other side", on=filmed)[0][1] == "unknown"


def test_whose_left_is_guessed_and_told_and_can_be_set() -> None:
    each = tuple(
        r.model_copy(update={"side": "left" if i % 2 == 0 else "right"})
        for i, r in enumerate(reps(0, 10, 3).each)
    )
    lunges = period(0, "work", 0, 30, "side-lunge",
                    reps(0, 10, 3).model_copy(update={"each": each}))  # fmt: skip
    filmed = review([lunges, period(1, "recovery", 30, 40, "march")])
    # Four lunges called as the viewer sees them, the fifth the other way round.
    calls = tuple((3 * i + 0.5, 3 * i + 1.0, f"{side} leg") for i, side in enumerate(
        ("right", "left", "right", "left", "left")))  # fmt: skip
    judged = judge_cues(words_of(
        "WEBVTT\n\n" + "\n\n".join(f"00:{a:06.3f} --> 00:{b:06.3f}\n{t}" for a, b, t in calls)
    ), filmed)  # fmt: skip
    assert [c.verdict for c in judged.cues] == ["right"] * 4 + ["wrong"]
    assert [n.code for n in judged.notices] == ["spoken-sides", "cue"]
    assert judged.notices[1].text == ('You said "left leg": the left side moved (your own left).')
    assert "the viewer's" in judged.notices[0].text
    own = verdicts(*calls, on=filmed, spoken_sides="own")
    assert [v for _, v, _ in own] == ["wrong"] * 4 + ["right"]


def test_captions_without_cues_are_told() -> None:
    judged = judge_cues(words_of("WEBVTT\n\n00:01.000 --> 00:02.000\nlovely\n"), CLASS)
    assert judged.cues == () and [n.code for n in judged.notices] == ["no-cues"]
