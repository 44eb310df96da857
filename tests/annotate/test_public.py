"""What may be imported from ``annotate``."""

from __future__ import annotations

import subprocess
import sys
from importlib.resources import files

import pytest

import annotate


def test_every_public_name_is_there_and_documented() -> None:
    for name in annotate.__all__:
        assert getattr(annotate, name).__doc__, name
    assert set(annotate.__all__) <= set(dir(annotate))


def test_another_name_is_none() -> None:
    with pytest.raises(AttributeError, match="no attribute 'review_clp'"):
        _ = annotate.review_clp


def test_reading_a_plan_loads_no_analysis() -> None:
    code = (
        "import sys; from annotate import ClassPlan, read_plan;"
        "print([m for m in ('mediapipe', 'scipy', 'pandas', 'cv2') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("package", ["pose", "annotate", "api"])
def test_types_are_shipped(package: str) -> None:
    assert (files(package) / "py.typed").is_file()
