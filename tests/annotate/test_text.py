"""Times, amounts and lines as people and other programs read them."""

from __future__ import annotations

import csv
import io

import pytest

from annotate.text import (
    amount,
    clock,
    closest_match,
    csv_text,
    hms,
    one_line,
    plural,
    quoted,
    stamp,
)


@pytest.mark.parametrize(
    ("time_s", "text"),
    [
        (0, "0:00"),
        (9.4, "0:09"),
        (59.4, "0:59"),
        (59.6, "1:00"),
        (3599.4, "59:59"),
        (3599.7, "1:00:00"),
        (4500, "1:15:00"),
        (36_000, "10:00:00"),
        (-5, "-0:05"),
        (-0.4, "0:00"),
        (-59.6, "-1:00"),
        (-4500, "-1:15:00"),
        # An exact half goes to the even second, as Python writes numbers.
        (12.5, "0:12"),
        (13.5, "0:14"),
    ],
)
def test_a_clock_has_minutes_and_from_an_hour_up_hours(time_s: float, text: str) -> None:
    assert clock(time_s) == text


@pytest.mark.parametrize(
    ("ms", "text"),
    [
        (0, "00:00:00.000"),
        (999, "00:00:00.999"),
        (3_723_004, "01:02:03.004"),
        (359_999_999, "99:59:59.999"),
        # Hours have two digits or more (W3C WebVTT, "WebVTT timestamp").
        (360_000_000, "100:00:00.000"),
        (-40, "00:00:00.000"),
    ],
)
def test_a_stamp_counts_milliseconds(ms: int, text: str) -> None:
    assert stamp(ms) == text
    assert stamp(ms, ",") == text.replace(".", ",")


def test_a_stamp_counts_in_any_decimal_unit() -> None:
    # Matroska's chapters are written to the nanosecond.
    assert stamp(3_723_000_000_045, per_s=1_000_000_000) == "01:02:03.000000045"
    assert hms(3723) == "01:02:03"


def test_only_one_of_a_thing_is_singular() -> None:
    assert [amount(n, "repetition") for n in (0, 1, 2)] == [
        "0 repetitions",
        "1 repetition",
        "2 repetitions",
    ]
    assert plural("period", 1) == "period"
    assert plural("period", 11) == "periods"


# Every character at which Python splits lines, and the pair of DOS.
LINE_ENDS = ["\r\n", *(c for c in map(chr, range(0x110000)) if len(f"a{c}b".splitlines()) > 1)]


def test_the_line_ends_are_all_there() -> None:
    assert {"\n", "\x85", "\u2028"} < set(LINE_ENDS)


@pytest.mark.parametrize("end", LINE_ENDS)
def test_one_line_has_no_line_end_of_any_kind(end: str) -> None:
    assert one_line(f"{end}a{end}{end}b ") == "a b"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a\x1b[31mred\x07", "a [31mred"),
        ("a \t b", "a b"),
        ("  t:   a  ", "t:   a"),  # spaces that were typed stay, so that a path stays true
        ("a\u202egnp.exe\u2066", "agnp.exe"),  # marks that turn the direction of writing
        ("Knie\u00adbeuge", "Kniebeuge"),  # a soft hyphen
        ("\ufeffa", "a"),
        ("a\u00a0b\u3000c", "a b c"),  # spaces that are no plain spaces
        ("a\udcffb", "a b"),  # a byte of a file name that is no text
        ("a\ufffeb\uffffc", "a b c"),  # no characters: forbidden in XML 1.0, section 2.2
        ("Übung 休憩 🏋️", "Übung 休憩 🏋️"),
        ("👩\u200d🏫 می\u200cخواهم", "👩\u200d🏫 می\u200cخواهم"),
        ("", ""),
    ],
)
def test_one_line_keeps_letters_and_drops_what_is_obeyed(text: str, line: str) -> None:
    assert one_line(text) == line


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("squat", '"squat"'),
        (14, "14"),
        (2.5, "2.5"),
        (True, "true"),
        (False, "false"),
        ([], "empty"),
        ([1], "a list"),
        ({"a": 1}, "a group of keys"),
        ("a\n\x1b[1mb", '"a [1mb"'),
        ("x" * 40, f'"{"x" * 40}"'),
        ("x" * 41, f'"{"x" * 37}..."'),
    ],
)
def test_a_value_is_shown_short_and_on_one_line(value: object, text: str) -> None:
    assert quoted(value) == text


def test_the_nearest_word_is_found_whatever_its_case() -> None:
    known = ["Squat", "march", "push-up"]
    assert closest_match("sqaut", known) == "Squat"
    assert closest_match("MARCH", known) == "march"
    assert closest_match("seal walk", known) is None
    assert closest_match("x", []) is None


def test_a_table_is_read_back_as_it_was_written() -> None:
    rows = [("a,b", 'say "go"', 1.5, None), ("two\nlines", "", 0, False)]
    text = csv_text(("name", "text", "start_s", "end_s"), rows)
    assert text.startswith("name,text,start_s,end_s\n") and "\r" not in text
    assert list(csv.reader(io.StringIO(text, newline=""))) == [
        ["name", "text", "start_s", "end_s"],
        ["a,b", 'say "go"', "1.5", ""],
        ["two\nlines", "", "0", "False"],
    ]


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("=1+1", "'=1+1"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\tx", "'\tx"),
        # Differences of ours, numbers and plain text stay as they are.
        ("-5 s", "-5 s"),
        ("+2", "+2"),
        ("-0.5", "-0.5"),
        (-3, "-3"),
        ("3-4", "3-4"),
    ],
)
def test_no_cell_is_a_formula(cell: object, written: str) -> None:
    (_, row) = csv.reader(io.StringIO(csv_text(("a",), [(cell,)])))
    assert row == [written]
