"""Parts of the body, and how well one was seen."""

from __future__ import annotations

from enum import IntEnum
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pose import landmarks as lm

States = NDArray[np.int8]
Part = Literal["head", "trunk", "arms", "legs", "feet"]


class State(IntEnum):
    """How well a part of the body was seen; a larger one is worse."""

    SEEN = 0
    # At the edge of the picture or half covered: where it is may be off by some centimetres.
    UNSURE = 1
    # The landmarks move as no body does.
    LOST = 2
    HIDDEN = 3
    OUTSIDE = 4


# By part: the landmarks of its left and right side, which are one for head and trunk.
PARTS: dict[Part, tuple[tuple[int, ...], ...]] = {
    "head": ((lm.NOSE,),),
    "trunk": ((*lm.SHOULDERS, *lm.HIPS),),
    "arms": tuple((lm.ELBOWS[s], lm.WRISTS[s]) for s in (0, 1)),
    "legs": tuple((lm.KNEES[s], lm.ANKLES[s]) for s in (0, 1)),
    "feet": tuple((lm.HEELS[s], lm.TOES[s]) for s in (0, 1)),
}
