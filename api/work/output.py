"""Write a review and its script into a folder: each file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path

from annotate.compare.sheet import sheet_csv, sheet_markdown
from annotate.review.model import Review
from annotate.script.build import Script
from annotate.script.captions import script_srt, script_webvtt
from annotate.script.markdown import script_markdown
from api.errors import OutputError
from pose.track import PoseTrack

# What the camera saw, kept beside the review so that corrections need no video.
TRACK_NAME = "track.parquet"


def write_review(
    review: Review,
    script: Script,
    folder: Path,
    track: PoseTrack | None = None,
    captions: Path | None = None,
) -> list[Path]:
    """Write ``review.json``, the script in its formats and the coach's sheet.

    The track and the captions are kept beside them, so that corrections need nothing else.

    Raises
    ------
    OutputError
        The folder cannot be made or written to.
    """
    texts = {
        "review.json": review.to_json(),
        "script.md": script_markdown(script),
        "script.json": script.model_dump_json(by_alias=True, indent=1),
        "script.vtt": script_webvtt(script),
        "script.srt": script_srt(script),
        "script.last-take.vtt": script_webvtt(script, "delivered"),
        "sheet.md": sheet_markdown(review),
        "sheet.csv": sheet_csv(review.sheet),
    }
    written = write_texts(texts, folder)
    if track is not None:
        try:
            track.write_parquet(folder / TRACK_NAME)
        except OSError as error:
            raise OutputError(f"{folder}: cannot be written to ({_reason(error)})") from error
        written.append(folder / TRACK_NAME)
    if captions is not None:
        kept = f"captions{captions.suffix.lower()}"
        write_texts({kept: captions.read_bytes().decode("utf-8-sig", "replace")}, folder)
    return written


def kept_captions(folder: Path) -> Path | None:
    """The captions kept beside a review, if any."""
    return next(iter(sorted(folder.glob("captions.*"))), None)


def write_texts(texts: Mapping[str, str], folder: Path) -> list[Path]:
    """Write named texts into a folder; existing ones are replaced only when all are ready.

    Raises
    ------
    OutputError
        The folder cannot be made or written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with ExitStack() as undo:
            ready: list[tuple[str, Path]] = []
            for name, text in texts.items():
                handle, temporary = tempfile.mkstemp(prefix=f".{name}.", dir=folder)
                undo.callback(Path(temporary).unlink, missing_ok=True)
                with open(handle, "w", encoding="utf-8") as file:
                    file.write(text if text.endswith("\n") else text + "\n")
                    file.flush()
                    os.fsync(file.fileno())
                os.chmod(temporary, 0o666 & ~_umask())
                ready.append((temporary, folder / name))
            for temporary, target in ready:
                os.replace(temporary, target)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written to ({_reason(error)})") from error
    return [folder / name for name in texts]


def check_folder(folder: Path) -> None:
    """Refuse, before any long work, a folder that could not be written to afterwards.

    Raises
    ------
    OutputError
        A file is in the way, or the nearest existing parent is not writable.
    """
    nearest = folder
    while not nearest.exists() and nearest != nearest.parent:
        nearest = nearest.parent
    if not nearest.is_dir():
        raise OutputError(f"{nearest}: is a file, not a folder; name another with --out")
    if not os.access(nearest, os.W_OK):
        raise OutputError(f"{nearest}: cannot be written to; name another folder with --out")


def _umask() -> int:
    """The process's mask; reading it means setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
