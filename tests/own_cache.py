"""A cache of a test's own, with nothing in it but the model."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from pose.body.model import model_file


def own_cache(monkeypatch: pytest.MonkeyPatch, folder: Path) -> Path:
    """Use this folder as the cache. The model is copied, so that no test fetches it again."""
    model = model_file()
    copy = folder / "model" / model.name
    copy.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(model, copy)
    monkeypatch.setenv("TAKEPROOF_CACHE", str(folder))
    return folder
