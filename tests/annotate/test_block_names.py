"""Blocks and stations keep the names they were given, wherever a review is read or written."""

from __future__ import annotations

import re

from annotate.compare.sheet import sheet_rows
from annotate.compare.takes import two_takes
from annotate.compare.totals import totals
from annotate.exports.markers import markers_of
from annotate.plan.read import parse_plan
from annotate.plan.unroll import unroll
from annotate.script.build import make_script
from annotate.script.markdown import script_markdown
from tests.annotate.reviews import as_planned
from tests.known import known

# Every name has the ": " that stands between a block and its station in a label.
PLAN = unroll(
    parse_plan(
        """\
title: "Pier: week 3"
blocks:
  - {name: "Legs: heavy", movement: squat, rounds: 2, work: 30, recovery: 20}
  - {name: "Legs: light", movement: march, rounds: 2, work: 30, recovery: 20}
  - name: "Circuit: quay"
    rounds: 2
    round_recovery: 60
    stations:
      - {movement: push-up, work: 20}
      - {name: "Arms: fast", movement: punch, work: 20, recovery: 10}
""",
        "pier.yaml",
    )
)
BLOCKS = ["Legs: heavy", "Legs: light", "Circuit: quay"]
REVIEW = as_planned(PLAN)


def test_block_and_station_are_fields_of_their_own() -> None:
    assert list(dict.fromkeys((p.block, p.station) for p in PLAN.periods)) == [
        ("Legs: heavy", None),
        ("Legs: light", None),
        ("Circuit: quay", "push-up"),
        ("Circuit: quay", "Arms: fast"),
        ("Circuit: quay", None),
    ]


def test_labels_read_as_before() -> None:
    labels = [p.label for p in PLAN.periods]
    assert labels[:2] == ["Legs: heavy, round 1", "Legs: heavy, round 1, recovery"]
    # The recovery of a station and that of the round are one where nothing parts them.
    assert labels[8:11] == [
        "Circuit: quay: push-up, round 1",
        "Circuit: quay: Arms: fast, round 1",
        "Circuit: quay, round 1, recovery",
    ]


def test_totals_name_whole_blocks() -> None:
    found = totals(PLAN, REVIEW.comparison, REVIEW.periods).blocks
    assert [b.block for b in found] == BLOCKS


def test_the_sheet_names_whole_blocks() -> None:
    rows = sheet_rows(REVIEW.periods, REVIEW.comparison)
    assert [r.name for r in rows if r.row == "block"] == BLOCKS
    assert [r.name for r in rows if r.row == "round"] == [
        f"{block}, round {n} of 2" for block in BLOCKS for n in (1, 2)
    ]


def test_two_takes_name_whole_blocks() -> None:
    compared = two_takes(REVIEW, REVIEW)
    assert compared is not None and [b.block for b in compared.blocks] == BLOCKS


def test_round_markers_name_whole_blocks() -> None:
    assert [m.name for m in markers_of(REVIEW) if m.kind == "round"] == [
        f"{block}, round {n} of 2" for block in BLOCKS for n in (1, 2)
    ]


def test_the_round_of_a_circuit_is_named_alike_where_only_one_station_was_delivered() -> None:
    rows = [
        c if known(c.planned).station == "push-up" else c.model_copy(update={"delivered": None})
        for c in REVIEW.comparison
        if known(c.planned).round == 1 and known(c.planned).block == "Circuit: quay"
    ]
    found = markers_of(REVIEW.model_copy(update={"comparison": tuple(rows)}))
    assert [m.name for m in found if m.kind == "round"] == ["Circuit: quay, round 1 of 2"]


def test_the_printed_script_has_a_page_for_each_block() -> None:
    text = script_markdown(make_script(REVIEW))
    assert re.findall(r"^## (.*)$", text, re.M) == [*BLOCKS, "Take care"]
