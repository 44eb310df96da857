"""The 33 body landmarks of the model: names, indices and left/right pairs.

Left and right are the person's own. There is no landmark between the shoulders and the hips, so
they do not tell the shape of the back (see :mod:`pose.body.outline`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

NAMES: tuple[str, ...] = (
    "nose",
    "left_eye_inner", "left_eye", "left_eye_outer",
    "right_eye_inner", "right_eye", "right_eye_outer",
    "left_ear", "right_ear",
    "mouth_left", "mouth_right",
    "left_shoulder", "right_shoulder",
    "left_elbow", "right_elbow",
    "left_wrist", "right_wrist",
    "left_pinky", "right_pinky",
    "left_index", "right_index",
    "left_thumb", "right_thumb",
    "left_hip", "right_hip",
    "left_knee", "right_knee",
    "left_ankle", "right_ankle",
    "left_heel", "right_heel",
    "left_toe", "right_toe",
)  # fmt: skip

INDEX: dict[str, int] = {name: i for i, name in enumerate(NAMES)}
COUNT = len(NAMES)

NOSE = INDEX["nose"]
EARS = (INDEX["left_ear"], INDEX["right_ear"])
SHOULDERS = (INDEX["left_shoulder"], INDEX["right_shoulder"])
ELBOWS = (INDEX["left_elbow"], INDEX["right_elbow"])
WRISTS = (INDEX["left_wrist"], INDEX["right_wrist"])
HIPS = (INDEX["left_hip"], INDEX["right_hip"])
KNEES = (INDEX["left_knee"], INDEX["right_knee"])
ANKLES = (INDEX["left_ankle"], INDEX["right_ankle"])
HEELS = (INDEX["left_heel"], INDEX["right_heel"])
TOES = (INDEX["left_toe"], INDEX["right_toe"])


def _mirror_order() -> NDArray[np.intp]:
    """Index that swaps every left landmark with the right one."""
    order = np.arange(COUNT)
    for i, name in enumerate(NAMES):
        if "left" in name:
            j = INDEX[name.replace("left", "right")]
            order[i], order[j] = j, i
    return order


MIRROR = _mirror_order()
