"""The page's clock against the one of the script and the tables."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

import api.http
from annotate.text import clock

WORDS = Path(api.http.__file__).parent / "page" / "words.js"
NODE = shutil.which("node")
TIMES_S = [
    *(n / 4 for n in range(-20, 500)),
    59.6, 3599.4, 3599.5, 3599.7, 4500, 4500.5, 36_000, -0.4, -0.5, -5, -59.6, -4500,
]  # fmt: skip


@pytest.mark.skipif(NODE is None, reason="needs node to run the page's script")
def test_the_page_writes_every_time_as_the_script_does(tmp_path: Path) -> None:
    shutil.copy(WORDS, tmp_path / "words.mjs")
    (tmp_path / "run.mjs").write_text(
        'import { clock, exact, seconds } from "./words.mjs";\n'
        f"const times = {json.dumps(TIMES_S)};\n"
        "const back = times.map((t) => seconds(exact(t)));\n"
        "console.log(JSON.stringify([times.map(clock), back, exact(4500.25)]));\n"
    )
    assert NODE is not None
    done = subprocess.run(
        [NODE, "run.mjs"], cwd=tmp_path, capture_output=True, text=True, timeout=60, check=True
    )
    clocks, back, exact = json.loads(done.stdout)
    assert clocks == [clock(t) for t in TIMES_S]
    assert back == pytest.approx([max(t, 0) for t in TIMES_S], abs=0.05001)
    assert exact == "1:15:00.3"
