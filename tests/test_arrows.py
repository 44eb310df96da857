"""The house keeps its shape: imports run one way, files stay small (DEVELOPERS.md, the house).

All imports count, those inside functions and those for types only too.
"""

from __future__ import annotations

import ast
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("pose", "annotate", "api")
# A room may import itself and those before it. Files directly in a package count as rooms.
ROOMS = {
    "pose": (
        *("errors", "landmarks", "persons", "track", "cache"),
        *("video", "body", "signals", "extract"),
    ),
    "annotate": (
        *("errors", "text", "reading", "stats"),
        *("catalogue", "plan", "review", "counting", "form", "periods", "compare"),
        *("cues", "music", "script", "exports", "report", "pipeline"),
    ),
}
MAX_LINES = 350
MAX_MEDIAN_LINES = 130

Arrow = tuple[str, str]


def module_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


FILES = {module_of(path): path for name in PACKAGES for path in sorted((ROOT / name).rglob("*.py"))}


def arrows_of(module: str, source: str, known: frozenset[str]) -> Iterator[Arrow]:
    """Every import of one of the `known` modules in a source."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{module}: a relative import; write the whole name"
            base = node.module or ""
            # "from pose.signals import names" imports the module pose.signals.names.
            found = [
                deeper if (deeper := f"{base}.{alias.name}") in known else base
                for alias in node.names
            ]
        else:
            continue
        yield from ((module, name) for name in found if name in known and name != module)


def all_arrows() -> list[Arrow]:
    known = frozenset(FILES)
    return [
        arrow
        for module, path in FILES.items()
        for arrow in arrows_of(module, path.read_text(encoding="utf-8"), known)
    ]


ARROWS = all_arrows()


def circle_in(arrows: list[Arrow]) -> list[str]:
    """The modules of one import circle, in order, or nothing where there is none."""
    goals: dict[str, list[str]] = {}
    for module, goal in arrows:
        goals.setdefault(module, []).append(goal)
    done: set[str] = set()

    def walk(module: str, way: list[str]) -> list[str]:
        if module in way:
            return [*way[way.index(module) :], module]
        if module in done:
            return []
        for goal in goals.get(module, []):
            if circle := walk(goal, [*way, module]):
                return circle
        done.add(module)
        return []

    return next((circle for module in goals if (circle := walk(module, []))), [])


def backward(arrows: list[Arrow]) -> list[Arrow]:
    """Arrows from one package or room to one that may only be imported the other way round."""
    return [(module, goal) for module, goal in arrows if place_of(goal) > place_of(module)]


def place_of(module: str) -> tuple[int, int]:
    """Place in the order of packages and rooms; a package's own file comes after its rooms."""
    package, *rest = module.split(".")
    rooms = ROOMS.get(package, ())
    if not rest:
        return PACKAGES.index(package), len(rooms)
    return PACKAGES.index(package), rooms.index(rest[0]) if rooms else 0


def test_there_is_no_import_circle() -> None:
    assert circle_in(ARROWS) == []


def test_no_import_runs_backwards() -> None:
    assert backward(ARROWS) == []


@pytest.mark.parametrize("package", ROOMS)
def test_every_room_and_file_of_a_package_has_its_place(package: str) -> None:
    found = {module.split(".")[1] for module in FILES if module.startswith(f"{package}.")}
    assert found <= set(ROOMS[package])


def test_nothing_but_a_few_files_lies_directly_in_annotate() -> None:
    found = {p.name for p in (ROOT / "annotate").iterdir() if p.is_file()}
    assert found <= {
        *("__init__.py", "errors.py", "text.py", "reading.py", "stats.py", "pipeline.py"),
        "py.typed",
    }


def test_files_are_small() -> None:
    lines = {m: len(p.read_text(encoding="utf-8").splitlines()) for m, p in FILES.items()}
    assert not {module for module, n in lines.items() if n > MAX_LINES}
    # A package's empty first file is no small file.
    assert statistics.median(n for n in lines.values() if n > 1) <= MAX_MEDIAN_LINES


@pytest.mark.parametrize(
    "line",
    [
        "from annotate.plan.model import ClassPlan",
        "import annotate.plan.model",
        "from annotate.plan import model",
        "def f():\n    from annotate.plan import model",
        "if TYPE_CHECKING:\n    from annotate.plan.model import ClassPlan",
    ],
)
def test_imports_are_found_however_they_are_written(line: str) -> None:
    known = frozenset({"annotate.plan", "annotate.plan.model", "pose.track"})
    assert [*arrows_of("pose.track", line, known)] == [("pose.track", "annotate.plan.model")]


def test_arrows_back_and_circles_are_found() -> None:
    assert backward([("pose.track", "annotate.text")])
    assert backward([("annotate.text", "api.errors")])
    assert backward([("annotate.counting.count", "annotate.periods.align")])
    assert backward([("pose.track", "pose.video.probe")])
    assert not backward(
        [("pose.signals.body", "pose.signals.names"), ("api.errors", "pose.errors")]
    )
    assert circle_in([("a", "b"), ("b", "c"), ("c", "b")]) == ["b", "c", "b"]
    assert circle_in([("a", "b"), ("a", "c"), ("b", "c")]) == []
