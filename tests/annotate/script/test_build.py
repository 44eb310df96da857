"""The script: what is said when, never two lines at once, in time to be said."""

from __future__ import annotations

import csv
import io
import re
from itertools import pairwise
from pathlib import Path

import pysubs2
import pytest
import webvtt

from annotate.compare.sheet import sheet_csv, sheet_markdown, sheet_rows
from annotate.errors import PhraseError
from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.model import Comparison, Cue, Note, Review
from annotate.review.music import OnBeat
from annotate.script.build import Script, make_script
from annotate.script.captions import script_srt, script_webvtt
from annotate.script.lines import count_of
from annotate.script.markdown import script_markdown
from annotate.script.phrases import default_phrases, read_phrases
from annotate.script.schedule import ScriptLine
from tests.annotate.reviews import as_planned, block, reps, station

# Comfortable speech is 150 words a minute (common practice, no source), written down here again.
WORDS_PER_MIN = 150

PLANS = {
    "long": ClassPlan(title="Pier", blocks=(
        block(name="Warm-up", kind="warm-up", movement="march", duration=240),
        block(name="Squat and tap", movement="squat-tap-jump", rounds=3, work=45, recovery=30,
              recovery_movement="quarter-squat-tap", reps=20),
        block(name="Water", kind="break", duration=60),
        block(name="Knee lift", movement="knee-lift", rounds=2, work=30, recovery=20,
              reps={"left": 8, "right": 8}),
        block(name="Lunge", movement="side-lunge", sides="each", work=40, recovery=20),
        block(name="Cool-down", kind="cool-down", movement="stretch", duration=180))),
    "short": ClassPlan(title="Quick", blocks=(
        block(name="Sprints", movement="high-knees", rounds=8, work=20, recovery=10),
        block(name="Circuit", rounds=3, round_recovery=15, stations=(
            station(movement="squat", work=20, recovery=5, reps=10),
            station(movement="push-up", work=10),
            station(movement="mountain-climber", work=8))))),
    "tight": ClassPlan(title="Tight", countdown_s=10, blocks=(
        block(name="Fast", movement="squat-thrust-jump", rounds=10, work=6, recovery=4),)),
}  # fmt: skip
LINES = {name: make_script(as_planned(unroll(plan))) for name, plan in PLANS.items()}


def spoken(script: Script) -> list[ScriptLine]:
    return [x for p in script.periods for x in p.lines if x.kind != "direction"]


@pytest.mark.parametrize("name", PLANS)
def test_no_two_lines_are_spoken_at_once(name: str) -> None:
    lines = spoken(LINES[name])
    assert all(a.at_s + a.lasts_s < b.at_s for a, b in pairwise(lines))


@pytest.mark.parametrize("name", PLANS)
def test_every_line_can_be_said_in_its_time(name: str) -> None:
    for line in spoken(LINES[name]):
        if line.kind != "countdown":  # one number a second
            assert len(line.text.split()) <= line.lasts_s * WORDS_PER_MIN / 60 + 1e-6, line


@pytest.mark.parametrize("name", PLANS)
def test_the_last_count_falls_just_before_every_change(name: str) -> None:
    timeline = unroll(PLANS[name])
    counts = {x.at_s: x for x in spoken(LINES[name]) if x.kind == "countdown"}
    for a, b in pairwise(timeline.periods):
        count = count_of(a, timeline.countdown_s, default_phrases())
        line = counts[round(b.start_s - count, 1)]
        assert len(line.text.split()) == count
        assert b.start_s - 1 < line.at_s + line.lasts_s < b.start_s


def test_every_change_is_announced_before_it_comes() -> None:
    timeline = unroll(PLANS["long"])
    said = [x for x in spoken(LINES["long"]) if x.kind == "announce"]
    for a, b in pairwise(timeline.periods):
        assert any(a.start_s <= x.at_s and x.at_s + x.lasts_s <= b.start_s - 4 for x in said)


def test_calls_options_water_and_safety_are_there() -> None:
    script = LINES["long"]
    first = script.periods[1].lines
    work = {x.kind: x for x in first}
    assert {"change", "safety", "halfway", "reps", "left", "announce", "countdown"} <= set(work)
    assert work["halfway"].at_s == pytest.approx(240 + 22.5, abs=1)
    left = [round(285 - x.at_s) for x in first if x.kind == "left"]
    assert set(left) <= {15, 10, 5} and 15 in left and 10 in left
    # 20 repetitions in 45 s: four are left 9 s before the end.
    assert (
        work["reps"].at_s == pytest.approx(285 - 9, abs=0.8) and work["reps"].text == "Four more."
    )
    assert any(x.kind == "option" and "no jump" in x.text for x in script.periods[0].lines)
    assert any(x.kind == "water" for x in script.periods[2].lines)
    assert any("8 left" in x.text or "eight left" in x.text for x in spoken(script))


def test_the_reminder_comes_before_the_repetition_that_changed() -> None:
    plan = ClassPlan(blocks=(block(name="Hinge", movement="hip-hinge", work=40, reps=10),))
    filmed = as_planned(unroll(plan))
    hinge = filmed.periods[0].model_copy(update={"reps": reps(0, 10, 4, rounded=(7, 8, 9))})
    lines = spoken(make_script(filmed.model_copy(update={"periods": (hinge,)})))
    (reminder,) = [x for x in lines if x.kind == "form"]
    assert (
        reminder.at_s >= 18 and reminder.at_s + reminder.lasts_s <= 24
    )  # the seventh begins at 24


def cut_short() -> Review:
    """A work period that ended 8 s early, with what was said of it."""
    plan = ClassPlan(blocks=(
        block(name="Squat", movement="squat", rounds=2, work=30, recovery=20),))  # fmt: skip
    filmed = as_planned(unroll(plan), late_s=3)
    periods = list(filmed.periods)
    periods[0] = periods[0].model_copy(update={"end_s": 25.0, "duration_s": 22.0})
    for i in (1, 2, 3):
        p = periods[i]
        periods[i] = p.model_copy(update={"start_s": p.start_s - 8, "end_s": p.end_s - 8})
    rows = list(filmed.comparison)
    rows[0] = Comparison(planned=rows[0].planned, delivered=0, status="short", duration_diff_s=-8.0,
                         text="8 s too short (22 instead of 30 s)")  # fmt: skip
    return filmed.model_copy(update={"periods": tuple(periods), "comparison": tuple(rows)})


def test_notes_and_the_music_stand_where_they_belong() -> None:
    filmed = cut_short()
    note = Note(at_s=14.0, tag="voice", text="louder")
    beat = OnBeat(period=0, beats_per_rep=4, tempo=None, gained_beats=0.1,
                  text="Squat, round 1: one repetition every 4 counts, on the beat.")  # fmt: skip
    script = make_script(filmed.model_copy(update={"notes": (note,), "on_beat": (beat,)}))
    # Half of the 22 s delivered is half of the 30 s planned.
    assert (15.0, "Note: voice: louder") in [(x.at_s, x.text) for x in script.periods[0].lines]
    assert script.periods[0].on_beat == "One repetition every 4 counts, on the beat."
    assert "Music: One repetition every 4 counts" in script_markdown(script)


def test_both_clocks_stand_beside_each_line() -> None:
    script = make_script(cut_short())
    by_kind = {x.kind: x for x in script.periods[0].lines}
    assert (by_kind["change"].at_s, by_kind["change"].delivered_s) == (0, 3)
    assert by_kind["change"].difference == "on time"
    # Counted at 26 s of the plan; the clip began 3 s before, and the change came 8 s early.
    assert (by_kind["countdown"].at_s, by_kind["countdown"].delivered_s) == (26, 21)
    assert by_kind["countdown"].difference == "8 s early"
    directions = [x.text for x in script.periods[0].lines if x.kind == "direction"]
    assert directions == ["Last take: 8 s too short (22 instead of 30 s).", "Keep going to 0:30."]


def test_what_was_said_is_the_delivered_clock() -> None:
    said = Cue(at_s=20.2, kind="countdown", text="4, 3, 2", verdict="right", difference="")
    script = make_script(cut_short().model_copy(update={"cues": (said,)}))
    by_kind = {x.kind: x for x in script.periods[0].lines}
    assert by_kind["countdown"].delivered_s == 20.2
    assert by_kind["halfway"].difference == "not heard"


def test_the_script_as_webvtt_and_srt_is_read_by_others() -> None:
    script = LINES["long"]
    wanted = [(x.at_s, x.text) for x in spoken(script)]
    captions = webvtt.from_string(script_webvtt(script)).captions
    seconds = [c.start_in_seconds + int(c.start[-3:]) / 1000 for c in captions]
    assert [c.text for c in captions] == [t for _, t in wanted]
    assert seconds == pytest.approx([a for a, _ in wanted], abs=0.051)
    events = pysubs2.SSAFile.from_string(script_srt(script), format_="srt")
    assert [(round(e.start / 1000, 1), e.plaintext) for e in events] == wanted
    assert all(a.end <= b.start for a, b in pairwise(events))
    over = pysubs2.SSAFile.from_string(script_srt(make_script(cut_short()), "delivered"),
                                       format_="srt")  # fmt: skip
    assert over[0].start == 3000 and all(a.start <= b.start for a, b in pairwise(over))


def test_without_a_plan_there_are_no_lines_to_say() -> None:
    filmed = as_planned(unroll(PLANS["tight"])).model_copy(update={"plan": None, "comparison": ()})
    script = make_script(filmed)
    assert script_webvtt(script).strip() == "WEBVTT" and script_srt(script) == ""
    assert "nothing to compare" in sheet_markdown(filmed) and sheet_rows(filmed.periods, ()) == ()


def test_markdown_has_a_page_a_block_and_no_line_broken() -> None:
    text = script_markdown(LINES["short"])
    assert re.findall(r"^## (.*)$", text, re.M) == ["Sprints", "Circuit", "Take care"]
    assert text.count("break-before: page") == 1
    rows = [x for x in text.splitlines() if x.startswith("| ")]
    assert all(x.endswith(" |") for x in rows)
    assert "| **Squat, ten times.** |" in text


def test_names_with_markdown_in_them_stay_text() -> None:
    plan = ClassPlan(title="a|b *c*", blocks=(block(name="<b>|x", movement="squat", work=30),))
    text = script_markdown(make_script(as_planned(unroll(plan))))
    assert "# a\\|b \\*c\\*" in text and "<b>" not in text.replace("\\<b\\>", "")


def test_the_sheet_has_rounds_blocks_and_the_class() -> None:
    filmed = cut_short()
    rows = sheet_rows(filmed.periods, filmed.comparison)
    assert [(r.row, r.name) for r in rows] == [
        ("round", "Squat, round 1 of 2"), ("round", "Squat, round 2 of 2"),
        ("block", "Squat"), ("class", "Whole class"),
    ]  # fmt: skip
    assert [(r.planned_work_s, r.delivered_work_s) for r in rows] == [
        (30, 22), (30, 30), (60, 52), (60, 52),
    ]  # fmt: skip
    assert rows[0].difference == "8 s too short (22 instead of 30 s)"
    read = list(csv.DictReader(io.StringIO(sheet_csv(rows))))
    assert [float(r["delivered_work_s"]) for r in read] == [22, 30, 52, 52]
    assert read[0]["planned_reps"] == ""
    text = sheet_markdown(filmed.model_copy(update={"sheet": rows}))
    assert "| **Squat** | 0:00 / 0:03 | 1:00 / 0:52 | 0:40 / 0:40 |" in text


def test_an_instructors_own_phrases_are_said(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(
        'halfway: ["Half of it!", "Over the hill."]\nchange: "Go, {movement}!"\n'
        "easier: {high-knees: Just march.}\nnumbers: [eins, zwei, drei, vier]\n"
    )
    phrases = read_phrases(path)
    lines = spoken(make_script(as_planned(unroll(PLANS["short"])), phrases))
    texts = {x.text for x in lines}
    assert {"Go, high knees!", "Just march.", "Half of it!", "Vier, drei, zwei, eins."} <= texts
    assert "Easier: half way down." in texts  # what the file leaves out stays ours


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("halfwya: x", 'unknown phrase "halfwya"; did you mean "halfway"?'),
        ('halfway: "{n} left"', "braces that are not filled in"),
        ('announce: "{movement.__class__}"', "braces that are not filled in; use {movement}"),
        ("announce: '{'", "braces that are not filled in"),
        ("halfway: 3", '"halfway" should be text'),
        ("halfway: []", '"halfway" should be text'),
        ("easier: x", '"easier" should be a text for each'),
        ("- a", "no phrases"),
        ("a: [", "line 1: not readable as YAML"),
        (None, "no such file"),
    ],
)
def test_a_phrase_file_at_fault_is_one_line(
    tmp_path: Path, content: str | None, words: str
) -> None:
    path = tmp_path / "mine.yaml"
    if content is not None:
        path.write_text(content)
    with pytest.raises(PhraseError) as caught:
        read_phrases(path)
    assert words in str(caught.value) and "\n" not in str(caught.value)
