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
    Drift,
    Period,
    Rep,
    RepSet,
    Watched,
)

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


def test_a_rounder_back_names_the_repetitions_and_asks_to_look():
    reps = [rep(i, rounded=i in (2, 4, 5, 6)) for i in range(8)]
    (notice,) = about_periods([period(reps)], ())
    assert notice.text == (
        "Squat, repetitions 3, 5-7: back line rounder than in your first repetitions; worth a look."
    )
    assert (notice.level, notice.start_s, notice.end_s) == ("look", 4.0, 14.0)


def test_another_baseline_is_said():
    other = BackAssessed(
        arc_change_deg=30, rounded=True, compared_with="earliest bent-over repetitions of the clip"
    )
    (text,) = texts(period([rep(0, back=other), rep(1, back=other)]))
    assert "the earliest bent-over repetitions of this clip" in text


def test_a_back_that_cannot_be_judged_says_why():
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


def test_a_watched_point_needs_two_of_three_neighbours():
    def heels(*values: float) -> list[Rep]:
        return [
            rep(i, watched=(Watched(point="heels", value=v, unit="trunk lengths"),))
            for i, v in enumerate(values)
        ]

    assert texts(period(heels(0, 0.3, 0, 0, 0.3))) == []
    (text,) = texts(period(heels(0, 0.3, 0, 0.3, 0)))
    assert text == "Squat, repetitions 2, 4: heels off the floor; worth a look."


def test_sides_that_differ_surely():
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
    same = (Watched(point="left-right", value=-2, unit="deg"),)
    assert texts(period(lunges(88, 90), "reverse-lunge", watched=same)) == []


def test_drift_is_passed_on_and_pace_is_only_for_information():
    def drift(measure: str, statement: str | None) -> Drift:
        return Drift(movement="squat", measure=measure, unit="deg", per_rep=(), per_round=(),
                     evidence="", statement=statement)  # fmt: skip

    found = about_drift([drift("depth", "Depth fell."), drift("time", "Slower."), drift("x", None)])
    assert [(n.level, n.text) for n in found] == [("look", "Depth fell."), ("info", "Slower.")]


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
def test_no_sentence_claims_what_a_picture_cannot_show(path):
    for sentence in sentences(path):
        assert not claims(sentence), sentence


def test_no_page_or_catalogue_claims_it_either():
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
def test_the_watchdog_bites(sentence):
    assert claims(sentence)
