"""The console script looks whether the packages it finds are its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
CONSOLE = ROOT / "api" / "console"


def started(*path: Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the console script with these folders first on the path."""
    code = "import sys; sys.argv = ['takeproof', '--version']; import takeproof; takeproof.main()"
    places = os.pathsep.join(str(p) for p in (*path, CONSOLE, ROOT))
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=cwd,
        env={**os.environ, "PYTHONPATH": places},
    )  # fmt: skip


def test_with_its_own_packages_it_starts(tmp_path: Path) -> None:
    done = started(cwd=tmp_path)
    assert done.returncode == 0 and done.stdout.startswith("takeproof "), done.stderr


def test_a_foreign_package_of_each_name_is_one_line(tmp_path: Path) -> None:
    for name in ("pose", "annotate", "api"):
        foreign = tmp_path / f"with-{name}"
        (foreign / name).mkdir(parents=True)
        (foreign / name / "__init__.py").write_text("raise RuntimeError('never imported')\n")
        done = started(foreign, cwd=tmp_path)
        assert done.returncode == 2 and done.stderr.count("\n") == 1, done.stderr
        assert f'another package "{name}" is found first, at {foreign / name};' in done.stderr


def test_a_foreign_module_of_that_name_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "pose.py").write_text("")
    done = started(tmp_path, cwd=tmp_path)
    assert done.returncode == 2 and 'another package "pose" is found first' in done.stderr


def test_packages_of_two_installations_are_one_line(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "pose", tmp_path / "pose")
    done = started(tmp_path, cwd=tmp_path)
    assert done.returncode == 2 and "of two installations" in done.stderr
