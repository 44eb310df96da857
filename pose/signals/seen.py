"""How well each part of the body was seen, on the time grid of the signals."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pose.body.parts import Part, State, States
from pose.body.visible import visible
from pose.track import PoseTrack

Floats = NDArray[np.float64]

# Head-on with the hands on the floor, the trunk hides the legs. Measured on figures and films: the
# lower wrist is then 0.2 to 1.1 trunk lengths below the lower ankle, because it is nearer the
# camera, and the trunk 70 degrees and more from upright. Behind a table or a strip the wrists
# are 0.2 and more above the guessed ankles, or the view is from the side.
MAX_HANDS_HEIGHT = 0.0
MIN_BENT_DEG = 45.0
# Within 45 degrees of the front or the back, in terms of the axis from the right to the left side.
MIN_FRONT_AXIS = np.cos(np.radians(45.0))


def parts_on_grid(track: PoseTrack, grid_s: Floats) -> dict[Part, States]:
    """State (m,) of each part, in the sample nearest to each moment of the grid.

    Nothing for joints of another source: they have no picture that could cut or hide them.
    """
    if not len(track) or track.clip.width == 0:
        return {}
    times = track.times_s
    after = np.minimum(np.clip(np.searchsorted(times, grid_s), 1, None), len(times) - 1)
    before = np.maximum(after - 1, 0)
    nearest = np.where(grid_s - times[before] < times[after] - grid_s, before, after)
    return {part: states[nearest] for part, states in visible(track).parts.items()}


def without_own_body(
    parts: dict[Part, States], values: dict[str, Floats], axis: Floats
) -> dict[Part, States]:
    """The states with legs that the person's own trunk hides as unsure, not hidden.

    Repetitions on the floor can be counted head-on; measuring the legs there cannot be relied on.

    Parameters
    ----------
    parts : dict of Part to (m,) int8
    values : dict of str to (m,) float64
        The signals.
    axis : (m, 2) float64
        Person's right-to-left direction as (x, z), see :mod:`pose.signals.view`.
    """
    if not parts:
        return parts
    own = (
        (values["wrist_floor"] < MAX_HANDS_HEIGHT)
        & (values["trunk_deg"] > MIN_BENT_DEG)
        & (np.abs(axis[:, 0]) >= MIN_FRONT_AXIS)
        & (parts["arms"] < State.LOST)
    )
    out = dict(parts)
    for part in ("legs", "feet"):
        hidden = parts[part] == State.HIDDEN
        out[part] = np.where(own & hidden, np.int8(State.UNSURE), parts[part])
    return out
