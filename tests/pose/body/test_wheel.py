"""Where the networks come from, and the one line where they are not to be had."""

from __future__ import annotations

import hashlib
import logging
import subprocess
import zipfile
from collections.abc import Callable
from importlib.machinery import ModuleSpec
from pathlib import Path
from typing import Any

import pytest

from pose.body import wheel
from pose.body.wheel import networks
from pose.errors import ModelError

FILES = {"one": "modules/one.tflite", "two": "modules/two.tflite"}
CONTENT = {"one": b"first network", "two": b"second network"}
SHA256 = {name: hashlib.sha256(content).hexdigest() for name, content in CONTENT.items()}

Find = Callable[[str], ModuleSpec | None]


def install(folder: Path, content: dict[str, bytes]) -> None:
    for name, file in FILES.items():
        if name in content:
            path = folder / "mediapipe" / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content[name])


def finding(folder: Path | None, *, pip: bool = True) -> Find:
    """A `find_spec` for which mediapipe is installed in a folder, or not at all."""

    def find(name: str) -> ModuleSpec | None:
        if name == "pip":
            return ModuleSpec("pip", None) if pip else None
        if folder is None:
            return None
        return ModuleSpec(name, None, origin=str(folder / "mediapipe" / "__init__.py"))

    return find


def pip_that(
    writes: dict[str, bytes] | None, *, fails: str = "", file: str = "mediapipe-0.10.21.whl"
) -> Callable[..., subprocess.CompletedProcess[str]]:
    """A pip that fetches a wheel with this content, or fails with these words."""

    def run(command: list[str], **_: Any) -> subprocess.CompletedProcess[str]:
        assert command[1:4] == ["-m", "pip", "download"] and "mediapipe==0.10.21" in command
        assert "--no-deps" in command
        if fails:
            return subprocess.CompletedProcess(command, 1, "", fails)
        folder = Path(command[command.index("--dest") + 1])
        if writes is not None:
            with zipfile.ZipFile(folder / file, "w") as opened:
                for name, content in writes.items():
                    opened.writestr(f"mediapipe/{FILES[name]}", content)
        return subprocess.CompletedProcess(command, 0, "", "")

    return run


def test_the_installed_wheel_is_used_without_pip(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(tmp_path, CONTENT)
    monkeypatch.setattr(wheel, "find_spec", finding(tmp_path))
    monkeypatch.setattr(subprocess, "run", pip_that(None, fails="ERROR: not asked for"))
    assert networks(FILES, SHA256) == CONTENT


@pytest.mark.parametrize("content", [{}, {"one": b"first network"}, CONTENT | {"two": b"other"}])
def test_another_release_is_passed_over_and_the_wheel_is_fetched_and_said_so(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    content: dict[str, bytes],
) -> None:
    install(tmp_path, content)
    monkeypatch.setattr(wheel, "find_spec", finding(tmp_path))
    monkeypatch.setattr(subprocess, "run", pip_that(CONTENT))
    with caplog.at_level(logging.WARNING, "takeproof"):
        assert networks(FILES, SHA256) == CONTENT
    assert caplog.messages == [
        "Fetching the pose networks with pip, once (35 MB); no footage is sent anywhere."
    ]


def test_without_pip_the_line_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wheel, "find_spec", finding(None, pip=False))
    with pytest.raises(ModelError, match="pip is not installed here; run: .* -m ensurepip, or set"):
        networks(FILES, SHA256)


@pytest.mark.parametrize(
    ("pip", "why"),
    [
        (
            pip_that(None, fails="WARNING: x\nERROR: No matching distribution found\n"),
            r"\(No matching distribution found\); connect to your package index once",
        ),
        (pip_that(None, fails="Traceback"), r"\(pip failed\)"),
        (pip_that(None), r"\(it is no wheel with the networks in it\)"),
        (pip_that({"one": b"first network"}), r"\(it is no wheel with the networks in it\)"),
        (pip_that(CONTENT | {"two": b"changed"}), r"\(its networks are not those of the release\)"),
    ],
)
def test_what_cannot_be_fetched_is_one_line(
    monkeypatch: pytest.MonkeyPatch, pip: Callable[..., Any], why: str
) -> None:
    monkeypatch.setattr(wheel, "find_spec", finding(None))
    monkeypatch.setattr(subprocess, "run", pip)
    with pytest.raises(ModelError, match=why) as caught:
        networks(FILES, SHA256)
    assert "\n" not in str(caught.value)


def test_a_download_that_hangs_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def hang(command: list[str], **options: Any) -> None:
        raise subprocess.TimeoutExpired(command, options["timeout"])

    monkeypatch.setattr(wheel, "find_spec", finding(None))
    monkeypatch.setattr(subprocess, "run", hang)
    with pytest.raises(ModelError, match="it took too long"):
        networks(FILES, SHA256)
