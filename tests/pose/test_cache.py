"""The cache folder keeps its size, its files appear whole, and a clip's files can be deleted."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pose.cache import atomic_write, cache_dir, delete_cached_clip, limit_size


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path / "cache"))


def sized(folder: Path, name: str, size: int, age_s: float) -> Path:
    path = folder / name
    path.write_bytes(b"x" * size)
    os.utime(path, (time.time() - age_s,) * 2)
    return path


def test_what_was_not_used_for_longest_goes_first(tmp_path: Path) -> None:
    old, new, newer = (sized(tmp_path, n, 40, a) for n, a in (("a", 300), ("b", 200), ("c", 100)))
    limit_size(tmp_path, 100)
    assert not old.exists() and new.exists() and newer.exists()


def test_what_a_dead_process_left_goes_after_a_day(tmp_path: Path) -> None:
    for name, age_s in ((".making-old", 90_000.0), (".making-new", 60.0)):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "half").touch()
        os.utime(folder, (time.time() - age_s,) * 2)
    limit_size(tmp_path, 100)
    assert [p.name for p in tmp_path.iterdir()] == [".making-new"]


def test_a_file_that_another_process_deletes_meanwhile_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = sized(tmp_path, "kept", 40, 100)
    listed = Path.iterdir

    def one_more(folder: Path) -> Iterator[Path]:
        yield folder / "gone"
        yield from listed(folder)

    monkeypatch.setattr(Path, "iterdir", one_more)
    limit_size(tmp_path, 10)
    assert not kept.exists()


def test_the_folder_is_the_named_one_or_the_platforms_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert cache_dir() == tmp_path / "cache"
    monkeypatch.delenv("TAKEPROOF_CACHE")

    def platforms_own(name: str, **_: Any) -> Path:
        return tmp_path / "home" / name

    monkeypatch.setattr("pose.cache.platformdirs.user_cache_path", platforms_own)
    assert cache_dir() == tmp_path / "home" / "takeproof"


def test_a_file_appears_whole(tmp_path: Path) -> None:
    path = tmp_path / "new" / "take.json"
    with atomic_write(path) as partial:
        partial.write_text("half")
        assert not path.exists()
    assert path.read_text() == "half"
    assert [p.name for p in path.parent.iterdir()] == ["take.json"]


def test_who_reads_the_old_file_reads_it_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "take.json"
    path.write_text("the old file")
    with path.open("rb", buffering=0) as reader:
        assert reader.read(4) == b"the "
        with atomic_write(path) as partial:
            partial.write_text("another")
        assert reader.read() == b"old file"
    assert path.read_text() == "another"


def test_a_file_given_up_leaves_the_old_one_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "take.json"
    path.write_text("old")
    with pytest.raises(RuntimeError), atomic_write(path) as partial:
        partial.write_text("half")
        raise RuntimeError
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["take.json"]


def test_everything_of_one_clip_is_deleted_and_nothing_of_another() -> None:
    this, other = "a" * 64, "b" * 64
    files = [
        cache_dir() / folder / f"{sha256[:32]}-made.parquet"
        for folder in ("tracks", "sounds")
        for sha256 in (this, other)
    ]
    for path in files:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    delete_cached_clip(this)
    assert [path.exists() for path in files] == [False, True, False, True]


@pytest.mark.parametrize("sha256", ["", "*", "a" * 31, "?" * 64, "../" * 20])
def test_what_is_no_hash_deletes_nothing(sha256: str) -> None:
    kept = cache_dir() / "tracks" / ("a" * 32 + "-made.parquet")
    kept.parent.mkdir(parents=True)
    kept.touch()
    delete_cached_clip(sha256)
    assert kept.exists()
