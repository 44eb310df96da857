"""The mediapipe engine: the Tasks pose landmarker, opened quietly and read into plain arrays.

mediapipe 0.10.21 is the reference the other engine is measured against. Its networks lack the
description of their input that the Tasks interface needs: it is added once, into a bundle of its
own in the cache.
"""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.body.landmarker import Crop, Mask, Person, Window
from pose.body.model import DETECTOR, LANDMARKS, model_id, network, unusable
from pose.body.quiet import quiet
from pose.cache import atomic_write, cache_dir
from pose.errors import ModelError

# The mode for one person in a video smooths landmarks over time, with a lag: measured at 15
# pictures a second, it trails a 2 Hz movement of 30 px by 17 ms and 4.6 px. It goes by the time
# stamps, and stamps far apart switch it off (1 ms, 1.0 px). We filter later, without lag. The
# stamps only have to increase; nothing else in the graph uses them.
_STAMP_STEP_MS = 1_000_000
# An instructor and some of the class. Each further person takes 10 ms a picture.
_MAX_PEOPLE = 4
# Around the body, a fraction of its width and height that is left visible when all else is
# blanked out: hands and feet reach over the landmarks.
_MARGIN = 0.15
# Of the mask, which is as large as the picture.
_SAME_PIXELS = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
# What 0 and 255 mean to each network: -1 and 1, and 0 and 1 (its makers' graph files).
_INPUT_MEAN_AND_STD = {DETECTOR: (127.5, 127.5), LANDMARKS: (0.0, 255.0)}

# How a network with a description is recognised: the name of its entry.
_METADATA = b"TFLITE_METADATA"


class MediapipeLandmarker:
    """A :class:`pose.body.landmarker.Landmarker`.

    It holds two landmarkers, as the library has it: one tracks a person from picture to picture
    (about 12 ms each), the other searches each picture on its own (about 18 ms, and 10 ms for each
    further person).

    Parameters
    ----------
    model : Path
        Bundle from :func:`pose.body.model.model_file`.

    Raises
    ------
    ModelError
        Not a bundle with the two networks.
    """

    def __init__(self, model: Path) -> None:
        described = _described(model)
        self._tracker = _Opened(described, tracking=True)
        self._searcher = _Opened(described, tracking=False)

    def track(self, rgb: NDArray[np.uint8]) -> Person | None:
        """The tracked person; where lost, found again in the next picture at the earliest."""
        return next(iter(self._tracker.find(rgb)), None)

    def search(
        self, rgb: NDArray[np.uint8], window: Window | None = None, known: Sequence[Crop] = ()
    ) -> list[Person]:
        """Up to four people, known or not, without masks; whom it tracks does not change."""
        if window is None:
            return self._searcher.find(rgb)
        part = rgb[window.top : window.bottom, window.left : window.right]
        return [_placed(p, window, rgb) for p in self._searcher.find(np.ascontiguousarray(part))]

    def retarget(self, rgb: NDArray[np.uint8], person: Person) -> Person | None:
        """Make the tracker lose whom it tracks and track `person` instead.

        It is shown the picture with everything else blanked out.
        """
        height, width = rgb.shape[:2]
        low, high = person.xy.min(axis=0), person.xy.max(axis=0)
        margin = _MARGIN * (high - low)
        left, top = np.maximum(0, np.floor((low - margin) * (width, height))).astype(int)
        right, bottom = np.ceil((high + margin) * (width, height)).astype(int)
        alone = np.full_like(rgb, 128)
        alone[top:bottom, left:right] = rgb[top:bottom, left:right]
        # On the empty picture it loses the other person, on the next one it finds this one.
        self._tracker.find(np.full_like(rgb, 128))
        # Then the whole picture again, for a mask without the edge of the blank.
        return self.track(rgb) if self._tracker.find(alone) else None

    def reset(self) -> None:
        """Show it an empty picture: nobody is found in it, so the person is lost."""
        if self._tracker.used:
            # Its size does not matter.
            self._tracker.find(np.full((256, 256, 3), 128, dtype=np.uint8))

    def close(self) -> None:
        """Close both; the library warns where that is left to Python."""
        self._tracker.close()
        self._searcher.close()


class _Opened:
    """One landmarker of the library."""

    def __init__(self, described: Path, *, tracking: bool) -> None:
        with quiet():
            import mediapipe as mp
            from mediapipe.tasks.python import BaseOptions, vision

            self._image, self._format = mp.Image, mp.ImageFormat.SRGB
            mode = vision.RunningMode.VIDEO if tracking else vision.RunningMode.IMAGE
            options = vision.PoseLandmarkerOptions(
                base_options=BaseOptions(model_asset_path=str(described)),
                running_mode=mode,
                num_poses=1 if tracking else _MAX_PEOPLE,
                output_segmentation_masks=tracking,
            )
            try:
                self._landmarker = vision.PoseLandmarker.create_from_options(options)
            except (RuntimeError, ValueError) as error:
                raise unusable(described) from error
        self._tracking = tracking
        self._stamp_ms = 0
        self._found_any = False

    @property
    def used(self) -> bool:
        return self._stamp_ms > 0

    def find(self, rgb: NDArray[np.uint8]) -> list[Person]:
        """People in an (h, w, 3) RGB picture, the most certain first."""
        image = self._image(image_format=self._format, data=rgb)
        # Native code writes to standard error until it has found the first person.
        with nullcontext() if self._found_any else quiet():
            if self._tracking:
                self._stamp_ms += _STAMP_STEP_MS
                seen = self._landmarker.detect_for_video(image, self._stamp_ms)
            else:
                seen = self._landmarker.detect(image)
        self._found_any = self._found_any or bool(seen.pose_landmarks)
        masks = seen.segmentation_masks or [None] * len(seen.pose_landmarks)
        return [
            _person(*parts)
            for parts in zip(seen.pose_landmarks, seen.pose_world_landmarks, masks, strict=True)
        ]

    def close(self) -> None:
        with quiet():
            self._landmarker.close()


def _person(points: Any, world: Any, mask: Any) -> Person:
    xy = np.array([(p.x, p.y) for p in points], dtype=np.float64)
    assert xy.shape == (lm.COUNT, 2)
    presence = np.array([p.presence for p in points], dtype=np.float64)
    return Person(
        xy=xy,
        world_m=np.array([(p.x, p.y, p.z) for p in world], dtype=np.float64),
        visibility=np.array([p.visibility for p in points], dtype=np.float64),
        presence=presence,
        # The library does not pass on how likely there is a person at all.
        score=float(presence.mean()),
        # Copied, because the view is only valid as long as the result it came from.
        mask=None if mask is None else Mask(mask.numpy_view().copy(), _SAME_PIXELS),
        crop=None,
    )


def _placed(person: Person, window: Window, rgb: NDArray[np.uint8]) -> Person:
    """A person found in a part of a picture, in fractions of the whole."""
    height, width = rgb.shape[:2]
    part = (window.right - window.left, window.bottom - window.top)
    xy = (person.xy * part + (window.left, window.top)) / (width, height)
    return replace(person, xy=xy)


def _described(model: Path) -> Path:
    """The bundle with the description of the networks' input that Tasks needs; made once."""
    made = (
        cache_dir() / "model" / f"described-{model_id(model)}-mediapipe-{version('mediapipe')}.task"
    )
    if not made.is_file():
        try:
            with atomic_write(made) as partial, zipfile.ZipFile(partial, "w") as bundle:
                for name, (mean, std) in _INPUT_MEAN_AND_STD.items():
                    # ZipInfo has a fixed date, so the bytes are the same everywhere.
                    content = _with_input_described(network(model, name), mean, std)
                    bundle.writestr(zipfile.ZipInfo(name), content)
        except OSError as error:
            raise ModelError(
                f"{made}: the model cannot be stored here ({error.strerror}); "
                "set TAKEPROOF_CACHE to a folder that can be written"
            ) from error
    return made


def _with_input_described(content: bytes, mean: float, std: float) -> bytes:
    """Add the metadata that Tasks needs, unless the network has it."""
    if _METADATA in content:
        return content
    from mediapipe.tasks.python.metadata.metadata_writers.metadata_writer import MetadataWriter

    writer = MetadataWriter.create(bytearray(content))
    writer.add_general_info("pose", "pose network of the mediapipe wheel")
    writer.add_image_input(norm_mean=[mean], norm_std=[std])
    described, _ = writer.populate()
    return bytes(described)
