"""The landmark model: one bundle file with both networks, person detector and landmarks.

A bundle is an uncompressed zip with the two networks under the names that the MediaPipe Tasks pose
landmarker looks for. Ours is made once from the networks of :mod:`pose.body.wheel` and verified by
hash at every start; any other such bundle may be named instead.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from pathlib import Path

from pose.body.wheel import networks
from pose.cache import atomic_write, cache_dir
from pose.errors import ModelError

MODEL_VARIABLE = "TAKEPROOF_MODEL"
# The two networks by their names inside a bundle.
DETECTOR = "pose_detector.tflite"
LANDMARKS = "pose_landmarks_detector.tflite"
# Name inside the bundle -> file inside the wheel, and the hash of its content.
_FILES = {
    DETECTOR: "modules/pose_detection/pose_detection.tflite",
    LANDMARKS: "modules/pose_landmark/pose_landmark_full.tflite",
}
_SHA256 = {
    DETECTOR: "9ba9dd3d42efaaba86b4ff0122b06f29c4122e756b329d89dca1e297fd8f866c",
    LANDMARKS: "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f",
}


def model_file() -> Path:
    """The model bundle; it is made on first use, and again when it was damaged.

    ``TAKEPROOF_MODEL`` names another bundle, for instance one with the "heavy" network.

    Raises
    ------
    ModelError
        The named file is not a bundle, the networks are not to be had, or the cache folder cannot
        be written.
    """
    named = os.environ.get(MODEL_VARIABLE)
    if named:
        if not is_bundle(Path(named)):
            raise ModelError(
                f"{named}: not a pose landmarker bundle; set {MODEL_VARIABLE} to a .task file "
                "or unset it"
            )
        return Path(named)
    made = cache_dir() / "model" / "pose-full.task"
    if not _is_intact(made):
        _make(networks(_FILES, _SHA256), made)
    return made


def model_id(path: Path) -> str:
    """Twelve hex digits that depend on the bundle's content; part of every cache key."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()[:12]


def network(path: Path, name: str) -> bytes:
    """One of the two networks of a bundle, as the content of a .tflite file.

    Raises
    ------
    ModelError
        Not a bundle, or without this network.
    """
    try:
        with zipfile.ZipFile(path) as bundle:
            return bundle.read(name)
    except (OSError, KeyError, zipfile.BadZipFile) as error:
        raise unusable(path) from error


def unusable(path: Path) -> ModelError:
    """The error for a bundle whose networks cannot be run."""
    return ModelError(f"{path}: not a usable pose model; delete the file")


def is_bundle(path: Path) -> bool:
    """True when `path` is a readable zip with both networks in it."""
    try:
        with zipfile.ZipFile(path) as bundle:
            return set(_FILES) <= set(bundle.namelist())
    except (OSError, zipfile.BadZipFile):
        return False


def _is_intact(made: Path) -> bool:
    """Whether our own bundle is there with exactly the networks of the release."""
    try:
        with zipfile.ZipFile(made) as bundle:
            return all(
                hashlib.sha256(bundle.read(name)).hexdigest() == _SHA256[name] for name in _SHA256
            )
    except (OSError, KeyError, zipfile.BadZipFile):
        return False


def _make(content: dict[str, bytes], path: Path) -> None:
    try:
        with atomic_write(path) as partial, zipfile.ZipFile(partial, "w") as bundle:
            for name, network_content in content.items():
                # ZipInfo has a fixed date, so the bytes and the model id are the same everywhere.
                bundle.writestr(zipfile.ZipInfo(name), network_content)
    except OSError as error:
        raise ModelError(
            f"{path}: the model cannot be stored here ({error.strerror}); "
            "set TAKEPROOF_CACHE to a folder that can be written"
        ) from error
