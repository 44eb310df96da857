"""Work, recovery and the ends of a class without a plan, from what stands next to what."""

from __future__ import annotations

import pytest

from annotate.counting.recognise import Recognised
from annotate.periods.evidence import Activity
from annotate.periods.kinds import kinds_without_plan

EACH_S = 30.0
LETTER = {"warm-up": "u", "work": "W", "recovery": "r", "cool-down": "c", "still": "-",
          "absent": "."}  # fmt: skip


def activity(what: str | tuple[str, ...], lasts_s: float = EACH_S, effort: float = 0.5) -> Activity:
    """One named, or unnamed and one of several, or standing about."""
    likely = (what,) if isinstance(what, str) else what
    named = likely[0] if len(likely) == 1 and what != "stand" else None
    return Activity(
        start_s=0.0, end_s=lasts_s, absent=what == "gone", still=what == "stand",
        named=Recognised(named, 1.0), effort=effort, seen=None,
        likely=() if what in ("stand", "gone") else likely,
    )  # fmt: skip


def kinds(*doings: str | tuple[str, ...] | Activity) -> str:
    done = [d if isinstance(d, Activity) else activity(d) for d in doings]
    return "".join(LETTER[k] for k in kinds_without_plan(done))


def test_rounds_between_warm_up_and_cool_down() -> None:
    rounds = ["squat", "march"] * 3
    assert kinds("march", *rounds, "reach") == "uWrWrWrc"


def test_a_slow_exercise_is_the_work_and_a_fast_easy_one_the_recovery() -> None:
    fast = activity("low-jack", effort=1.0)
    slow = activity("hip-hinge", effort=0.0)
    assert kinds("march", slow, fast, slow, fast, "reach") == "uWrWrc"


def test_jogging_between_squat_thrusts_is_recovery_and_between_marching_is_work() -> None:
    assert kinds("march", *["squat-thrust", "jog"] * 3)[1:] == "WrWrWr"
    assert kinds("step-touch", *["jog", "march"] * 3, "reach")[1:-1] == "WrWrWr"


def test_a_warm_up_and_a_cool_down_of_several_parts() -> None:
    parts = ["march", "step-touch"]
    assert kinds(*parts, *["squat", "march"] * 3, "reach", "side-bend") == "uuWrWrWrcc"


def test_exercises_without_recovery_between_them_are_all_work() -> None:
    assert kinds("march", "squat", "jumping-jack", "squat-thrust", "squat", "reach") == "uWWWWc"


def test_standing_about_and_absence_say_so_and_rounds_go_on_around_them() -> None:
    found = kinds("march", "squat", "stand", "squat", "gone", "squat", "march", "reach")
    assert found == "uW-W.Wrc"


def test_what_may_be_easy_or_hard_is_decided_by_its_neighbours() -> None:
    either = ("jumping-jack", "low-jack")
    assert kinds("march", *("hip-hinge", either) * 3, "reach") == "uWrWrWrc"
    assert kinds("step-touch", *(either, "march") * 3, "reach") == "uWrWrWrc"


@pytest.mark.parametrize(("last_s", "expected"), [(30.0, "r"), (120.0, "c")])
def test_a_last_easy_stretch_is_a_cool_down_only_where_it_outlasts_the_recoveries(
    last_s: float, expected: str
) -> None:
    rounds = ["squat", "march"] * 3
    assert kinds("march", *rounds, "squat", activity("march", last_s)) == "uWrWrWrW" + expected


def test_one_activity_alone_is_work() -> None:
    assert kinds("march") == "W"


def test_a_movement_that_the_catalogue_does_not_know_is_judged_by_effort() -> None:
    own = activity(("harbour-hop",), effort=1.0)
    assert kinds("march", *(own, "march") * 2, "reach") == "uWrWrc"
