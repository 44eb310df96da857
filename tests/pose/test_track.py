"""The track type: what goes in comes out, and wrong shapes are named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.errors import TrackError
from pose.track import BACK_FRACTIONS, ClipInfo, Extraction, PoseTrack

NEEDED = [lm.NAMES[i] for i in (*lm.SHOULDERS, *lm.HIPS, *lm.KNEES, *lm.ANKLES)]
# A person 1.7 m tall who faces the front: (left, up, front), left side first.
STANDING = np.array(
    [
        (s * w, up, 0.0)
        for w, up in ((0.2, 1.4), (0.1, 0.9), (0.1, 0.5), (0.1, 0.1))
        for s in (1, -1)
    ]
)

HOW = Extraction("pose.task", "0123456789ab", "runner 1.2", 15.0, 640, 2)


def random_track(n: int = 20) -> PoseTrack:
    rng = np.random.default_rng(1)
    xy = rng.uniform(0, 1000, (n, lm.COUNT, 2))
    xy[3] = np.nan
    return PoseTrack(
        np.cumsum(rng.uniform(0.03, 0.1, n)),
        xy,
        rng.normal(size=(n, lm.COUNT, 3)),
        rng.uniform(size=(n, lm.COUNT)),
        rng.normal(size=(n, 2, len(BACK_FRACTIONS))).astype(np.float32),
        ClipInfo("take.mp4", "ab" * 32, 1.5, 29.97, True, 720, 1280, 90),
        HOW,
    )


def test_parquet_round_trip(tmp_path: Path) -> None:
    track = random_track()
    track.write_parquet(tmp_path / "t.parquet")
    back = PoseTrack.read_parquet(tmp_path / "t.parquet")
    assert (back.times_s == track.times_s).all()
    assert back.clip == track.clip
    assert back.extraction == HOW
    for name in ("xy_px", "world_m", "visibility", "outline"):
        np.testing.assert_allclose(getattr(back, name), getattr(track, name), rtol=1e-6)
    assert [p.name for p in tmp_path.iterdir()] == ["t.parquet"]


def stored_with(path: Path, **metadata: str | None) -> Path:
    """A stored track with some of its metadata replaced, or taken away."""
    random_track().write_parquet(path)
    table = pq.read_table(path)
    kept = {k.decode(): v.decode() for k, v in table.schema.metadata.items()} | metadata
    told = {k: v for k, v in kept.items() if v is not None}
    pq.write_table(table.replace_schema_metadata(told), path)
    return path


def test_a_track_kept_before_it_told_how_it_was_made_is_still_read(tmp_path: Path) -> None:
    back = PoseTrack.read_parquet(stored_with(tmp_path / "t.parquet", extraction=None))
    assert back.extraction is None
    assert back.clip == random_track().clip and len(back) == 20


@pytest.mark.parametrize(
    "metadata",
    [
        {"extraction": "{"},
        {"extraction": '{"model": "x"}'},
        {"extraction": "[]"},
        {"clip": '{"name": "x", "colour": "red"}'},
        {"clip": None},
    ],
)
def test_a_track_that_tells_what_nobody_knows_is_one_line(
    tmp_path: Path, metadata: dict[str, str | None]
) -> None:
    path = stored_with(tmp_path / "t.parquet", **metadata)
    with pytest.raises(TrackError, match=r"t.parquet: a track of another version; run the review"):
        PoseTrack.read_parquet(path)


def test_empty_track_round_trip(tmp_path: Path) -> None:
    random_track().between(90, 91).write_parquet(tmp_path / "t.parquet")
    assert len(PoseTrack.read_parquet(tmp_path / "t.parquet")) == 0


@pytest.mark.parametrize("content", [b"", b"not parquet", b"PAR1"])
def test_unreadable_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "t.parquet").write_bytes(content)
    with pytest.raises(TrackError, match="run the review again"):
        PoseTrack.read_parquet(tmp_path / "t.parquet")


def test_foreign_parquet(tmp_path: Path) -> None:
    pq.write_table(pa.table({"a": [1]}), tmp_path / "t.parquet")
    with pytest.raises(TrackError, match="another version"):
        PoseTrack.read_parquet(tmp_path / "t.parquet")


def test_wrong_shape_is_named() -> None:
    with pytest.raises(TrackError, match="visibility should have shape"):
        replace(random_track(), visibility=np.zeros((20, 17)))


def test_times_must_increase() -> None:
    track = random_track()
    with pytest.raises(TrackError, match="increase"):
        replace(track, times_s=track.times_s[::-1])


def test_between_and_present() -> None:
    track = random_track()
    part = track.between(track.times_s[2], track.times_s[5])
    assert part.present.tolist() == [True, False, True]
    assert (part.clip, part.extraction) == (track.clip, HOW)


@pytest.mark.parametrize(
    ("yaw_deg", "left_shoulder"),
    [(0, (60, -420)), (90, (0, -420)), (180, (-60, -420)), (-90, (0, -420))],
)
def test_three_dimensional_joints_seen_from_a_yaw(
    yaw_deg: float, left_shoulder: tuple[float, float]
) -> None:
    track = PoseTrack.from_joints([0.0], STANDING[None], NEEDED, yaw_deg=yaw_deg)
    assert track.xy_px[0, lm.SHOULDERS[0]] == pytest.approx(left_shoulder, abs=1e-9)


def test_left_side_view_has_the_left_side_near_and_the_front_on_the_left() -> None:
    joints = STANDING.copy()
    joints[4:6, 2] = 0.3  # knees to the front
    track = PoseTrack.from_joints([0.0], joints[None], NEEDED, yaw_deg=90)
    left, right = lm.SHOULDERS
    assert track.world_m[0, left, 2] < track.world_m[0, right, 2]
    assert track.xy_px[0, lm.KNEES[0], 0] < track.xy_px[0, lm.HIPS[0], 0]


def test_two_dimensional_joints_are_pixels() -> None:
    joints = np.arange(16.0).reshape(1, 8, 2)
    track = PoseTrack.from_joints([0.0], joints, NEEDED)
    assert (track.xy_px[0, lm.SHOULDERS[1]] == (2, 3)).all()
    assert np.isnan(track.world_m).all() and np.isnan(track.xy_px[0, lm.NOSE]).all()
    assert track.extraction is None


@pytest.mark.parametrize(
    ("joints", "names", "message"),
    [
        (np.zeros((1, 8)), NEEDED, "shape"),
        (np.zeros((2, 8, 3)), NEEDED, "do not match 1 times"),
        (np.zeros((1, 8, 3)), ["tail", *NEEDED[1:]], "unknown joint names: tail"),
        (np.zeros((1, 7, 3)), NEEDED[1:], "needed but not given: left_shoulder"),
    ],
)
def test_wrong_joints_are_named(
    joints: NDArray[np.float64], names: list[str], message: str
) -> None:
    with pytest.raises(TrackError, match=message):
        PoseTrack.from_joints([0.0], joints, names)
