"""Clips read through fsspec are the same clips; what cannot be read is refused in one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pose.errors import ClipError
from pose.extract.parallel import extract
from pose.video.decode import frames
from pose.video.probe import probe
from pose.video.source import is_address, name_of
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
