"""The folder of one review: the only place that knows its file names.

===================  ==============================================================
given                clip.bin (stored by the service), clip.json (where the clip is),
                     plan.json and plan-text.json, captions.vtt or .srt, phrases.yaml
seen                 track.parquet, preview.mp4 (a copy that every browser plays)
found                review.json; review.before.json and on: of other people in the same clip
made from these      script.*, sheet.*, stills/; derived.json says from which review
===================  ==============================================================
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from annotate.cues.captions import Word, caption_text, read_captions
from annotate.errors import CorrectionError
from annotate.plan.model import ClassPlan
from annotate.review.model import Review
from annotate.review.read import read_review
from annotate.script.phrases import Phrases, default_phrases, phrase_text, read_phrases
from api.work.files import Content, replace_together
from pose.track import PoseTrack
from pose.video.source import Source, StoredClip, is_address, open_bytes

if TYPE_CHECKING:
    from annotate.pipeline import Take

REVIEW = "review.json"
TRACK = "track.parquet"
STILLS = "stills"
DERIVED = "derived.json"
PHRASES = "phrases.yaml"
CAPTIONS = ("captions.vtt", "captions.srt")
_CLIP, _CLIP_PLACE, _PREVIEW = "clip.bin", "clip.json", "preview.mp4"
# Marks a folder whose upload is not complete.
_ARRIVING = ".arriving"
# Reviews of other people in the same clip; the first one is without a number.
_BEFORE, _BEFORE_MORE = "review.before.json", "review.before.{}.json"
_PLAN, _PLAN_TEXT, _PERSON = "plan.json", "plan-text.json", "person.txt"


@dataclass(frozen=True)
class Inputs:
    """What a review was made with.

    Attributes
    ----------
    plan : ClassPlan or None
        Stored by the service, which may compare the take with it again.
    plan_text : str or None
        The plan as typed, where it has a text.
    captions : str or None
        Text of a WebVTT or SubRip file.
    phrases : str or None
        Text of the instructor's phrase file.
    person : str or None
        Whom to follow, see :func:`api.work.person.read_person`.
    clip : Source or None
        Where the clip is, for stills drawn later; None where it is in the folder.
    """

    plan: ClassPlan | None = None
    plan_text: str | None = None
    captions: str | None = None
    phrases: str | None = None
    person: str | None = None
    clip: Source | None = None


@dataclass(frozen=True)
class ReviewFolder:
    """One review's files: reads and writes them by their fixed names."""

    path: Path

    # --- paths of files that are served as they are ---------------------------------------------

    @property
    def clip(self) -> Path:
        """The service's own copy of the clip."""
        return self.path / _CLIP

    @property
    def preview(self) -> Path:
        """The copy for browsers where there is one, else the clip."""
        copy = self.preview_to_make
        return copy if copy.exists() else self.clip

    @property
    def preview_to_make(self) -> Path:
        """Path of the copy for browsers, whether or not it is there."""
        return self.path / _PREVIEW

    @property
    def track_file(self) -> Path:
        """The stored track."""
        return self.path / TRACK

    @property
    def review_file(self) -> Path:
        """``review.json``."""
        return self.path / REVIEW

    @property
    def arriving(self) -> Path:
        """Marker of a folder that is complete but not yet listed in the store."""
        return self.path / _ARRIVING

    def file(self, name: str) -> Path:
        """Path of a file made from the review."""
        return self.path / name

    def still(self, name: str) -> Path:
        """Path of a still, by its name in the review."""
        return self.path / STILLS / name

    # --- reading --------------------------------------------------------------------------------

    def review(self) -> Review:
        """The finished review.

        Raises
        ------
        ExportError
            There is none, or it cannot be read.
        """
        return read_review(self.review_file)

    def track(self) -> PoseTrack:
        """What the camera saw.

        Raises
        ------
        TrackError
            It is not there or cannot be read.
        """
        return PoseTrack.read_parquet(self.track_file)

    def take(self, review: Review) -> Take:
        """The take its review was made from, without decoding the clip again.

        Raises
        ------
        TrackError, CaptionError
            Its files cannot be read.
        CorrectionError
            The stored track is of another clip.
        """
        # Imported here: the analysis takes a second to load, and serving files does not need it.
        from annotate.pipeline import take_from_review

        track = self.track()
        if track.clip.sha256 != review.clip.sha256:
            raise CorrectionError(
                f"{self.path}: {TRACK} and {REVIEW} are of two clips; run the review again"
            )
        return take_from_review(review, track, self.words())

    def words(self) -> tuple[Word, ...]:
        """The words of the captions; none where no captions were given."""
        captions = self.captions
        return () if captions is None else read_captions(captions)

    @property
    def captions(self) -> Path | None:
        """Path of the captions, if any were given."""
        return next((self.path / name for name in CAPTIONS if (self.path / name).exists()), None)

    def phrases(self) -> Phrases:
        """The instructor's own phrases, or the default ones."""
        own = self.path / PHRASES
        return read_phrases(own) if own.exists() else default_phrases()

    def plan(self) -> ClassPlan | None:
        """The checked plan, if one was stored."""
        kept = self.path / _PLAN
        return ClassPlan.model_validate_json(kept.read_bytes()) if kept.exists() else None

    def plan_text(self) -> str | None:
        """The plan as typed; None when it came as a workbook, or there is none."""
        kept = self.path / _PLAN_TEXT
        return str(json.loads(kept.read_text(encoding="utf-8"))) if kept.exists() else None

    def person(self) -> str | None:
        """Whom to follow, if it was said."""
        kept = self.path / _PERSON
        return kept.read_text(encoding="utf-8") if kept.exists() else None

    def inputs(self, review: Review) -> Inputs:
        """What its review was made with."""
        captions, phrases = self.captions, self.path / PHRASES
        return Inputs(
            plan=self.plan(),
            plan_text=self.plan_text(),
            captions=None if captions is None else caption_text(captions),
            phrases=phrase_text(phrases) if phrases.exists() else None,
            person=self.person(),
            clip=self.source(review),
        )

    def source(self, review: Review) -> Source | None:
        """The reviewed clip, if it can still be found; never another clip of the same name."""
        if self.clip.exists():
            return StoredClip(self.clip, review.clip.name)
        return next((c for c in self._places(review) if self._is_clip(c, review)), None)

    # --- writing --------------------------------------------------------------------------------

    def keep(self, inputs: Inputs) -> None:
        """Store the inputs, before there is a review."""
        replace_together(self.path, self.contents_of(inputs))

    def contents_of(self, inputs: Inputs) -> dict[str, Content]:
        """The inputs as files to write; those that are None are deleted."""
        webvtt = inputs.captions is not None and inputs.captions.startswith("WEBVTT")
        return {
            _PLAN: None if inputs.plan is None else inputs.plan.model_dump_json(),
            _PLAN_TEXT: None if inputs.plan_text is None else json.dumps(inputs.plan_text),
            CAPTIONS[0]: inputs.captions if webvtt else None,
            CAPTIONS[1]: None if webvtt else inputs.captions,
            PHRASES: inputs.phrases,
            _PERSON: inputs.person,
            _CLIP_PLACE: self._place(inputs.clip),
        }

    def choose_person(self, person: str) -> None:
        """Follow this person from now on; every review so far is kept beside the next one."""
        contents: dict[str, Content] = {}
        name = self._name_to_keep() if self.review_file.exists() else None
        if name is not None:
            contents[name] = lambda path: shutil.copyfile(self.review_file, path)
        replace_together(self.path, contents | {_PERSON: person})

    def _name_to_keep(self) -> str | None:
        """A free name for a review that is replaced; None: kept already, its successor failed."""
        review = self.review_file.read_bytes()
        for number in count(1):
            name = _BEFORE if number == 1 else _BEFORE_MORE.format(number)
            if not (self.path / name).exists():
                return name
            if (self.path / name).read_bytes() == review:
                return None
        return None

    def tidy(self) -> None:
        """Delete incomplete files of an earlier run."""
        for path in (*self.path.glob(".*"), *self.path.glob("*.part")):
            shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)

    # --- where the clip is ----------------------------------------------------------------------

    def _place(self, clip: Source | None) -> str | None:
        """The clip's path as stored: relative, so that clip and folder can be moved together."""
        if clip is None or isinstance(clip, StoredClip):
            return None
        if is_address(clip):
            return json.dumps({"clip": str(clip)})
        path = Path(clip).resolve()
        try:
            state = path.stat()
        except OSError:
            return None
        where = os.path.relpath(path, self.path.resolve())
        kept = {"clip": where, "bytes": state.st_size, "modified_ns": state.st_mtime_ns}
        return json.dumps(kept)

    def _kept_place(self) -> dict[str, object]:
        try:
            kept = json.loads((self.path / _CLIP_PLACE).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return kept if isinstance(kept, dict) else {}

    def _places(self, review: Review) -> Iterator[Source]:
        """Where the clip may be: at the stored path, or beside this folder."""
        kept = str(self._kept_place().get("clip", ""))
        if is_address(kept):
            yield kept
        elif kept:
            yield (self.path / kept).resolve()
        yield self.path.resolve().parent / review.clip.name

    def _is_clip(self, source: Source, review: Review) -> bool:
        """Whether this is the reviewed clip: unchanged since, or of the same content."""
        if is_address(source):
            return True
        try:
            state = Path(source).stat()
            kept = self._kept_place()
            if (kept.get("bytes"), kept.get("modified_ns")) == (state.st_size, state.st_mtime_ns):
                return True
            with open_bytes(source) as file:
                return hashlib.file_digest(file, "sha256").hexdigest() == review.clip.sha256
        except OSError:
            return False
