"""Write a review and everything made from it: script, sheet, stills.

This is the only place that does it: for the command line, corrections, the queue, many clips and
the page. ``derived.json`` holds the hash of the review and of every file made from it. So files of
another review are noticed and made again, and a script that was edited by hand is kept under
another name, not overwritten.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path

from annotate.compare.sheet import sheet_csv, sheet_markdown
from annotate.review.model import Review
from annotate.script.build import make_script
from annotate.script.captions import script_srt, script_webvtt
from annotate.script.markdown import script_markdown
from annotate.script.phrases import Phrases, phrases_of
from api.work.files import Content, replace_together
from api.work.folder import DERIVED, PHRASES, REVIEW, STILLS, TRACK, Inputs, ReviewFolder
from pose.track import PoseTrack
from pose.video.source import Source


@dataclass(frozen=True)
class Produced:
    """What was made.

    Attributes
    ----------
    review : Review
        As written: where stills were drawn, it names those that are there.
    names : tuple of str
        What was written into the review's folder.
    kept_aside : tuple of (str, str)
        Files that had been edited by hand, and the names of the edited versions.
    """

    review: Review
    names: tuple[str, ...]
    edited_copies: tuple[tuple[str, str], ...]


def produce(
    folder: ReviewFolder,
    review: Review,
    *,
    track: PoseTrack | None = None,
    inputs: Inputs | None = None,
    clip: Source | None = None,
    draw_later: bool = False,
) -> Produced:
    """Write a review and everything made from it: all of it, or nothing.

    Parameters
    ----------
    folder : ReviewFolder
    review : Review
    track : PoseTrack or None
        Stored for corrections; None leaves the one that is there.
    inputs : Inputs or None
        Replaces the inputs stored before; None leaves them.
    clip : Source or None
        To draw the stills from. Without it, or where a picture cannot be read, the review names
        no still.
    draw_later : bool
        Stills are drawn when first asked for, see :func:`still_file`.

    Raises
    ------
    OutputError
        The folder cannot be written to; what was there stays.
    """
    phrases = folder.phrases() if inputs is None else phrases_of(inputs.phrases, PHRASES)
    pictures = {} if draw_later else _pictures(folder, review, track, clip)
    if not draw_later:
        there = tuple(s for s in review.stills if s.file in pictures)
        review = review.model_copy(update={"stills": there})
    texts = {REVIEW: review.to_json() + "\n", **derived_texts(review, phrases)}
    copies = _edited_copies(folder, texts)

    contents: dict[str, Content] = {}
    if track is not None:
        contents[TRACK] = track.write_parquet
    if inputs is not None:
        contents |= folder.contents_of(inputs)
    contents |= {new: partial(shutil.copyfile, folder.file(old)) for old, new in copies}
    contents |= texts
    contents[STILLS] = partial(_write_pictures, pictures) if pictures else None
    # Last: until it is there, the files count as those of another review.
    contents[DERIVED] = _record_of(texts)
    replace_together(folder.path, contents)

    names = [*texts, *([STILLS] if pictures else []), *([TRACK] if track is not None else [])]
    return Produced(review, tuple(names), copies)


def derived_texts(review: Review, phrases: Phrases) -> dict[str, str]:
    """Script and sheet in all their formats, by file name."""
    script = make_script(review, phrases)
    texts = {
        "script.md": script_markdown(script),
        "script.json": script.model_dump_json(by_alias=True, indent=1),
        "script.vtt": script_webvtt(script),
        "script.srt": script_srt(script),
        "script.last-take.vtt": script_webvtt(script, "delivered"),
        "sheet.md": sheet_markdown(review),
        "sheet.csv": sheet_csv(review.sheet),
    }
    return {name: text if text.endswith("\n") else text + "\n" for name, text in texts.items()}


def bring_up_to_date(folder: ReviewFolder, *, draw_later: bool = False) -> None:
    """Make again the files that do not belong to the review, as after a kill between two renames.

    Raises
    ------
    InputError
        The review or what it was made with cannot be read.
    """
    if not is_up_to_date(folder):
        review = folder.review()
        clip = None if draw_later else folder.source(review)
        produce(folder, review, clip=clip, draw_later=draw_later)


def is_up_to_date(folder: ReviewFolder) -> bool:
    """Whether everything in the folder was made from the review that is there."""
    record = _read_record(folder)
    if not record or not all(folder.file(name).exists() for name in record):
        return False
    return _hash(folder.review_file.read_bytes()) == record.get(REVIEW)


def still_file(folder: ReviewFolder, name: str) -> Path | None:
    """Path of a still, drawn when it is first asked for; None where there is no such still.

    Raises
    ------
    InputError
        The clip or the track cannot be read.
    """
    review = folder.review()
    # Only a name the review itself gives leads to a file.
    if not any(still.file == name for still in review.stills):
        return None
    path = folder.still(name)
    if not path.exists():
        pictures = _pictures(folder, review, None, folder.source(review))
        if pictures:
            replace_together(folder.path, {STILLS: partial(_write_pictures, pictures)})
    return path if path.exists() else None


def _pictures(
    folder: ReviewFolder, review: Review, track: PoseTrack | None, clip: Source | None
) -> dict[str, bytes]:
    if clip is None or not review.stills:
        return {}
    from api.work.stills import draw_stills  # OpenCV is slow to load and rarely needed

    return draw_stills(clip, folder.track() if track is None else track, review)


def _write_pictures(pictures: Mapping[str, bytes], folder: Path) -> None:
    folder.mkdir()
    for name, data in pictures.items():
        (folder / name).write_bytes(data)


def _record_of(texts: Mapping[str, str]) -> str:
    return json.dumps({name: _hash(text.encode()) for name, text in texts.items()}, indent=1)


def _read_record(folder: ReviewFolder) -> dict[str, str]:
    """Hash of each file as last written; empty where there is no record."""
    try:
        record = json.loads(folder.file(DERIVED).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return record if isinstance(record, dict) else {}


def _edited_copies(folder: ReviewFolder, texts: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Files that differ from both their last and their new text, each with an unused name."""
    record = _read_record(folder)
    copies = []
    for name, text in texts.items():
        path = folder.file(name)
        # The review itself is replaced: corrections and notes are the way to change it by hand.
        if name == REVIEW or not path.is_file():
            continue
        if _hash(path.read_bytes()) not in (record.get(name), _hash(text.encode())):
            copies.append((name, _free_name(folder, name)))
    return tuple(copies)


def _free_name(folder: ReviewFolder, name: str) -> str:
    """``script.edited.md``, or ``script.edited-2.md`` where that exists."""
    stem, _, suffix = name.rpartition(".")
    names = (f"{stem}.edited{'' if n == 1 else f'-{n}'}.{suffix}" for n in count(1))
    return next(n for n in names if not folder.file(n).exists())


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
