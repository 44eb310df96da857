"""Real footage and recorded motion with known truth, where the folder lies beside the checkout."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from pose.track import PoseTrack

REAL = Path(__file__).parents[2] / "shared" / "real"

needs_real = pytest.mark.skipif(
    not REAL.is_dir(), reason="the folder of real footage is not beside this checkout"
)

_JOINTS = {
    "head_base": "nose",
    **{
        f"{side[0]}_{joint}": f"{side}_{joint}"
        for side in ("left", "right")
        for joint in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "toe")
    },
}


def circuit_truth() -> dict[str, list[dict[str, Any]]]:
    """Labelled stretches of the recorded circuits, by recording."""
    truth: dict[str, list[dict[str, Any]]]
    truth = json.loads((REAL / "circuits" / "truth.json").read_text())
    return truth


def circuit(name: str, yaw_deg: float = 0.0) -> PoseTrack | None:
    """A recorded circuit as a track, or None where only its labels are kept."""
    path = REAL / "circuits" / f"{name}_joints_m_30hz.csv.gz"
    if not path.exists():
        return None
    table = pd.read_csv(path)
    joints = np.stack([table[[f"{j}_x", f"{j}_y", f"{j}_z"]].to_numpy() for j in _JOINTS], axis=1)
    return PoseTrack.from_joints(
        table["time_s"].to_numpy(), joints, list(_JOINTS.values()), yaw_deg=yaw_deg, name=name
    )
