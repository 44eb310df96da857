"""Names, indices and sides of the landmarks."""

from __future__ import annotations

import numpy as np

from pose import landmarks as lm


def test_mirroring_twice_changes_nothing() -> None:
    assert (lm.MIRROR[lm.MIRROR] == np.arange(lm.COUNT)).all()


def test_mirror_swaps_sides_and_keeps_the_nose() -> None:
    assert lm.MIRROR[lm.NOSE] == lm.NOSE
    for i, j in enumerate(lm.MIRROR):
        assert lm.NAMES[j] == lm.NAMES[i].replace("left", "LEFT").replace("right", "left").replace(
            "LEFT", "right"
        )


def test_there_are_33_names_and_pairs_are_left_then_right() -> None:
    assert len(set(lm.NAMES)) == lm.COUNT == 33
    for pair in (lm.EARS, lm.SHOULDERS, lm.ELBOWS, lm.WRISTS, lm.HIPS, lm.KNEES, lm.TOES):
        assert lm.NAMES[pair[0]].startswith("left") and lm.NAMES[pair[1]].startswith("right")
        assert lm.MIRROR[pair[0]] == pair[1]


def test_numbers_are_those_of_the_model() -> None:
    assert (lm.SHOULDERS, lm.HIPS, lm.KNEES, lm.TOES) == ((11, 12), (23, 24), (25, 26), (31, 32))
