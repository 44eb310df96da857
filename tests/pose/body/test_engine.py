"""Which engine is used, and what is said when it cannot be."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version

import pytest

from pose.body import engine as module
from pose.body.engine import chosen_engine, open_landmarker, runtime
from pose.body.model import model_file
from pose.errors import ModelError


@pytest.mark.parametrize(
    ("named", "engine"),
    [(None, "litert"), ("", "litert"), ("litert", "litert"), ("mediapipe", "mediapipe")],
)
def test_the_variable_chooses(
    monkeypatch: pytest.MonkeyPatch, named: str | None, engine: str
) -> None:
    if named is None:
        monkeypatch.delenv("TAKEPROOF_ENGINE", raising=False)
    else:
        monkeypatch.setenv("TAKEPROOF_ENGINE", named)
    assert chosen_engine() == engine


def test_another_word_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAKEPROOF_ENGINE", "LiteRT 2")
    with pytest.raises(ModelError) as caught:
        chosen_engine()
    assert str(caught.value) == (
        "TAKEPROOF_ENGINE=LiteRT 2: no such engine; set it to litert or mediapipe, or unset it"
    )


def test_the_runtime_names_the_library_and_its_version() -> None:
    assert runtime("litert") == f"ai-edge-litert {version('ai-edge-litert')}"


def test_an_engine_that_is_not_installed_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> str:
        raise PackageNotFoundError(name)

    monkeypatch.setattr(module, "version", missing)
    with pytest.raises(ModelError) as caught, open_landmarker(model_file(), "mediapipe"):
        pass
    assert str(caught.value) == (
        "mediapipe is not installed; install it, or set TAKEPROOF_ENGINE to litert"
    )
