"""The files of one review, and its working over: corrections, notes, another plan.

A review's folder holds the clip, the plan, what was said, the track and what came of them.
``review.json`` is the one place that knows corrections and notes; working it over reads it,
makes everything after the track anew, and writes it back whole.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from annotate.cues.captions import Word, read_captions
from annotate.plan.model import ClassPlan
from annotate.review.edits import Edit, check_edits
from annotate.review.model import Note, Review
from annotate.review.read import read_review
from annotate.script.build import make_script
from api.work.output import write_review, write_texts
from pose.track import PoseTrack

CLIP = "clip.bin"
PREVIEW = "preview.mp4"
PLAN = "plan.json"
PLAN_TEXT = "plan-text.json"
CAPTIONS = ("captions.vtt", "captions.srt")
TRACK = "track.parquet"
REVIEW = "review.json"


def plan_of(folder: Path) -> ClassPlan | None:
    """The checked plan, if there is one."""
    file = folder / PLAN
    return ClassPlan.model_validate_json(file.read_bytes()) if file.exists() else None


def keep_plan(folder: Path, plan: ClassPlan | None, text: str | None) -> None:
    """Keep a checked plan, and its text as typed where it has one."""
    texts = {}
    for name, content in (
        (PLAN, None if plan is None else plan.model_dump_json()),
        (PLAN_TEXT, None if text is None else json.dumps(text)),
    ):
        if content is None:
            (folder / name).unlink(missing_ok=True)
        else:
            texts[name] = content
    write_texts(texts, folder)


def plan_text_of(folder: Path) -> str | None:
    """The plan as typed; None when it came as a workbook, or there is none."""
    file = folder / PLAN_TEXT
    return str(json.loads(file.read_text(encoding="utf-8"))) if file.exists() else None


def captions_of(folder: Path) -> Path | None:
    """What was said, if it was sent."""
    return next((folder / name for name in CAPTIONS if (folder / name).exists()), None)


def keep_track(track: PoseTrack, name: str, folder: Path) -> None:
    """Keep what the camera saw, under the clip's name as sent."""
    replace(track, clip=replace(track.clip, name=name)).write_parquet(folder / TRACK)


def named_as_sent(review: Review, name: str) -> Review:
    """A review of our own copy of the clip, told under the name the clip was sent with."""
    notices = tuple(
        n.model_copy(update={"text": n.text.replace(f"{CLIP}: ", f"{name}: ")})
        for n in review.notices
    )
    clip = review.clip.model_copy(update={"name": name})
    return review.model_copy(update={"clip": clip, "notices": notices})


def review_of(folder: Path) -> Review:
    """The finished review of a folder."""
    return read_review(folder / REVIEW)


def with_edits(folder: Path, edits: Sequence[Edit]) -> Review:
    """Replace the corrections by hand; everything else follows.

    Raises
    ------
    CorrectionError
        A correction points at nothing.
    """
    from annotate.pipeline import correct_review

    track = PoseTrack.read_parquet(folder / TRACK)
    return _written(correct_review(review_of(folder), track, edits, _words(folder)), folder)


def with_plan(folder: Path, plan: ClassPlan | None, text: str | None) -> Review:
    """Hold the same clip against another plan; corrections and notes stay.

    Raises
    ------
    CorrectionError
        A correction points at nothing under the new plan.
    """
    from annotate.music.on_beat import beats_of
    from annotate.pipeline import review_track
    from pose.video.probe import CLIP_WARNINGS

    before = review_of(folder)
    made = review_track(
        PoseTrack.read_parquet(folder / TRACK),
        plan,
        edits=check_edits(before.edits),
        notices=[n for n in before.notices if n.code in CLIP_WARNINGS],
        words=_words(folder),
        beats=beats_of(before.music),
    )
    keep_plan(folder, plan, text)
    return _written(made.model_copy(update={"notes": before.notes}), folder)


def with_notes(folder: Path, notes: Sequence[Note]) -> Review:
    """Replace the notes, in order of time; the script carries them."""
    ordered = tuple(sorted(notes, key=lambda n: n.at_s))
    return _written(review_of(folder).model_copy(update={"notes": ordered}), folder)


def _words(folder: Path) -> Sequence[Word]:
    captions = captions_of(folder)
    return () if captions is None else read_captions(captions)


def _written(review: Review, folder: Path) -> Review:
    write_review(review, make_script(review), folder)
    # Stills are numbered by period; they are drawn again when next looked at.
    shutil.rmtree(folder / "stills", ignore_errors=True)
    return review
