"""Single pictures at given times: the right one, whole, however far apart they are."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from pose.errors import ClipError
from pose.video import stills
from pose.video.stills import pictures_at
from tests.made_clip import Picture, quadrants
from tests.pose.conftest import MakeClip

STEP_MS = 100


def grey(level: int) -> Picture:
    return np.full((48, 64, 3), level, dtype=np.uint8)


@pytest.fixture
def clip(make_clip: MakeClip) -> Path:
    """25 s, ten pictures a second, a key frame each second; each second is a little brighter."""
    levels = [10 + 9 * (i // 10) for i in range(250)]
    return make_clip([STEP_MS * i for i in range(250)], pictures=[grey(v) for v in levels],
                     key_every=10)  # fmt: skip


def seen(clip: Path, times_s: Sequence[float]) -> list[tuple[float, int] | None]:
    """Time of each picture, and the second that its brightness tells."""
    return [
        p and (round(p.time_s, 3), round((float(p.rgb.mean()) - 10) / 9))
        for p in pictures_at(clip, times_s)
    ]


def test_the_first_picture_at_or_after_each_time(clip: Path) -> None:
    assert seen(clip, [0.0, 3.05, 3.1, 7.4999]) == [(0.0, 0), (3.1, 3), (3.1, 3), (7.5, 7)]


def test_a_stamp_rounded_in_the_file_is_still_on_time(make_clip: MakeClip) -> None:
    # A third of a second is stored as 333 ms.
    found = seen(make_clip([0, 333, 667, 1000]), [1 / 3])
    assert found[0] is not None and found[0][0] == 0.333


def test_the_same_picture_may_be_asked_for_twice(clip: Path) -> None:
    first, second = pictures_at(clip, [5.0, 5.0])
    assert first is not None and second is not None
    np.testing.assert_array_equal(first.rgb, second.rgb)


@pytest.mark.parametrize("beyond_s", [0.5, 10.0, 1000.0])
def test_seeking_and_decoding_on_give_the_same(
    clip: Path, beyond_s: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stills, "_MIN_SEEK_S", beyond_s)
    assert seen(clip, [1.2, 12.3, 24.0]) == [(1.2, 1), (12.3, 12), (24.0, 24)]


def test_behind_the_last_picture_there_is_none(clip: Path) -> None:
    assert seen(clip, [24.8, 26.0, 27.0]) == [(24.8, 24), None, None]


def test_pictures_are_whole_and_upright(make_clip: MakeClip) -> None:
    path = make_clip([0, 100], pictures=[quadrants(1000, 800)] * 2, rotation_deg=90)
    (picture,) = pictures_at(path, [0.0])
    assert picture is not None and picture.rgb.shape == (1000, 800, 3)
    assert picture.rgb[5, 5] == pytest.approx((10, 10, 250), abs=30)


def test_no_clip_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="no such file"):
        next(pictures_at(tmp_path / "none.mp4", [0.0]))
