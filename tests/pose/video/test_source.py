"""Clips read through fsspec are the same clips; what cannot be read is refused in one line."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from pose.errors import ClipError
from pose.extract.parallel import extract
from pose.video.decode import frames
from pose.video.probe import probe
from pose.video.source import StoredClip, is_address, name_of
from tests.pose.conftest import MakeClip

EVEN_MS = [33 * i for i in range(40)]


def test_a_colon_makes_no_address() -> None:
    assert not is_address("take:2.mp4") and not is_address(Path("a/b.mp4"))
    assert is_address("s3://bucket/take.mp4")
    assert name_of("s3://bucket/week 3/take.mp4") == "take.mp4" == name_of(Path("week 3/take.mp4"))


def test_a_clip_in_a_store_is_the_same_clip(make_clip: MakeClip) -> None:
    fsspec = pytest.importorskip("fsspec", reason="comes with the extra 'cluster'")
    path = make_clip(EVEN_MS)
    with fsspec.open("memory://week/take.mp4", "wb") as file:
        file.write(path.read_bytes())
    there, here = probe("memory://week/take.mp4"), probe(path)
    assert there.info.sha256 == here.info.sha256 and there.info.name == "take.mp4"
    np.testing.assert_array_equal(there.times_s, here.times_s)
    a, b = (
        [f.rgb for f in frames(s, sample_rate_hz=15, start_s=0.5)]
        for s in ("memory://week/take.mp4", path)
    )
    np.testing.assert_array_equal(a, b)
    assert len(extract("memory://week/take.mp4", cache=False)) == len(extract(path, cache=False))


def test_nothing_there_is_one_line() -> None:
    pytest.importorskip("fsspec", reason="comes with the extra 'cluster'")
    with pytest.raises(ClipError, match="memory://week/none.mp4: no such file"):
        probe("memory://week/none.mp4")


def test_an_unknown_protocol_is_one_line() -> None:
    with pytest.raises(ClipError) as caught:
        probe("nonsense://week/take.mp4")
    assert str(caught.value).startswith("nonsense://week/take.mp4: ")
    assert "\n" not in str(caught.value)


@pytest.fixture
def store(monkeypatch: pytest.MonkeyPatch) -> dict[str, bytes]:
    """A stand-in for fsspec with one store in memory."""
    kept: dict[str, bytes] = {}

    @contextmanager
    def content(address: str) -> Iterator[BytesIO]:
        if address not in kept:
            raise FileNotFoundError(2, "No such file or directory", address)
        yield BytesIO(kept[address])

    def read(address: str, mode: str, block_size: int) -> AbstractContextManager[BytesIO]:
        assert mode == "rb" and block_size > 0
        if not address.startswith("harbour://"):
            raise ValueError(f"Protocol not known: {address.split(':')[0]}")
        return content(address)

    monkeypatch.setitem(sys.modules, "fsspec", SimpleNamespace(open=read))
    return kept


def test_any_store_that_opens_a_file_will_do(make_clip: MakeClip, store: dict[str, bytes]) -> None:
    path = make_clip(EVEN_MS)
    store["harbour://pier/take.mp4"] = path.read_bytes()
    there, here = probe("harbour://pier/take.mp4"), probe(path)
    assert there.info == replace(here.info, name="take.mp4")
    np.testing.assert_array_equal(
        [f.rgb for f in frames("harbour://pier/take.mp4", sample_rate_hz=15)],
        [f.rgb for f in frames(path, sample_rate_hz=15)],
    )


@pytest.mark.usefixtures("store")
@pytest.mark.parametrize(
    ("address", "line"),
    [
        ("harbour://pier/none.mp4", "no such file; check the name and the folder"),
        (
            "quay://pier/take.mp4",
            "Protocol not known: quay; give a path or an address fsspec knows",
        ),
    ],
)
def test_an_address_with_nothing_behind_it_is_one_line(address: str, line: str) -> None:
    with pytest.raises(ClipError) as caught:
        probe(address)
    assert str(caught.value) == f"{address}: {line}"


def test_without_fsspec_an_address_is_refused_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "fsspec", None)
    with pytest.raises(ClipError, match="harbour://pier/take.mp4: cannot be read .* install what"):
        probe("harbour://pier/take.mp4")


def test_a_stored_clip_is_read_by_our_name_and_told_by_its_owners(
    make_clip: MakeClip, tmp_path: Path
) -> None:
    path = make_clip(EVEN_MS, name="0017.mp4")
    stored = StoredClip(path, "pier take 3.mp4")
    assert not is_address(stored) and name_of(stored) == "pier take 3.mp4"
    assert probe(stored).info == replace(probe(path).info, name="pier take 3.mp4")
    with pytest.raises(ClipError) as caught:
        probe(StoredClip(tmp_path / "gone.mp4", "pier take 3.mp4"))
    assert str(caught.value).startswith("pier take 3.mp4: no such file")
