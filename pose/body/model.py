"""The landmark model: one bundle file for the MediaPipe Tasks pose landmarker.

The 0.10.21 wheel of mediapipe holds the two networks (person detector, landmarks "full") without
the description of their input that the Tasks interface needs. The bundle is made from them once:
the input is described, and both go into one uncompressed zip under the names that Tasks looks
for. Nothing is downloaded.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path

from pose.cache import atomic_write, cache_dir
from pose.errors import ModelError

MODEL_VARIABLE = "TAKEPROOF_MODEL"
# The two networks by their names inside a bundle.
DETECTOR = "pose_detector.tflite"
LANDMARKS = "pose_landmarks_detector.tflite"

# Name inside the bundle -> file inside the wheel.
_PARTS = {
    "pose_detector.tflite": "modules/pose_detection/pose_detection.tflite",
    "pose_landmarks_detector.tflite": "modules/pose_landmark/pose_landmark_full.tflite",
}


def model_file() -> Path:
    """The model bundle; it is built on first use.

    ``TAKEPROOF_MODEL`` names another bundle, for instance one with the "heavy" network.

    Raises
    ------
    ModelError
        The named file is not a bundle, the installed mediapipe has no networks inside, or the
        cache folder cannot be written.
    """
    named = os.environ.get(MODEL_VARIABLE)
    if named:
        if not is_bundle(Path(named)):
            raise ModelError(
                f"{named}: not a pose landmarker bundle; set {MODEL_VARIABLE} to a .task file "
                "or unset it"
            )
        return Path(named)
    built = cache_dir() / "model" / "plain.task"
    if not is_bundle(built):
        _build(_wheel_parts(), built)
    return built


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
            return set(_PARTS) <= set(bundle.namelist())
    except (OSError, zipfile.BadZipFile):
        return False


def _wheel_parts() -> dict[str, bytes]:
    """The two networks of the installed wheel, without importing it (that takes a second)."""
    found = find_spec("mediapipe")
    if found is None or found.origin is None:
        raise ModelError("mediapipe is not installed; run: pip install 'mediapipe==0.10.21'")
    root = Path(found.origin).parent
    try:
        return {name: (root / part).read_bytes() for name, part in _PARTS.items()}
    except OSError as error:
        raise ModelError(
            f"mediapipe {version('mediapipe')} comes without the pose model; set {MODEL_VARIABLE} "
            "to a pose_landmarker .task file, or use Python 3.11-3.12 with mediapipe 0.10.21"
        ) from error


def _build(parts: dict[str, bytes], path: Path) -> None:
    try:
        with atomic_write(path) as partial, zipfile.ZipFile(partial, "w") as bundle:
            for name, network in parts.items():
                # ZipInfo has a fixed date, so the bytes and the model id are the same everywhere.
                bundle.writestr(zipfile.ZipInfo(name), network)
    except OSError as error:
        raise ModelError(
            f"{path}: the model cannot be stored here ({error.strerror}); "
            "set TAKEPROOF_CACHE to a folder that can be written"
        ) from error


def _with_input_described(network: bytes) -> bytes:
    """Add the metadata that Tasks needs: an RGB image whose 0-255 is read as 0-1."""
    from mediapipe.tasks.python.metadata.metadata_writers.metadata_writer import MetadataWriter

    writer = MetadataWriter.create(bytearray(network))
    writer.add_general_info("pose", "pose network of the mediapipe wheel")
    writer.add_image_input(norm_mean=[0.0], norm_std=[255.0])
    described, _ = writer.populate()
    return bytes(described)
