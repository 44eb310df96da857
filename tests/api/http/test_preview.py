"""Clips a browser does not play get a copy that it does, on the same clock."""

from __future__ import annotations

from pathlib import Path

import av
import pytest

from api.http.preview import every_browser_plays, write_preview
from pose.video.decode import frames
from pose.video.probe import probe
from tests.api.old_camera import DEMO, write_old_avi
from tests.made_clip import quadrants, write_clip

SHORT = Path(__file__).parents[3] / "clips" / "short" / "squat-side.mp4"


@pytest.fixture(scope="module")
def avi(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("clips") / "old.avi"
    write_old_avi(path)
    return path


def test_what_every_browser_plays_is_recognised(avi: Path, tmp_path: Path) -> None:
    assert every_browser_plays(SHORT) and every_browser_plays(DEMO)
    assert not every_browser_plays(avi)
    (tmp_path / "no.mp4").write_text("no video")
    assert not every_browser_plays(tmp_path / "no.mp4")


def test_the_copy_is_played_and_keeps_the_clock(avi: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.mp4"
    reported: list[float] = []
    write_preview(avi, copy, 2.0, reported.append)
    assert every_browser_plays(copy)
    assert reported == sorted(reported) and 0.9 < reported[-1] <= 1
    given = [f.time_s for f in frames(avi, sample_rate_hz=15)]
    assert [f.time_s for f in frames(copy, sample_rate_hz=15)] == pytest.approx(given, abs=1e-3)
    assert probe(copy).info.duration_s == pytest.approx(2, abs=0.15)
    with av.open(str(copy)) as container:
        (voice,) = container.streams.audio
        assert float(voice.duration * voice.time_base) == pytest.approx(2, abs=0.2)


def test_stopping_leaves_no_file(avi: Path, tmp_path: Path) -> None:
    def stop(part: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_preview(avi, tmp_path / "copy.mp4", 2.0, stop)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("size", "copied"), [((1, 1), (2, 2)), ((7, 4), (8, 4)), ((4, 7), (4, 8))])
def test_odd_sides_are_made_even_and_nothing_is_cut_off(
    tmp_path: Path, size: tuple[int, int], copied: tuple[int, int]
) -> None:
    clip = write_clip(
        tmp_path / "odd.mkv", [0, 100], [quadrants(*size)] * 2, codec="ffv1", kind="bgr0"
    )
    copy = tmp_path / "copy.mp4"
    write_preview(clip, copy, 0.2, lambda fraction: None)
    info = probe(copy).info
    assert (info.width, info.height) == copied
    assert every_browser_plays(copy)
