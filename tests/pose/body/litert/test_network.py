"""Networks that cannot be used are one line; answers come in the order asked for."""

from __future__ import annotations

import zipfile
from pathlib import Path

import numpy as np
import pytest

from pose.body.litert import detector, landmarks
from pose.body.litert.network import Network
from pose.body.model import DETECTOR, LANDMARKS, model_file
from pose.errors import ModelError


def test_a_bundle_of_something_else_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "own.task"
    with zipfile.ZipFile(path, "w") as bundle:
        bundle.writestr(DETECTOR, b"no network")
    with pytest.raises(ModelError, match="own.task: not a usable pose model; delete the file"):
        Network(path, DETECTOR, detector.ANSWERS)
    with pytest.raises(ModelError, match="own.task: not a usable pose model; delete the file"):
        Network(path, LANDMARKS, landmarks.ANSWERS)


def test_a_network_with_other_answers_is_refused() -> None:
    with pytest.raises(ModelError, match="not a usable pose model"):
        Network(model_file(), DETECTOR, landmarks.ANSWERS)


def test_answers_come_in_the_order_asked_for() -> None:
    network = Network(model_file(), DETECTOR, detector.ANSWERS)
    scores, boxes = network.run(np.zeros((224, 224, 3), dtype=np.float32))
    assert (len(scores), len(boxes)) == detector.ANSWERS
    turned = Network(model_file(), DETECTOR, detector.ANSWERS[::-1])
    again = turned.run(np.zeros((224, 224, 3), dtype=np.float32))
    assert np.array_equal(again[0], boxes) and np.array_equal(again[1], scores)
