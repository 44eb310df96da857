"""Which modules are mutated, and which tests have to notice: those of the module's own room."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]

# Module to the tests that have to notice, without those marked slow.
MODULES = {
    "annotate.counting.count": "tests/annotate/counting",
    "annotate.counting.peaks": "tests/annotate/counting",
    "annotate.counting.unknown": "tests/annotate/counting",
    "annotate.periods.align": "tests/annotate/periods",
    "annotate.periods.costs": "tests/annotate/periods",
    "annotate.periods.reorder": "tests/annotate/periods",
    "annotate.periods.run_costs": "tests/annotate/periods",
    "annotate.compare.compare": "tests/annotate/compare",
    "annotate.cues.context": "tests/annotate/cues",
    "annotate.cues.counts": "tests/annotate/cues",
    "annotate.cues.judge": "tests/annotate/cues",
    "annotate.cues.parse": "tests/annotate/cues",
    "annotate.cues.sides": "tests/annotate/cues",
    # Not the whole room: its other tests write clips.
    "annotate.exports.timecode": "tests/annotate/exports/test_timecode.py",
}


def path_of(module: str) -> Path:
    """The source file of a module."""
    return ROOT.joinpath(*module.split(".")).with_suffix(".py")
