"""Both engines on the committed clips: the same body within a pixel.

mediapipe 0.10.21 is the reference (the same two networks, run by their makers' library).
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.accuracy.engines import CLIPS, Compared, compare

pytestmark = pytest.mark.slow
pytest.importorskip("mediapipe", reason="mediapipe exists for Python up to 3.12")


@pytest.fixture(scope="module")
def compared() -> list[Compared]:
    return list(compare(CLIPS, end_s=3))


def test_landmarks_agree(compared: list[Compared]) -> None:
    assert len(compared) > 500
    off_px = np.concatenate([c.off_px for c in compared])
    # Measured on the whole clips: 0.18 and 1.99.
    assert np.median(off_px) < 0.5
    assert np.percentile(off_px, 99) < 3


def test_masks_agree(compared: list[Compared]) -> None:
    overlaps = [c.overlap for c in compared]
    # Measured on the whole clips: 0.991 and 0.971.
    assert np.median(overlaps) > 0.98
    assert np.percentile(overlaps, 1) > 0.95
