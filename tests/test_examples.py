"""The examples run, and show what they promise."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
EXAMPLES = {path.stem: path for path in sorted((ROOT / "examples").glob("*.py"))}
PRINTS = {
    "joints_of_another_source": "8 repetitions",
    "markers_for_an_editor": "01:00:00:00",
    "one_take_two_plans": "6 planned: -2 more or fewer",
    "repetitions_as_a_table": "trunk_deg",
    "review_a_clip": "Hip hinge, round 3 - left out",
    "write_the_script": "Squat: 4 repetitions",
}


def test_every_example_is_run_here() -> None:
    assert set(EXAMPLES) == set(PRINTS)


@pytest.mark.slow
@pytest.mark.parametrize("name", EXAMPLES)
def test_the_example_prints_what_it_is_for(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    runpy.run_path(str(EXAMPLES[name]), run_name="__main__")
    assert PRINTS[name] in capsys.readouterr().out
