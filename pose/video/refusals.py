"""Why a file is no clip, in one line: checked before and after the decoder has tried it."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

from pose.errors import ClipError
from pose.video.source import Source, is_address, name_of, open_bytes

# First bytes of the sidecar files macOS leaves on foreign disks ("._take.mp4").
_APPLE_DOUBLE = b"\x00\x05\x16\x07"
# The index comes first or last of a handful of boxes; a file in fragments has one or two a second.
_MAX_BOXES = 1000


def check_file(path: Source) -> None:
    """Raise ClipError unless `path` is a file with something in it that may be a video."""
    if not is_address(path) and Path(path).is_dir():
        raise ClipError(f"{path}: a folder, not a file; choose one video file")
    try:
        with open_bytes(path) as file:
            head = file.read(4)
    except FileNotFoundError as error:
        raise ClipError(f"{path}: no such file; check the name and the folder") from error
    except OSError as error:
        raise ClipError(f"{path}: cannot be read ({error.strerror or error})") from error
    if not head:
        raise ClipError(f"{path}: the file is empty; copy it again")
    if head == _APPLE_DOUBLE:
        raise ClipError(
            f"{path}: a macOS sidecar without pictures; choose {name_of(path).removeprefix('._')}"
        )


def explain_refusal(path: Source, error: Exception) -> str:
    """One line for a file that the decoder cannot open.

    An MP4 without its index (the "moov" box) was cut off while recording or copying: cameras
    write the index last.
    """
    with open_bytes(path) as file:
        boxes = _top_level_boxes(file)
    if boxes[:1] == ["ftyp"] and "moov" not in boxes:
        return (
            f"{path}: the file is incomplete (its index is missing, the recording or the copy "
            "was cut off); copy it again from the camera"
        )
    reason = getattr(error, "strerror", None) or "unknown format"
    return f"{path}: not a video that can be opened ({reason}); choose an MP4, MOV, MKV or WebM"


def _top_level_boxes(file: BinaryIO) -> list[str]:
    """Names of the boxes of an ISO base media file (ISO/IEC 14496-12, 4.2), as far as they go."""
    names: list[str] = []
    position = 0
    while len(names) < _MAX_BOXES:
        file.seek(position)
        header = file.read(16)
        if len(header) < 8 or not header[4:8].isalnum():
            break
        names.append(header[4:8].decode("ascii", "replace"))
        size = int.from_bytes(header[:4], "big")
        if size == 1:  # the true size follows in eight bytes
            size = int.from_bytes(header[8:16], "big")
        if size < 8:  # 0: up to the end of the file
            break
        position += size
    return names
