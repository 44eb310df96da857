"""The files that README and the notes for developers name are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "clips/README.md")
# Outside blocks of code: `pose/errors.py`, [text](docs/measurements.md), `python -m tests.accuracy`
_BLOCK = re.compile(r"^```.*?^```", re.DOTALL | re.MULTILINE)
_QUOTED = re.compile(r"`([^`\s]+)`")
_LINKED = re.compile(r"\]\(([^)#\s]+)[^)]*\)")
_MODULE = re.compile(r"python -m (tests[\w.]*|clips[\w.]*|api[\w.]*)")
# Folders of the repository that a document may name by one word: `cues/`
_PACKAGES = ("", "pose", "annotate", "api", "api/http", "clips")
# The first folder of a path that is in the repository.
_TOPS = {path.name for path in ROOT.iterdir() if path.is_dir()}
_ROOMS = {room.name for name in _PACKAGES[1:] for room in (ROOT / name).iterdir() if room.is_dir()}


def paths_in(text: str) -> set[str]:
    """Every link and quoted path of a document that means a place in the repository."""
    prose = _BLOCK.sub("", text)
    linked = {link for link in _LINKED.findall(prose) if "://" not in link}
    quoted = {word.split(":")[0] for word in _QUOTED.findall(prose) if _means_a_place(word)}
    return linked | quoted


def _means_a_place(word: str) -> bool:
    if "<" in word or "*" in word or "/" not in word:
        return False
    return word.split("/")[0] in _TOPS | _ROOMS


def is_there(document: str, path: str) -> bool:
    """Whether a path is there, seen from the document, the repository or one of its packages."""
    bases = ((ROOT / document).parent, *(ROOT / name for name in _PACKAGES))
    names = (path, path if path.endswith("/") else f"{path}.py")
    return any((base / name).exists() for base in bases for name in names)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_path_a_document_names_is_there(document: str) -> None:
    paths = paths_in((ROOT / document).read_text(encoding="utf-8"))
    assert [path for path in sorted(paths) if not is_there(document, path)] == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_program_a_document_names_is_there(document: str) -> None:
    modules = _MODULE.findall((ROOT / document).read_text(encoding="utf-8"))
    places = [ROOT.joinpath(*module.rstrip(".").split(".")) for module in modules]
    missing = [p for p in places if not (p.is_dir() or p.with_suffix(".py").is_file())]
    assert missing == []


def test_paths_are_found_and_missing_ones_noticed() -> None:
    text = (
        "See `api/none.py`, `cues/`, `s3://bucket/a` and [it](docs/none.md).\n```\n`api/x`\n```\n"
    )
    assert paths_in(text) == {"api/none.py", "cues/", "docs/none.md"}
    assert is_there("README.md", "cues/") and is_there("README.md", "routes/reviews")
    assert not is_there("README.md", "api/none.py") and not is_there("README.md", "docs/none.md")


def test_the_documents_name_paths() -> None:
    assert len(paths_in((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))) > 20
