"""Why two reviews of one clip differ: a sentence for every cause, and none without one."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from annotate.plan.model import ClassPlan
from annotate.plan.unroll import unroll
from annotate.review.differences import differences
from annotate.review.model import Note, Review, Still
from annotate.review.provenance import PictureSettings, Provenance
from tests.annotate.reviews import block, period, review

PICTURES = PictureSettings(
    landmark_model="pose.task", landmark_model_id="0123456789ab", runtime="runner 1.2",
    sample_rate_hz=15, max_side_px=640, look_version=2,
)  # fmt: skip
PROVENANCE = Provenance(
    takeproof="0.1.0", made=datetime(2025, 3, 1, tzinfo=UTC), edited=None, pictures=PICTURES,
    track_version=1, catalogue="aaaaaaaaaaaa", captions=None, cue_languages=(),
)  # fmt: skip
SQUATS = unroll(ClassPlan(title="Pier", blocks=(block(name="Squat", movement="squat", work=30),)))
LONGER = unroll(ClassPlan(title="Pier", blocks=(block(name="Squat", movement="squat", work=40),)))
OTHER = unroll(ClassPlan(title="Quay", blocks=(block(name="Squat", movement="squat", work=30),)))
FIRST = review([period(0, "work", 0, 30, "squat")], plan=SQUATS, provenance=PROVENANCE)


def with_provenance(**changed: Any) -> Review:
    made = PROVENANCE.model_copy(update=changed)
    return FIRST.model_copy(update={"provenance": made})


def with_pictures(**changed: Any) -> Review:
    return with_provenance(pictures=PICTURES.model_copy(update=changed))


def changed(**values: Any) -> Review:
    return FIRST.model_copy(update=values)


def test_a_review_and_itself_do_not_differ() -> None:
    assert differences(FIRST, FIRST) == []


@pytest.mark.parametrize(
    "second",
    [
        with_provenance(made=datetime(2026, 1, 1, tzinfo=UTC)),
        with_provenance(edited=datetime(2026, 1, 1, tzinfo=UTC)),
        with_pictures(landmark_model="renamed.task"),
        changed(clip=FIRST.clip.model_copy(update={"name": "renamed.mp4"})),
        changed(stills=(Still(file="a.jpg", period=0, repetition=0, at_s=1, text="x"),)),
    ],
)
def test_times_names_and_pictures_drawn_are_no_difference(second: Review) -> None:
    assert differences(FIRST, second) == []


CAUSES = [
    (
        with_provenance(person="0.8,0.5@3"),
        "The first follows whom the clip is about, the second whoever is at 0.8,0.5@3; that may be "
        "the same person or not.",
        "The first follows whoever is at 0.8,0.5@3, the second whom the clip is about; that may be "
        "the same person or not.",
    ),
    (
        with_provenance(takeproof="0.2.0"),
        "takeproof 0.1.0 made the first, takeproof 0.2.0 the second.",
        "takeproof 0.2.0 made the first, takeproof 0.1.0 the second.",
    ),
    (
        with_pictures(landmark_model="own.task", landmark_model_id="ba9876543210"),
        "The landmark model of the first is pose.task (0123456789ab), of the second own.task "
        "(ba9876543210).",
        "The landmark model of the first is own.task (ba9876543210), of the second pose.task "
        "(0123456789ab).",
    ),
    (
        with_pictures(runtime="runner 2"),
        "The first model was run by runner 1.2, the second by runner 2.",
        "The first model was run by runner 2, the second by runner 1.2.",
    ),
    (
        with_pictures(sample_rate_hz=7.5),
        "About 15 pictures per second were used for the first, 7.5 for the second.",
        "About 7.5 pictures per second were used for the first, 15 for the second.",
    ),
    (
        with_pictures(max_side_px=960),
        "The pictures were scaled to 640 pixels on the longer side for the "
        "first, to 960 for the second.",
        "The pictures were scaled to 960 pixels on the longer side for the "
        "first, to 640 for the second.",
    ),
    (
        with_pictures(look_version=3),
        "The pictures were prepared, or the person followed, in a different way.",
        "The pictures were prepared, or the person followed, in a different way.",
    ),
    (
        with_provenance(pictures=None),
        "How the body was found is not recorded for the second.",
        "How the body was found is not recorded for the first.",
    ),
    (
        with_provenance(track_version=2),
        "The data kept from the pictures changed between them.",
        "The data kept from the pictures changed between them.",
    ),
    (
        with_provenance(catalogue="bbbbbbbbbbbb"),
        "The catalogue of movements changed between them.",
        "The catalogue of movements changed between them.",
    ),
    (
        with_provenance(captions="cccccccccccc", cue_languages=("en",)),
        "Captions were given for the second only.",
        "Captions were given for the first only.",
    ),
    (
        changed(provenance=None),
        "The second was made by an older version, which does not record its settings.",
        "The first was made by an older version, which does not record its settings.",
    ),
    (
        changed(plan=None),
        "The first only was compared with a plan.",
        "The second only was compared with a plan.",
    ),
    (
        changed(plan=LONGER),
        'The plan "Pier" was changed between them.',
        'The plan "Pier" was changed between them.',
    ),
    (
        changed(plan=OTHER),
        'They were compared with different plans: "Pier" and "Quay".',
        'They were compared with different plans: "Quay" and "Pier".',
    ),
    (
        changed(edits=({"do": "split", "at_s": 3.0},)),
        "The first has no correction by hand, the second 1 correction.",
        "The first has 1 correction by hand, the second no correction.",
    ),
    (
        changed(notes=(Note(at_s=1, tag="", text="x"),)),
        "The notes are not the same.",
        "The notes are not the same.",
    ),
    (
        changed(clip=FIRST.clip.model_copy(update={"name": "b.mp4", "sha256": "1" * 64})),
        "They are reviews of different clips: take: 1 & 2.mp4 and b.mp4.",
        "They are reviews of different clips: b.mp4 and take: 1 & 2.mp4.",
    ),
    (
        changed(periods=(period(0, "work", 0, 29, "squat"),)),
        "The results differ, but nothing recorded in the reviews explains it.",
        "The results differ, but nothing recorded in the reviews explains it.",
    ),
]


@pytest.mark.parametrize(("second", "forth", "back"), CAUSES)
def test_every_cause_is_one_sentence(second: Review, forth: str, back: str) -> None:
    assert differences(FIRST, second) == [forth]
    assert differences(second, FIRST) == [back]
    assert differences(second, second) == []


def test_captions_and_corrections_of_both_are_held_against_each_other() -> None:
    said = with_provenance(captions="cccccccccccc", cue_languages=("en",))
    other = with_provenance(captions="dddddddddddd", cue_languages=("en",))
    german = with_provenance(captions="cccccccccccc", cue_languages=("de",))
    assert differences(said, other) == ["The captions are not the same."]
    assert differences(said, german) == [
        "Cues were looked for in en for the first, in de for the second."
    ]
    one, two = (changed(edits=({"do": "split", "at_s": at},)) for at in (3.0, 4.0))
    assert differences(one, two) == ["Both have 1 correction by hand, but not the same."]


def test_several_causes_are_all_told() -> None:
    second = with_pictures(runtime="runner 2", max_side_px=960).model_copy(update={"plan": OTHER})
    assert len(differences(FIRST, second)) == 3


def test_names_from_files_stay_one_line() -> None:
    plan = SQUATS.model_copy(update={"title": "Pier\n\x1b[1m"})
    assert all(line.isprintable() for line in differences(FIRST, changed(plan=plan)))
