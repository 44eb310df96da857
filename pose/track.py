"""PoseTrack: where the body was, sample by sample. The one type that leaves ``pose/``.

Times are seconds from the first presented frame of the clip. Positions are pixels of the
picture as shown (rotation applied), x to the right and y down. Raw: nothing is filtered or
filled in here; :mod:`pose.signals.compute` does that, so a track on disk is what the model saw.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.typing import ArrayLike, NDArray

from pose import landmarks as lm
from pose.errors import TrackError
from pose.persons import People, people_from_json, people_to_json

Floats = NDArray[np.float64]

# Goes up when stored columns change their meaning; part of the cache key.
TRACK_VERSION = 1

# Where along the hip-to-shoulder chord the outline of the trunk is read (0 hips, 1 shoulders). It
# starts below the hips, because the hollow of the lower back ends there. A fortieth of the chord
# apart: one or two pixels on a trunk of 70.
BACK_FRACTIONS: Floats = np.linspace(-0.15, 1.0, 47)


@dataclass(frozen=True)
class ClipInfo:
    """What is known of the clip itself.

    Attributes
    ----------
    frame_rate : float
        Mean frames per second, without holes. For information; times never come from it.
    rotation_deg : int
        Rotation that was applied to show the picture upright, clockwise.
    """

    name: str
    sha256: str = ""
    duration_s: float = 0.0
    frame_rate: float = 0.0
    variable_frame_rate: bool = False
    width: int = 0
    height: int = 0
    rotation_deg: int = 0


@dataclass(frozen=True)
class Extraction:
    """How the body was found in the pictures of a clip.

    Attributes
    ----------
    model : str
        File name of the landmark model.
    model_id : str
        Start of the hash of its content, see :func:`pose.body.model.model_id`.
    runtime : str
        The library that ran it, with its version.
    sample_rate_hz : float
        About how many pictures a second were looked at.
    max_side_px : int
        Longer side of the pictures as they were looked at.
    look_version : int
        See :data:`pose.extract.chunks.TRACKING_VERSION`.
    """

    model: str
    model_id: str
    runtime: str
    sample_rate_hz: float
    max_side_px: int
    look_version: int


@dataclass(frozen=True, eq=False)
class PoseTrack:
    """Body landmarks and trunk outline over time.

    Attributes
    ----------
    times_s : (n,) float64
        Strictly increasing presentation times, seconds. Spacing need not be even.
    xy_px : (n, 33, 2) float64
        Landmarks in pixels of the shown picture; NaN where no person was found.
    world_m : (n, 33, 3) float64
        Landmarks in metres around the middle of the hips: x right in the picture, y down,
        z away from the camera; NaN where unknown. Depth is the model's estimate.
    visibility : (n, 33) float64
        0-1, the model's own estimate. It stays near 1 for hidden hips and shoulders.
    outline : (n, 2, 47) float32
        Distance from the hip-to-shoulder chord to the edge of the body, perpendicular to the
        chord, at ``BACK_FRACTIONS``, in chord lengths; ``[:, 0]`` towards the side that is on
        the left when looking from the hips to the shoulders in the picture, ``[:, 1]`` towards
        the right. The chord is that of the raw landmarks of the same sample. NaN where unknown.
    clip : ClipInfo
    extraction : Extraction or None
        None for joints of another source, and for tracks kept before this was written down.
    people : People or None
        Who is in the clip and who of them this is; None for joints of another source.
    """

    times_s: Floats
    xy_px: Floats
    world_m: Floats
    visibility: Floats
    outline: NDArray[np.float32]
    clip: ClipInfo
    extraction: Extraction | None = None
    people: People | None = None

    def __post_init__(self) -> None:
        n = len(self.times_s)
        expected = {
            "times_s": (n,),
            "xy_px": (n, lm.COUNT, 2),
            "world_m": (n, lm.COUNT, 3),
            "visibility": (n, lm.COUNT),
            "outline": (n, 2, len(BACK_FRACTIONS)),
        }
        for name, shape in expected.items():
            found = np.shape(getattr(self, name))
            if found != shape:
                raise TrackError(f"track: {name} should have shape {shape}, but has {found}")
        if n and not (np.diff(self.times_s) > 0).all():
            raise TrackError("track: times_s must increase from sample to sample")

    def __len__(self) -> int:
        return len(self.times_s)

    @property
    def present(self) -> NDArray[np.bool_]:
        """(n,) True where a person was found."""
        return np.asarray(np.isfinite(self.xy_px[:, lm.HIPS[0], 0]))

    def between(self, start_s: float, end_s: float) -> PoseTrack:
        """The samples with ``start_s <= time < end_s``."""
        keep = (self.times_s >= start_s) & (self.times_s < end_s)
        return PoseTrack(
            self.times_s[keep],
            self.xy_px[keep],
            self.world_m[keep],
            self.visibility[keep],
            self.outline[keep],
            self.clip,
            self.extraction,
            self.people,
        )

    @classmethod
    def from_joints(
        cls,
        times_s: ArrayLike,
        joints: ArrayLike,
        names: Sequence[str],
        *,
        yaw_deg: float = 0.0,
        pixels_per_unit: float = 300.0,
        name: str = "joints",
    ) -> PoseTrack:
        """Make a track from the joint positions of another source, such as motion capture.

        Parameters
        ----------
        times_s : (n,) array_like
            Seconds, increasing.
        joints : (n, J, 2) or (n, J, 3) array_like
            2-D: pixels, y down. 3-D: any length unit, axes (person's left, up, front) for a
            person who faces the front; seen by a distant camera at `yaw_deg`.
        names : sequence of str, length J
            From :data:`pose.landmarks.NAMES`. Shoulders, hips, knees and ankles are needed;
            landmarks not given stay NaN.
        yaw_deg : float
            3-D only: 0 looks at the person's front, 90 at the left side.
        pixels_per_unit : float
            3-D only: size of one length unit in the picture.

        Raises
        ------
        TrackError
            Wrong shapes, unknown or missing names, times that do not increase.
        """
        t = np.asarray(times_s, dtype=np.float64)
        given = np.asarray(joints, dtype=np.float64)
        if given.ndim != 3 or given.shape[2] not in (2, 3):
            raise TrackError(f"joints should have shape (n, J, 2) or (n, J, 3), got {given.shape}")
        if given.shape[:2] != (len(t), len(names)):
            raise TrackError(
                f"joints of shape {given.shape} do not match {len(t)} times, {len(names)} names"
            )
        unknown = [n for n in names if n not in lm.INDEX]
        if unknown:
            raise TrackError(f"unknown joint names: {', '.join(unknown)}")
        needed = {lm.NAMES[i] for i in (*lm.SHOULDERS, *lm.HIPS, *lm.KNEES, *lm.ANKLES)}
        missing = sorted(needed - set(names))
        if missing:
            raise TrackError(f"joints needed but not given: {', '.join(missing)}")

        n = len(t)
        order = [lm.INDEX[x] for x in names]
        xy = np.full((n, lm.COUNT, 2), np.nan)
        world = np.full((n, lm.COUNT, 3), np.nan)
        if given.shape[2] == 2:
            xy[:, order] = given
        else:
            yaw = np.radians(yaw_deg)
            left, up, front = np.moveaxis(given, 2, 0)
            # The person's left is on the picture's right when the camera faces the person.
            right_in_picture = left * np.cos(yaw) - front * np.sin(yaw)
            away = -(left * np.sin(yaw) + front * np.cos(yaw))
            world[:, order] = np.stack([right_in_picture, -up, away], axis=2)
            world -= world[:, list(lm.HIPS)].mean(axis=1, keepdims=True)
            xy[:, order] = pixels_per_unit * np.stack([right_in_picture, -up], axis=2)
        visibility = np.where(np.isfinite(xy[..., 0]), 1.0, 0.0)
        outline = np.full((n, 2, len(BACK_FRACTIONS)), np.nan, dtype=np.float32)
        duration = float(t[-1] - t[0]) if n else 0.0
        rate = (n - 1) / duration if duration > 0 else 0.0
        info = ClipInfo(name=name, duration_s=duration, frame_rate=rate)
        return cls(t, xy, world, visibility, outline, info)

    def write_parquet(self, path: Path) -> None:
        """Write to Parquet, one row a sample; the file appears whole or not at all."""
        n = len(self)

        def block(a: NDArray[Any]) -> pa.Array:
            flat = np.ascontiguousarray(a, dtype=np.float32).reshape(n, math.prod(a.shape[1:]))
            return pa.FixedSizeListArray.from_arrays(pa.array(flat.ravel()), flat.shape[1])

        meta = {
            "takeproof_track": str(TRACK_VERSION),
            "clip": json.dumps(asdict(self.clip)),
        }
        if self.extraction is not None:
            meta["extraction"] = json.dumps(asdict(self.extraction))
        if self.people is not None:
            meta["people"] = people_to_json(self.people)
        table = pa.table(
            {
                "time_s": self.times_s,
                "xy_px": block(self.xy_px),
                "world_m": block(self.world_m),
                "visibility": block(self.visibility),
                "outline": block(self.outline),
            },
            metadata=meta,
        )
        partial = path.with_name(path.name + ".part")
        # Values hardly repeat, but the first bytes of neighbours are alike: this halves the file.
        pq.write_table(
            table, partial, compression="zstd", use_dictionary=False, use_byte_stream_split=True
        )
        partial.replace(path)

    @classmethod
    def read_parquet(cls, path: Path) -> PoseTrack:
        """Read what :meth:`write_parquet` wrote.

        Raises
        ------
        TrackError
            Not a track, or one of another version.
        """
        try:
            table = pq.read_table(path)
        except (OSError, pa.ArrowInvalid) as error:
            raise TrackError(f"{path}: not a readable track; run the review again") from error
        meta = table.schema.metadata or {}
        if meta.get(b"takeproof_track", b"").decode() != str(TRACK_VERSION):
            raise TrackError(f"{path}: a track of another version; run the review again")
        try:
            clip = ClipInfo(**json.loads(meta[b"clip"]))
            how = meta.get(b"extraction")
            extraction = None if how is None else Extraction(**json.loads(how))
            who = meta.get(b"people")
            people = None if who is None else people_from_json(who)
        except (KeyError, TypeError, ValueError) as error:
            raise TrackError(f"{path}: a track of another version; run the review again") from error
        n = table.num_rows

        def block(name: str, *shape: int) -> Floats:
            flat = table[name].combine_chunks().flatten().to_numpy(zero_copy_only=False)
            return np.asarray(flat, dtype=np.float64).reshape(n, *shape)

        return cls(
            table["time_s"].to_numpy().astype(np.float64),
            block("xy_px", lm.COUNT, 2),
            block("world_m", lm.COUNT, 3),
            block("visibility", lm.COUNT),
            block("outline", 2, len(BACK_FRACTIONS)).astype(np.float32),
            clip,
            extraction,
            people,
        )
