"""Music is heard once a clip, and listening can be stopped."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Event

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.music import listen as listening
from annotate.music.listen import listen
from pose.cache import CACHE_VARIABLE, delete_cached_clip
from pose.errors import Cancelled, ClipError

DEMO = Path(__file__).parents[3] / "clips" / "demo" / "harbour.mp4"
SHA = "0" * 64


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(CACHE_VARIABLE, str(tmp_path))


def test_the_second_time_the_sound_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    first = listen(DEMO, SHA)
    monkeypatch.setattr(listening, "sound", lambda clip: pytest.fail("read again"))
    assert listen(DEMO, SHA) == first


def test_a_clip_that_is_forgotten_is_heard_anew(tmp_path: Path) -> None:
    listen(DEMO, SHA)
    assert list((tmp_path / "music").iterdir())
    delete_cached_clip(SHA)
    assert not list((tmp_path / "music").iterdir())


def test_damaged_memory_is_no_memory(tmp_path: Path) -> None:
    first = listen(DEMO, SHA)
    (kept,) = (tmp_path / "music").iterdir()
    kept.write_text('[{"unheard": 1}]')
    assert listen(DEMO, SHA) == first


def test_listening_stops_when_told(tmp_path: Path) -> None:
    stop = Event()
    stop.set()
    with pytest.raises(Cancelled):
        listen(DEMO, SHA, stop)
    assert not (tmp_path / "music").exists()


def test_sound_that_cannot_be_read_is_told_and_not_cached(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(clip: Path) -> Iterator[NDArray[np.float32]]:
        raise ClipError(f"{clip.name}: the sound cannot be read")

    monkeypatch.setattr(listening, "sound", broken)
    beats, (notice,) = listen(DEMO, SHA)
    assert beats == ()
    assert (notice.code, notice.origin) == ("sound", "footage")
    assert "harbour.mp4: the sound cannot be read" in notice.text
    assert not (tmp_path / "music").exists()


def test_where_nothing_can_be_cached_the_music_is_heard_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "music").write_text("a file where the folder should be")
    monkeypatch.setattr(listening, "sound", lambda clip: iter(()))
    assert listen(DEMO, SHA) == ((), ())
