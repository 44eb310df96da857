"""One plain line for whatever is no clip."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest

from pose.errors import ClipError
from pose.video import refusals as module
from pose.video.probe import probe
from tests.made_clip import quadrants
from tests.pose.conftest import MakeClip

EVEN_MS = [round(1000 * i / 30) for i in range(60)]


def refusal(path: Path) -> str:
    with pytest.raises(ClipError) as caught:
        probe(path)
    line = str(caught.value)
    assert "\n" not in line and line.startswith(str(path))
    return line


def test_missing_file(tmp_path: Path) -> None:
    assert "no such file" in refusal(tmp_path / "nowhere.mp4")


def test_folder(tmp_path: Path) -> None:
    assert "a folder" in refusal(tmp_path)


def test_empty_file(tmp_path: Path) -> None:
    (tmp_path / "empty.mp4").touch()
    assert "empty" in refusal(tmp_path / "empty.mp4")


def test_text_named_as_video(tmp_path: Path) -> None:
    path = tmp_path / "notes.mp4"
    path.write_text("4 x 30 s squats, 30 s march\n" * 50)
    assert "not a video" in refusal(path)


def test_plain_text_is_not_read_as_pictures(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("4 x 30 s squats, 30 s march\n" * 50)
    assert "not a video" in refusal(path)


def test_still_picture(tmp_path: Path) -> None:
    import cv2

    path = tmp_path / "still.png"
    cv2.imwrite(str(path), quadrants())
    assert "not a video" in refusal(path)


def test_recording_cut_off_before_its_index(make_clip: MakeClip) -> None:
    path = make_clip(EVEN_MS)
    content = path.read_bytes()
    path.write_bytes(content[: content.index(b"moov") - 4])
    assert "incomplete" in refusal(path)


def test_audio_only(tmp_path: Path) -> None:
    path = tmp_path / "sound.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=44100)
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 1024), np.float32), "fltp", "mono")
        frame.rate = 44100
        container.mux(stream.encode(frame))
        container.mux(stream.encode())
    assert "no video in this file, only audio" in refusal(path)


def test_apple_double_sidecar(tmp_path: Path) -> None:
    path = tmp_path / "._take.mp4"
    path.write_bytes(b"\x00\x05\x16\x07\x00\x02\x00\x00" + b"\0" * 100)
    line = refusal(path)
    assert "sidecar" in line and line.endswith("choose take.mp4")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "take.mp4"
    path.write_bytes(b"1234")

    def forbidden(source: Path) -> None:
        raise PermissionError(13, "Permission denied", str(source))

    monkeypatch.setattr(module, "open_bytes", forbidden)
    assert refusal(path) == f"{path}: cannot be read (Permission denied)"


@pytest.mark.parametrize("last", [1, 0], ids=["a large box", "a box to the end"])
def test_boxes_of_every_kind_are_walked_through(tmp_path: Path, last: int) -> None:
    # ISO/IEC 14496-12, 4.2: size 1 means that the true one follows in eight bytes, 0 that the box
    # goes on to the end of the file.
    start = (16).to_bytes(4, "big") + b"ftypisom" + bytes(4)
    size = (24).to_bytes(8, "big") if last == 1 else b""
    path = tmp_path / "take.mp4"
    path.write_bytes(start + last.to_bytes(4, "big") + b"mdat" + size + bytes(8))
    assert "incomplete (its index is missing" in refusal(path)
