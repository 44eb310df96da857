"""A short clip with many key frames, and a look at its chunks that leaves notes."""

from __future__ import annotations

import os
import time
from pathlib import Path

import av

from pose.extract.chunks import Piece, Task, track_chunk

SHORT = Path(__file__).parents[2] / "clips" / "short"
# Where workers leave their notes.
NOTES = "TAKEPROOF_TEST_NOTES"


def with_key_frames(path: Path, name: str = "hinge-flat-side.mp4") -> Path:
    """A short clip encoded again with a key frame each second."""
    with av.open(str(SHORT / name)) as source, av.open(str(path), "w") as target:
        pictures = source.streams.video[0]
        options = {"preset": "ultrafast", "crf": "20"}
        stream = target.add_stream("libx264", rate=pictures.average_rate, options=options)
        stream.width, stream.height, stream.pix_fmt = pictures.width, pictures.height, "yuv420p"
        stream.codec_context.gop_size = round(pictures.average_rate)
        for picture in source.decode(pictures):
            picture.pict_type = 0
            target.mux(stream.encode(picture))
        target.mux(stream.encode())
    return path


def noted_chunk(task: Task) -> Piece:
    """As :func:`pose.extract.chunks.track_chunk`, telling who began and ended which chunk."""
    _note("began", task)
    piece = track_chunk(task)
    _note("ended", task)
    return piece


def _note(what: str, task: Task) -> None:
    with open(os.environ[NOTES], "a") as file:
        file.write(f"{what} {task.chunk.start_s:g} {os.getpid()}\n")


def notes() -> list[tuple[str, str, int]]:
    """What was noted so far: began or ended, which chunk, which process."""
    path = Path(os.environ[NOTES])
    lines = path.read_text().splitlines() if path.exists() else []
    return [(w, c, int(p)) for w, c, p in (line.split() for line in lines)]


# A result takes a moment from the worker to us; until then only the worker has it.
_HANDED_OVER_S = 0.3


def wait_for_work(pids: set[int], *, seconds: float = 60) -> int:
    """One of the processes that is in the middle of a chunk, when others have been ended."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        before = notes()
        time.sleep(_HANDED_OVER_S)
        for pid in pids:
            own = [note for note in before if note[2] == pid]
            begun = (
                bool(own)
                and own[-1][0] == "began"
                and own == [note for note in notes() if note[2] == pid]
            )
            if begun and any(what == "ended" for what, _, _ in before):
                return pid
    raise TimeoutError("no worker was seen at work")
