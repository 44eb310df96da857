"""Timecode against the labels of SMPTE ST 12-1 and against OpenTimelineIO."""

from __future__ import annotations

from fractions import Fraction

import pytest
from opentimelineio.opentime import (  # type: ignore[import-untyped]  # has none
    RationalTime,
    from_timecode,
    to_timecode,
)

from annotate.errors import ExportError
from annotate.exports.timecode import RATES, nearest_rate, rate_named, usual_rate

# Frame -> label at 30000/1001 and 60000/1001 drop-frame; OpenTimelineIO 0.18.1, and its test file
# for 10789 and 10790. 107892 -> 01:00:00;00 is the definition: 108 labels left out of an hour.
DROP = {
    "29.97df": {
        0: "00:00:00;00", 1799: "00:00:59;29", 1800: "00:01:00;02", 10789: "00:05:59;29",
        10790: "00:06:00;02", 17981: "00:09:59;29", 17982: "00:10:00;00", 107892: "01:00:00;00",
        2589407: "23:59:59;29",
    },
    "59.94df": {
        3599: "00:00:59;59", 3600: "00:01:00;04", 35964: "00:10:00;00", 215784: "01:00:00;00",
    },
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "frame", "label"), [(n, f, x) for n, known in DROP.items() for f, x in known.items()]
)
def test_known_drop_frame_labels(name: str, frame: int, label: str) -> None:
    rate = RATES[name]
    assert rate.label(frame) == label
    assert rate.frame_of_label(label) == frame


def test_known_non_drop_labels() -> None:
    # OpenTimelineIO 0.18.1
    assert RATES["29.97"].label(1800) == "00:01:00:00"
    assert RATES["29.97"].label(107892) == "00:59:56:12"


@pytest.mark.parametrize("name", RATES)
def test_two_hours_agree_with_opentimelineio(name: str) -> None:
    rate = RATES[name]
    per_s = float(rate.per_s)
    last = rate.frame_of(7200)
    for frame in [*range(0, 20000, 7), *range(0, last, 997), *range(last - 100, last)]:
        label = rate.label(frame)
        assert to_timecode(RationalTime(frame, per_s), per_s, rate.drop) == label
        assert from_timecode(label, per_s).value == frame
        assert rate.frame_of_label(label) == frame


def test_every_label_of_ten_minutes_comes_back() -> None:
    rate = RATES["29.97df"]
    labels = [rate.label(f) for f in range(17982)]
    assert len(set(labels)) == 17982
    assert [rate.frame_of_label(x) for x in labels] == list(range(17982))


@pytest.mark.parametrize("label", ["00:01:00;00", "00:01:00;01", "00:11:00;01"])
def test_a_label_that_drop_frame_leaves_out_is_refused(label: str) -> None:
    # OpenTimelineIO takes these without a word.
    with pytest.raises(ExportError, match="does not exist in drop-frame"):
        RATES["29.97df"].frame_of_label(label)
    assert RATES["29.97"].frame_of_label(label) > 0


@pytest.mark.parametrize("label", ["1:00:00:00", "01:60:00:00", "24:00:00:00", "00:00:00:25", "x"])
def test_no_timecode_is_one_line(label: str) -> None:
    with pytest.raises(ExportError) as caught:
        RATES["25"].frame_of_label(label)
    assert "\n" not in str(caught.value) and label in str(caught.value)


def test_labels_begin_anew_at_midnight() -> None:
    assert RATES["25"].label(24 * 3600 * 25) == "00:00:00:00"
    assert RATES["29.97df"].label(2589408) == "00:00:00;00"


@pytest.mark.parametrize("name", RATES)
def test_a_rate_is_found_from_the_measured_one(name: str) -> None:
    found = usual_rate(float(RATES[name].per_s) * 1.0001)
    assert found is not None and found.per_s == RATES[name].per_s


def test_an_odd_rate_is_no_usual_one() -> None:
    assert usual_rate(27.3) is None
    assert nearest_rate(29.6).name == "29.97df"
    with pytest.raises(ExportError, match="29.97df"):
        rate_named("31")


@pytest.mark.parametrize(
    ("name", "per_s", "drop"),
    [("23.976", Fraction(24000, 1001), False), ("24", Fraction(24), False),
     ("25", Fraction(25), False), ("29.97", Fraction(30000, 1001), False),
     ("29.97df", Fraction(30000, 1001), True), ("30", Fraction(30), False),
     ("50", Fraction(50), False), ("59.94", Fraction(60000, 1001), False),
     ("59.94df", Fraction(60000, 1001), True), ("60", Fraction(60), False)],
)  # fmt: skip
def test_every_rate_is_exact(name: str, per_s: Fraction, drop: bool) -> None:
    # SMPTE ST 12-1:2014: rates of 24, 30 and 60 over 1.001, and whole ones.
    assert (RATES[name].name, RATES[name].per_s, RATES[name].drop) == (name, per_s, drop)
    assert len(RATES) == 10


@pytest.mark.parametrize(("off", "usual"), [(0.00038, True), (0.00042, False), (0.001, False)])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_rate_a_little_off_is_still_the_usual_one(off: float, usual: bool, sign: int) -> None:
    # Common practice, no source: a twentieth of a per cent tells 23.976 from 24.
    found = usual_rate(25 * (1 + sign * off))
    assert (found is not None and found.name == "25") is usual
