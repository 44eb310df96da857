"""Sentences of findings: what is said, and that nothing is claimed that a picture cannot show."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import annotate
import api
from annotate.compare.findings import about_drift, about_periods
from annotate.review.model import (
    BackAssessed,
    BackNotAssessable,
    Comparison,
    Drift,
    Period,
    Rep,
    RepSet,
    Watched,
)
from tests.annotate.reviews import counted, planned
from tests.known import known

ROOMS = [Path(room.__path__[0]) for room in (annotate, api)]

# What a silhouette and 33 points cannot show, or what is not ours to say.
CLAIMS = re.compile(
    r"injur|\bsafe|unsafe|dangerous|harm\w*|vertebra|\bdis[ck]s?\b|lumbar|spin(?:e|al)\b|\bload"
    r"|diagnos|medical|patholog|\bwrong form|correct form|\bbad\b|\brisk",
    re.IGNORECASE,
)
# Sayings that deny such a claim, and words that only look alike.
DENIALS = re.compile(
    r"not? (?:a )?diagnosis|not? medical|no proof that [^.]*safe|harmless"
    r"|\bdownload|\bupload|\bloaded"
    r"|\bloads? (?:of )?(?:the|scripts|a |from)|disk is full|on (?:the |this )?disk",
    re.IGNORECASE,
)


def claims(sentence: str) -> list[str]:
    return CLAIMS.findall(DENIALS.sub("", sentence))


def rep(i: int, *, rounded: bool = False, **more: object) -> Rep:
    back = BackAssessed(arc_change_deg=30 if rounded else 0, rounded=rounded)
    return Rep.model_validate(
        {"start_s": 2.0 * i, "peak_s": 2.0 * i + 1, "end_s": 2.0 * i + 2, "complete": True,
         "side": "both", "back": back} | more
    )  # fmt: skip


def period(reps: list[Rep], movement: str = "squat", **more: object) -> Period:
    return Period.model_validate(
        {"index": 0, "kind": "work", "start_s": 0, "end_s": 30, "duration_s": 30, "confidence": 1,
         "movement": movement, "movement_confidence": 1, "intensity": None,
         "reps": RepSet(count=len(reps), confidence=1, each=tuple(reps))} | more
    )  # fmt: skip


def texts(*periods: Period) -> list[str]:
    return [n.text for n in about_periods(periods, ())]


def test_a_rounder_back_names_the_repetitions_and_asks_to_look() -> None:
    reps = [rep(i, rounded=i in (2, 4, 5, 6)) for i in range(8)]
    (notice,) = about_periods([period(reps)], ())
    assert notice.text == (
        "Squat, repetitions 3, 5-7: back line rounder than in your first repetitions; worth a look."
    )
    assert (notice.level, notice.start_s, notice.end_s) == ("look", 4.0, 14.0)


def test_another_baseline_is_said() -> None:
    other = BackAssessed(
        arc_change_deg=30, rounded=True, compared_with="earliest bent-over repetitions of the clip"
    )
    (text,) = texts(period([rep(0, back=other), rep(1, back=other)]))
    assert "the earliest bent-over repetitions of this clip" in text


def test_a_back_that_cannot_be_judged_says_why() -> None:
    front = BackNotAssessable(
        reason="camera about 90 degrees off side view: turn side-on to rehearse"
    )
    (text,) = texts(period([rep(i, back=front) for i in range(4)]))
    assert text == (
        "Squat: back line not assessable: camera about 90 degrees off side view: "
        "turn side-on to rehearse."
    )
    (text,) = texts(period([rep(0), *(rep(i, back=front) for i in (1, 2, 3))]))
    assert "in 3 of 4 repetitions" in text
    assert texts(period([rep(i, back=front) for i in range(4)], "jumping-jack")) == []


def test_a_watched_point_needs_two_of_three_neighbours() -> None:
    def heels(*values: float) -> list[Rep]:
        return [
            rep(i, watched=(Watched(point="heels", value=v, unit="trunk lengths"),))
            for i, v in enumerate(values)
        ]

    assert texts(period(heels(0, 0.3, 0, 0, 0.3))) == []
    (text,) = texts(period(heels(0, 0.3, 0, 0.3, 0)))
    assert text == "Squat, repetitions 2, 4: heels off the floor; worth a look."


def test_a_watched_point_is_told_from_its_own_limit_on() -> None:
    def watched(point: str, *values: float | None) -> list[Rep]:
        return [
            rep(i, watched=(Watched(point=point, value=v, unit="ratio"),))
            for i, v in enumerate(values)
        ]

    assert texts(period(watched("heels", 0.12, 0.12, 0.12))) == []
    assert texts(period(watched("knees", 0.75, 0.75, 0.75))) == []
    (notice,) = about_periods([period(watched("knees", 1, None, 0.7, 0.6, 0.7, 1))], ())
    assert notice.text == "Squat, repetitions 3-5: knees well inside the feet; worth a look."
    assert (notice.level, notice.code) == ("look", "watch-knees")
    assert (notice.start_s, notice.end_s) == (4.0, 10.0)
    # What is only compared with itself has no limit.
    assert texts(period(watched("shift", 9, 9, 9))) == []


def test_each_watched_point_has_its_own_sentence() -> None:
    def codes(heels: float, knees: float) -> list[str]:
        both = (
            Watched(point="heels", value=heels, unit="trunk lengths"),
            Watched(point="knees", value=knees, unit="ratio"),
        )
        found = about_periods([period([rep(i, watched=both) for i in range(3)])], ())
        return [n.code for n in found]

    assert codes(0.3, 0.5) == ["watch-heels", "watch-knees"]
    assert codes(0.3, 1.0) == ["watch-heels"]
    assert codes(0.0, 0.5) == ["watch-knees"]


@pytest.mark.parametrize(
    ("shows", "words"),
    [
        ((3,), "repetition 3"), ((1, 2), "repetitions 1, 2"), ((1, 2, 3), "repetitions 1-3"),
        ((1, 3, 5, 6, 7), "repetitions 1, 3, 5-7"), ((2, 3, 4, 8), "repetitions 2-4, 8"),
    ],
)  # fmt: skip
def test_which_repetitions(shows: tuple[int, ...], words: str) -> None:
    (text,) = texts(period([rep(i, rounded=i + 1 in shows) for i in range(8)]))
    assert text.startswith(f"Squat, {words}: back line rounder")


def test_a_rounder_back_is_told_even_where_most_could_not_be_judged() -> None:
    front = BackNotAssessable(reason="it could not be seen")
    (text,) = texts(period([*(rep(i, back=front) for i in range(5)), rep(5, rounded=True)]))
    assert text.startswith("Squat, repetition 6: back line rounder than in your first repetitions")


def test_a_back_seen_in_half_of_the_repetitions_is_enough() -> None:
    front = BackNotAssessable(reason="it could not be seen")
    assert texts(period([rep(0), rep(1), rep(2, back=front), rep(3, back=front)])) == []
    assert texts(period([])) == []


def test_of_several_reasons_the_commonest_is_given() -> None:
    why = ["too dark", "turned away", "turned away", "too dark", "turned away"]
    reps = [rep(i, back=BackNotAssessable(reason=r)) for i, r in enumerate(why)]
    (notice,) = about_periods([period(reps)], ())
    assert notice.text == "Squat: back line not assessable: turned away."
    assert (notice.level, notice.code) == ("info", "back-not-assessable")
    assert (notice.start_s, notice.end_s) == (0.0, 30.0)


def test_a_planned_period_is_called_by_its_name_in_the_plan() -> None:
    timeline = planned({"name": "Pier squats", "rounds": 2})
    rounder = period([rep(1, rounded=True)], index=1)
    rows = [
        Comparison(planned=timeline.periods[0], delivered=None, status="skipped", text="left out"),
        Comparison(planned=timeline.periods[1], delivered=1, status="as planned", text=""),
        Comparison(planned=None, delivered=2, status="added", text="not in the plan"),
    ]
    added = period([rep(1, rounded=True)], index=2)
    found = about_periods([rounder, added], rows)
    assert [n.text.split(":")[0] for n in found] == [
        "Pier squats, round 2, repetition 1", "Squat, repetition 1"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "count", "confidence", "told"),
    [
        ("work", 9, 0.59, True), ("work", 9, 0.6, False), ("work", 0, 0.1, False),
        ("recovery", 9, 0.1, False),
    ],
)  # fmt: skip
def test_a_count_that_is_not_sure_is_told(
    kind: str, count: int, confidence: float, told: bool
) -> None:
    unsure = period([], kind=kind).model_copy(
        update={"reps": counted(count, confidence=confidence)}
    )
    found = about_periods([unsure], ())
    assert [n.code for n in found] == (["unsure-count"] if told else [])
    if told:
        assert found[0].text == (
            "Squat: about 9 repetitions; the movement was too uneven to be sure."
        )


@pytest.mark.parametrize(("apart", "told"), [(0.15, False), (0.16, True), (None, False)])
def test_knees_apart_in_a_thigh_stretch(apart: float | None, told: bool) -> None:
    watched = (Watched(point="knees-together", value=apart, unit="trunk lengths"),)
    found = about_periods([period([], "stretch", watched=watched)], ())
    assert [(n.level, n.code) for n in found] == (
        [("look", "watch-knees-together")] if told else []
    )


def test_sides_that_differ_surely() -> None:
    def lunges(left: float, right: float) -> list[Rep]:
        return [
            rep(i, side=("left", "right")[i % 2], depth=(left, right)[i % 2] + i / 10,
                back=BackNotAssessable(reason="not a bent-over movement"))
            for i in range(12)
        ]  # fmt: skip

    difference = (Watched(point="left-right", value=-15, unit="deg"),)
    (text,) = texts(period(lunges(75, 90), "reverse-lunge", watched=difference))
    assert text == (
        "Reverse lunge: depth (knee bend) 15 deg more on the right than on the left; worth a look."
    )
    more_left = (Watched(point="left-right", value=15, unit="deg"),)
    (text,) = texts(period(lunges(90, 75), "reverse-lunge", watched=more_left))
    assert "15 deg more on the left than on the right" in text
    lengths = (Watched(point="left-right", value=-0.15, unit="trunk lengths"),)
    higher = [r.model_copy(update={"depth": known(r.depth) / 100}) for r in lunges(30, 60)]
    (text,) = texts(period(higher, "knee-lift", watched=lengths))
    assert "height of the knees 0.15 trunk lengths more on the right than on the left" in text
    same = (Watched(point="left-right", value=-2, unit="deg"),)
    assert texts(period(lunges(88, 90), "reverse-lunge", watched=same)) == []


def test_drift_is_passed_on_and_pace_is_only_for_information() -> None:
    def drift(measure: str, statement: str | None) -> Drift:
        return Drift(movement="squat", measure=measure, unit="deg", per_rep=(), per_round=(),
                     evidence="", statement=statement)  # fmt: skip

    found = about_drift([drift("depth", "Depth fell."), drift("time", "Slower."), drift("x", None)])
    assert [(n.level, n.text) for n in found] == [("look", "Depth fell."), ("info", "Slower.")]
    assert [n.code for n in found] == ["drift-depth", "drift-time"]


def sentences(path: Path) -> list[str]:
    """Every text of a module that is not a docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    joined = [
        "".join(str(v.value) for v in n.values if isinstance(v, ast.Constant))
        for n in ast.walk(tree)
        if isinstance(n, ast.JoinedStr)
    ]
    plain = [
        n.value
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in docstrings
    ]
    return [text for text in joined + plain if " " in text]  # a lone word is a name or an option


MODULES = sorted(p for room in ROOMS for p in room.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_no_sentence_claims_what_a_picture_cannot_show(path: Path) -> None:
    for sentence in sentences(path):
        assert not claims(sentence), sentence


def test_no_page_or_catalogue_claims_it_either() -> None:
    words = [p for room in ROOMS for p in room.rglob("*") if p.suffix in {".html", ".js", ".yaml"}]
    assert words
    for path in words:
        for line in path.read_text(encoding="utf-8").splitlines():
            # Of a script only what stands in quotes is shown.
            shown = (
                re.findall(r"""(["'`])(.*?)\1""", line) if path.suffix == ".js" else [("", line)]
            )
            for _, text in shown:
                assert " " not in text or not claims(text), f"{path.name}: {line}"


@pytest.mark.parametrize(
    "sentence",
    [
        "your back is safe", "this may injure you", "lumbar flexion of 40 deg",
        "high load on the spine", "a diagnosis", "risk of harm", "bad form",
    ],
)  # fmt: skip
def test_the_watchdog_bites(sentence: str) -> None:
    assert claims(sentence)
