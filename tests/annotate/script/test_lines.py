"""What is said in a class and when: names, counts, calls, halfway, water, hints."""

from __future__ import annotations

from typing import Any

import pytest

from annotate.plan.model import Block
from annotate.plan.unroll import Timeline
from annotate.script.build import make_script
from annotate.script.schedule import ScriptLine
from tests.annotate.reviews import as_planned, block, planned


def lines(timeline: Timeline, kind: str) -> list[tuple[float, str]]:
    """When what is said of one kind."""
    return [(x.at_s, x.text) for x in all_lines(timeline) if x.kind == kind]


def all_lines(timeline: Timeline) -> list[ScriptLine]:
    return [x for p in make_script(as_planned(timeline)).periods for x in p.lines]


def one(**changes: Any) -> Timeline:
    """A single exercise of the catalogue without hints of its own, 60 s unless it says."""
    return planned({"name": "Press", "movement": "press", "work": 60} | changes)


def pause(lasts_s: float, **more: Any) -> Timeline:
    """Two rounds with recovery between."""
    return planned(
        {"movement": "press", "rounds": 2, "recovery": lasts_s, "last_recovery": False}, **more
    )


# --- seconds left and halfway -----------------------------------------------------------------


def test_seconds_left_are_called_when_so_many_are_left() -> None:
    assert lines(one(), "left") == [
        (45.0, "15 seconds."), (50.0, "Ten seconds."), (55.0, "Five seconds.")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("work_s", "calls"),
    [(40, [15, 10, 5]), (39.9, [10, 5]), (25, [10, 5]), (24.9, [5]), (12, [5]), (11.9, [])],
)
def test_short_work_has_fewer_calls(work_s: float, calls: list[int]) -> None:
    # Common practice, no source.
    found = [at for at, _ in lines(one(work=work_s), "left")]
    assert [work_s - at for at in found] == pytest.approx(calls, abs=0.51)


def test_a_call_without_room_at_its_second_is_not_said_at_another() -> None:
    # The announcement and the count stand where five seconds would be called.
    calls = [(at, text) for at, text in lines(pause(20), "left") if at < 30]
    assert calls == [(20.0, "Ten seconds.")]


def test_halfway_is_said_in_the_middle_of_the_work() -> None:
    assert lines(one(), "halfway") == [(30.0, "Halfway.")]
    second = pause(20)
    assert [at for at, _ in lines(second, "halfway")] == pytest.approx([15, 65], abs=1.0)


@pytest.mark.parametrize(("work_s", "said"), [(12, True), (11.9, False)])
def test_halfway_is_not_said_in_very_short_work(work_s: float, said: bool) -> None:
    assert bool(lines(one(work=work_s), "halfway")) == said


def test_nothing_is_called_in_a_recovery_or_a_warm_up() -> None:
    warm_up = planned(Block(name="Warm-up", kind="warm-up", movement="march", duration=60))
    for kind in ("halfway", "left", "reps"):
        assert lines(warm_up, kind) == []
        assert all(at < 30 or at >= 90 for at, _ in lines(pause(60), kind))


# --- the count before a change ----------------------------------------------------------------


def counts(timeline: Timeline) -> list[tuple[float, float, str]]:
    """Start, end and words of every count."""
    return [
        (x.at_s, round(x.at_s + x.lasts_s, 1), x.text)
        for x in all_lines(timeline)
        if x.kind == "countdown"
    ]


def test_the_count_ends_just_before_every_change_and_there_is_none_at_the_end() -> None:
    assert counts(pause(20)) == [
        (26.0, 29.7, "Four, three, two, one."), (46.0, 49.7, "Four, three, two, one.")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("countdown_s", "words"),
    [(2, "Two, one."), (3.9, "Three, two, one."), (1, "One."), (0, None)],
)
def test_one_number_for_each_whole_second_of_the_count(
    countdown_s: float, words: str | None
) -> None:
    found = counts(pause(20, countdown_s=countdown_s))
    if words is None:
        assert found == []
    else:
        whole = len(words.split())
        assert found[0] == (30.0 - whole, 29.7, words)


def test_the_count_takes_no_more_than_half_of_a_short_period() -> None:
    assert [(at, end) for at, end, _ in counts(pause(7))] == [(26.0, 29.7), (34.0, 36.7)]


def test_the_count_has_no_more_numbers_than_there_are_words_for() -> None:
    at, end, words = counts(pause(60, countdown_s=20))[1]
    assert (at, end) == (80.0, 89.7)
    assert words == "Ten, nine, eight, seven, six, five, four, three, two, one."


# --- what comes next --------------------------------------------------------------------------


def announced(timeline: Timeline) -> list[tuple[float, str]]:
    """When each announcement is over, and its words."""
    return [
        (round(x.at_s + x.lasts_s, 1), x.text) for x in all_lines(timeline) if x.kind == "announce"
    ]


def test_what_comes_is_announced_a_breath_before_the_count() -> None:
    rounds = planned(
        {"movement": "press", "rounds": 3, "recovery": 30, "recovery_movement": "march"}
    )
    said = announced(rounds)
    assert [words for _, words in said] == [
        "Next: march.", "Next: press, round two of three.", "Next: march.",
        "Next: press, last round.", "Next: march.",
    ]  # fmt: skip
    changes = [p.start_s for p in rounds.periods[1:]]
    assert [end for end, _ in said] == pytest.approx([c - 4.3 for c in changes], abs=0.1)


def test_a_single_exercise_is_announced_without_rounds() -> None:
    two = planned({"movement": "press"}, {"name": "Curl", "movement": "arm-curl"})
    assert [words for _, words in announced(two)] == ["Next: arm curl."]


def test_what_has_no_movement_is_announced_by_its_kind() -> None:
    free = planned({"movement": "press"}, Block(name="Water", kind="break", duration=60))
    assert [words for _, words in announced(free)] == ["Next: break."]


@pytest.mark.parametrize(
    ("lasts_s", "said"),
    [(4, ["Next: press, last round."]), (3, ["Next: press."]), (2.8, ["Press."]), (2.4, [])],
)
def test_an_announcement_without_room_is_said_shorter_or_not_at_all(
    lasts_s: float, said: list[str]
) -> None:
    # Half a second for the name of the recovery, one for the count, and a breath at both.
    found = announced(pause(lasts_s, countdown_s=1))[1:]
    assert [words for _, words in found] == said


# --- the change itself ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({}, "Press."),
        ({"reps": 12}, "Press, 12 times."),
        ({"reps": 8}, "Press, eight times."),
        ({"reps": {"left": 6, "right": 12}}, "Press, six left and 12 right."),
        ({"reps": 8, "sides": "each"}, "Press, left side."),
    ],
)
def test_the_change_tells_what_is_asked(asked: dict[str, Any], words: str) -> None:
    assert lines(one(**asked), "change")[0] == (0.0, words)


def test_the_second_side_is_told_at_its_own_start() -> None:
    assert lines(one(sides="each", reps=8), "change")[1] == (60.0, "Press, right side.")


def test_what_has_no_movement_is_called_by_its_kind() -> None:
    assert lines(planned(Block(name="Cool-down", kind="cool-down", duration=60)), "change") == [
        (0.0, "Cool-down.")
    ]


# --- repetitions left -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "at_s"),
    [
        ({"reps": 20}, 60 - 4 * 3),
        ({"reps": 8}, 60 - 4 * 7.5),
        ({"reps": 7}, None),
        ({"reps": 42}, 60 - 4 * 60 / 42),  # one in 1.43 s
        ({"reps": 43}, None),  # one in 1.395 s: too fast to count aloud
    ],
)
def test_the_last_four_repetitions_are_counted_where_they_can_be(
    asked: dict[str, int], at_s: float | None
) -> None:
    found = [at for at, words in lines(one(**asked), "reps") if words == "Four more."]
    each_s = 60 / asked["reps"]
    assert found == ([] if at_s is None else [pytest.approx(at_s, abs=each_s / 3 + 0.05)])


# --- recovery, water, hints -------------------------------------------------------------------


@pytest.mark.parametrize(("lasts_s", "water"), [(15, True), (14.9, False)])
def test_water_is_offered_where_there_is_time_to_drink(lasts_s: float, water: bool) -> None:
    assert bool(lines(pause(lasts_s), "water")) == water


def test_a_recovery_is_eased_into_in_turn() -> None:
    rounds = planned({"movement": "press", "rounds": 3, "recovery": 14})
    assert lines(rounds, "ease") == [
        (32.0, "Easy now, keep moving, breathe."), (76.0, "Shake it out, breathe."),
        (120.0, "Breathe, stand tall."),
    ]  # fmt: skip


def test_water_is_offered_in_turn() -> None:
    rounds = planned({"movement": "press", "rounds": 3, "recovery": 30})
    assert lines(rounds, "water") == [
        (34.0, "Water if you need it."), (94.0, "Have a sip."), (154.0, "Water if you need it.")
    ]  # fmt: skip


def test_in_recovery_all_is_said_before_the_count() -> None:
    short = pause(9)
    for kind in ("ease", "water"):
        assert all(at + 2.0 <= 39 - 4 or at > 39 for at, _ in lines(short, kind))


def test_the_last_recovery_has_no_count_to_leave_room_for() -> None:
    last = planned({"movement": "press", "recovery": 5})
    assert [at for at, _ in lines(last, "ease")] == [32.0]


@pytest.mark.parametrize("kind", ["warm-up", "cool-down"])
def test_neither_water_nor_rest_nor_landing_is_spoken_of_in_a_warm_up_or_cool_down(
    kind: str,
) -> None:
    hopping = planned(block(name="Hop", kind=kind, movement="jumping-jack", duration=60))
    assert [x.kind for x in all_lines(hopping)] == ["change"]


def test_a_break_is_for_water_and_nothing_else() -> None:
    broken = planned({"movement": "press"}, Block(name="Water", kind="break", duration=60),
                     {"name": "Curl", "movement": "arm-curl"})  # fmt: skip
    assert lines(broken, "water") == [(31.0, "Water, towel, breathe.")]
    assert lines(broken, "ease") == []


def test_how_to_stay_safe_is_said_in_the_first_round_only() -> None:
    hinges = planned({"movement": "hip-hinge", "rounds": 2})
    assert [at for at, _ in lines(hinges, "safety")] == pytest.approx([1.5], abs=1.0)
    assert lines(hinges, "safety")[0][1] == "Bend from the hips, back long."
    jumps = planned({"movement": "jumping-jack", "rounds": 2})
    assert [words for _, words in lines(jumps, "safety")] == ["Land softly."]
    assert lines(one(), "safety") == []


def test_an_easier_way_is_told_before_the_exercise() -> None:
    two = planned({"movement": "press"}, {"name": "Squat", "recovery": 20, "rounds": 2})
    assert [(at < 30, words) for at, words in lines(two, "option")] == [
        (True, "Easier: half way down."), (False, "Easier: half way down.")
    ]  # fmt: skip
    # Both before the count into a round of squats, none before the recovery.
    assert all(at < 26 or 60 < at < 76 for at, _ in lines(two, "option"))


def test_an_easier_way_is_told_for_exercises_only() -> None:
    easy = planned({"movement": "press", "recovery": 30, "recovery_movement": "jog"})
    assert lines(easy, "option") == []


def test_where_there_is_room_for_one_the_easier_way_is_told_rather_than_to_breathe() -> None:
    # Eleven seconds of recovery, four of them for the count.
    tight = planned({"movement": "press", "recovery": 11}, {"name": "Squat"})
    assert [words for _, words in lines(tight, "option")] == ["Easier: half way down."]
    assert lines(tight, "ease") == []
    roomy = planned({"movement": "press", "recovery": 14}, {"name": "Squat"})
    assert lines(roomy, "option") and lines(roomy, "ease")
