"""The MediaPipe pose landmarker, opened quietly and read into plain arrays."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm
from pose.errors import ModelError

Floats = NDArray[np.float64]

# The mode for one person in a video smooths landmarks over time, with a lag: measured at 15
# pictures a second, it trails a 2 Hz movement of 30 px by 17 ms and 4.6 px. It goes by the time
# stamps, and stamps far apart switch it off (1 ms, 1.0 px). We filter later, without lag. The
# stamps only have to increase; nothing else in the graph uses them.
_STAMP_STEP_MS = 1_000_000
# An instructor and some of the class. Each further person takes 10 ms a picture.
_MAX_PEOPLE = 4


@dataclass(frozen=True, eq=False)
class Person:
    """One person in one picture.

    Attributes
    ----------
    xy : (33, 2) float64
        Landmarks as parts of the picture's width and height, (0, 0) its upper left corner.
    world_m : (33, 3) float64
    visibility : (33,) float64
    mask : (h, w) float32 or None
        How likely each pixel of the picture belongs to this person, 0-1.
    """

    xy: Floats
    world_m: Floats
    visibility: Floats
    mask: NDArray[np.float32] | None


class Landmarker:
    """Finds people in pictures given in order of time; close it after use.

    Parameters
    ----------
    model : Path
        Bundle from :func:`pose.body.model.model_file`.
    tracking : bool
        True: tracks one person from picture to picture (about 12 ms each). False: searches
        each picture on its own for up to four people (about 18 ms, and 10 ms for each further
        person).
    """

    def __init__(self, model: Path, *, tracking: bool) -> None:
        with _quiet():
            import mediapipe as mp
            from mediapipe.tasks.python import BaseOptions, vision

            self._image, self._format = mp.Image, mp.ImageFormat.SRGB
            mode = vision.RunningMode.VIDEO if tracking else vision.RunningMode.IMAGE
            options = vision.PoseLandmarkerOptions(
                base_options=BaseOptions(model_asset_path=str(model)),
                running_mode=mode,
                num_poses=1 if tracking else _MAX_PEOPLE,
                output_segmentation_masks=tracking,
            )
            try:
                self._landmarker = vision.PoseLandmarker.create_from_options(options)
            except (RuntimeError, ValueError) as error:
                raise ModelError(f"{model}: not a usable pose model; delete the file") from error
        self._tracking = tracking
        self._stamp_ms = 0
        self._found_any = False

    def __enter__(self) -> Landmarker:
        return self

    def __exit__(self, *_: object) -> None:
        with _quiet():
            self._landmarker.close()

    def reset(self) -> None:
        """Stop tracking: from here on it finds bit for bit what a new one would."""
        if self._stamp_ms:
            # Nobody is found in an empty picture, so the person is lost. Its size does not matter.
            self.find(np.full((256, 256, 3), 128, dtype=np.uint8))

    def find(self, rgb: NDArray[np.uint8]) -> list[Person]:
        """People in an (h, w, 3) RGB picture, the most certain first."""
        image = self._image(image_format=self._format, data=rgb)
        # Native code writes to standard error until it has found the first person.
        with nullcontext() if self._found_any else _quiet():
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


def _person(points: Any, world: Any, mask: Any) -> Person:
    xy = np.array([(p.x, p.y) for p in points], dtype=np.float64)
    visibility = np.array([p.visibility for p in points], dtype=np.float64)
    world_m = np.array([(p.x, p.y, p.z) for p in world], dtype=np.float64)
    assert xy.shape == (lm.COUNT, 2)
    # Copied, because the view is only valid as long as the result it came from.
    return Person(xy, world_m, visibility, None if mask is None else mask.numpy_view().copy())


class _Silence:
    """Standard error of the whole process, switched off while any thread wants it off."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.wanted_by = 0
        self.kept = -1


_silence = _Silence()


@contextmanager
def _quiet() -> Iterator[None]:
    """Discard what native code writes to standard error; no setting of it does that."""
    with _silence.lock:
        if _silence.wanted_by == 0:
            _silence.kept = os.dup(2)
            with open(os.devnull, "wb") as nowhere:
                os.dup2(nowhere.fileno(), 2)
        _silence.wanted_by += 1
    try:
        yield
    finally:
        with _silence.lock:
            _silence.wanted_by -= 1
            if _silence.wanted_by == 0:
                os.dup2(_silence.kept, 2)
                os.close(_silence.kept)
