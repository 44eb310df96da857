"""The built wheel holds everything it needs, wherever it is installed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[1]
# What a wheel is built from, beside pyproject.toml and what it names.
_SOURCES = ("pose", "annotate", "api", "clips/demo")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from a copy of the sources, so that nothing of an earlier build gets into it."""
    copy = tmp_path_factory.mktemp("sources")
    for name in _SOURCES:
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, copy)
    (copy / "clips" / "__init__.py").touch()
    out = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(out)]
    subprocess.run([*pip, str(copy)], check=True)
    (built,) = out.glob("takeproof-*.whl")
    return built


def test_an_installed_wheel_reviews_the_demo_from_anywhere(
    wheel: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PYTHONPATH", raising=False)
    place = tmp_path / "tool"
    venv.create(place, symlinks=True)
    python, site = place / "bin" / "python", next(place.glob("lib/python*/site-packages"))
    pip = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", "--no-deps"]
    subprocess.run([*pip, str(wheel)], check=True)
    # The dependencies of this environment, without its editable installation of the sources.
    (site / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    where = [
        str(python),
        "-c",
        "import pose, clips.demo; print(pose.__file__, clips.demo.__file__)",
    ]
    found = subprocess.run(where, cwd=elsewhere, capture_output=True, text=True, check=True)
    assert all(Path(path).is_relative_to(place) for path in found.stdout.split())
    done = subprocess.run(
        [str(place / "bin" / "takeproof"), "demo", "--out", "demo"],
        cwd=elsewhere, env=os.environ | {"COLUMNS": "100"}, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert (done.returncode, "Traceback" in done.stderr) == (0, False), done.stderr
    assert "Written to demo" in done.stdout
    review = json.loads((elsewhere / "demo" / "review.json").read_text(encoding="utf-8"))
    assert len(review["comparison"]) > 10
