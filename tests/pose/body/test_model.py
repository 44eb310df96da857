"""The bundle is made once, is the same everywhere, and its absence is explained in one line."""

from __future__ import annotations

import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from pose.body import model
from pose.errors import ModelError

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def at_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """The networks without fetching them; test_wheel has where they come from."""
    bundle = model.model_file()
    content = {name: model.network(bundle, name) for name in (model.DETECTOR, model.LANDMARKS)}
    monkeypatch.setattr(model, "networks", lambda files, sha256: content)


def test_bundle_is_built_once_into_the_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path / "new"))
    first = model.model_file()
    made_at = first.stat().st_mtime_ns
    assert first.is_relative_to(tmp_path) and model.is_bundle(first)
    assert model.model_file() == first and first.stat().st_mtime_ns == made_at
    assert [p.name for p in first.parent.iterdir()] == [first.name]
    with zipfile.ZipFile(first) as bundle:
        assert {i.compress_type for i in bundle.infolist()} == {zipfile.ZIP_STORED}


def test_same_bundle_whoever_builds_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ids = set()
    for name in ("a", "b"):
        monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path / name))
        ids.add(model.model_id(model.model_file()))
    assert len(ids) == 1 and len(ids.pop()) == 12


def test_two_may_build_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path))
    with ThreadPoolExecutor(2) as pool:
        paths = {job.result() for job in [pool.submit(model.model_file) for _ in range(2)]}
    assert len(paths) == 1 and model.is_bundle(paths.pop())


def test_broken_bundle_in_the_cache_is_rebuilt(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path))
    path = model.model_file()
    path.write_bytes(b"half a file")
    assert model.is_bundle(model.model_file())


def test_named_model_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = tmp_path / "own.task"
    own.write_bytes(model.model_file().read_bytes())
    monkeypatch.setenv("TAKEPROOF_MODEL", str(own))
    assert model.model_file() == own


@pytest.mark.parametrize("content", [None, b"", b"no zip"])
def test_named_model_that_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes | None
) -> None:
    own = tmp_path / "own.task"
    if content is not None:
        own.write_bytes(content)
    monkeypatch.setenv("TAKEPROOF_MODEL", str(own))
    with pytest.raises(ModelError, match="not a pose landmarker bundle; set TAKEPROOF_MODEL"):
        model.model_file()


def test_cache_that_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path / "file"))
    with pytest.raises(ModelError, match="set TAKEPROOF_CACHE to a folder that can be written"):
        model.model_file()


@pytest.mark.parametrize("at", [100, 1_000_000, 5_000_000])
def test_one_changed_byte_in_the_cache_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    monkeypatch.setenv("TAKEPROOF_CACHE", str(tmp_path))
    path = model.model_file()
    content = path.read_bytes()
    path.write_bytes(content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :])
    assert model.model_file().read_bytes() == content


def test_a_network_is_read_from_the_bundle() -> None:
    content = model.network(model.model_file(), model.DETECTOR)
    assert content[4:8] == b"TFL3"
    with pytest.raises(ModelError, match="not a usable pose model"):
        model.network(model.model_file(), "another.tflite")
