"""The landmarker on rendered figures, whose joints are known to the pixel."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pose import landmarks as lm
from pose.body.follow import estimate
from pose.body.landmarker import Landmarker
from pose.body.model import model_file
from pose.errors import ModelError
from pose.video.decode import frames

SHORT = Path(__file__).parents[3] / "clips" / "short"


@pytest.mark.parametrize("tracking", [True, False])
def test_joints_of_a_figure_are_where_it_was_rendered(tracking: bool) -> None:
    truth = np.load(SHORT / "squat-front.truth.npz")
    pictures = list(frames(SHORT / "squat-front.mp4", sample_rate_hz=5, end_s=2))
    rows = [int(np.abs(truth["times_s"] - p.time_s).argmin()) for p in pictures]
    names = [str(name) for name in truth["joint_names"]]
    limbs = [n for n in names if n.split("_")[-1] in ("shoulder", "hip", "knee", "ankle")]
    expected_px = truth["joints_px"][rows][:, [names.index(n) for n in limbs]].astype(float)
    with Landmarker(model_file(), tracking=tracking) as landmarker:
        found = [landmarker.find(p.rgb) for p in pictures]
    assert [len(people) for people in found] == [1] * len(pictures)
    xy_px = np.stack([p.xy * (640, 360) for (p,) in found])[:, [lm.INDEX[n] for n in limbs]]
    trunk_px = np.linalg.norm(
        expected_px[:, limbs.index("left_shoulder")] - expected_px[:, limbs.index("left_hip")],
        axis=1,
    )
    off = np.linalg.norm(xy_px - expected_px, axis=2) / trunk_px[:, None]
    # Measured over all figures: mean joint error 0.04 to 0.08 trunk lengths.
    assert off.mean() < 0.15
    (person,) = found[0]
    assert (person.mask is not None) == tracking
    if person.mask is not None:
        assert person.mask.shape == (360, 640) and 0.02 < person.mask.mean() < 0.3


def test_a_broken_bundle_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "broken.task"
    path.write_bytes(b"no bundle at all")
    with pytest.raises(ModelError) as caught:
        Landmarker(path, tracking=True)
    assert str(caught.value) == f"{path}: not a usable pose model; delete the file"


def test_a_figure_is_followed_with_landmarkers_of_its_own() -> None:
    pictures = list(frames(SHORT / "squat-front.mp4", sample_rate_hz=5, end_s=1))
    samples = list(estimate(pictures, (1280, 720), model_file()))
    assert [s.time_s for s in samples] == [p.time_s for p in pictures]
    truth = np.load(SHORT / "squat-front.truth.npz")
    knee = [str(name) for name in truth["joint_names"]].index("left_knee")
    expected_px = 2 * truth["joints_px"][0, knee].astype(float)
    assert samples[0].xy_px[lm.KNEES[0]] == pytest.approx(expected_px, abs=30)
    assert np.isfinite(samples[0].outline).any()
