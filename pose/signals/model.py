"""The signals of one clip: numbers over time, on one even time grid."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pose.body.parts import Part, States

Floats = NDArray[np.float64]

# Rounding of a time that was made by adding up steps.
_ROUNDING_S = 1e-9


@dataclass(frozen=True, eq=False)
class Signals:
    """Movement signals of one clip.

    Attributes
    ----------
    times_s : (m,) float64
        Even grid, `rate_hz` samples a second.
    values : dict of str to (m,) float64
        By the names of :mod:`pose.signals.names`; NaN where the person or the limb was not seen.
    yaw_deg : (m,) float64
        Camera direction around the body, smoothed (see :func:`pose.signals.geometry.yaw_deg`).
    trunk_px : (m,) float64
        Length of the trunk in the picture if it lay in the picture's plane.
    body : (m, 33, 3) float64
        Filtered landmarks around the middle of the hips, trunk lengths; x, y from the picture,
        depth from the model.
    hips_px : (m, 2) float64
        Middle of the hips in the picture.
    parts : dict of Part to (m,) int8
        How well each part of the body was seen, a :class:`pose.body.parts.State`; a part that is
        not in it was seen.
    """

    times_s: Floats
    rate_hz: float
    values: dict[str, Floats]
    yaw_deg: Floats
    trunk_px: Floats
    body: Floats
    hips_px: Floats
    parts: dict[Part, States] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Floats:
        return self.values[name]

    @property
    def present(self) -> NDArray[np.bool_]:
        """(m,) True where a person was seen, and enough of the trunk to measure by."""
        return np.asarray(np.isfinite(self.hips_px[:, 0]) & np.isfinite(self.trunk_px))

    def index(self, time_s: float) -> int:
        """Nearest sample, kept inside the grid."""
        return 0 if len(self.times_s) == 0 else int(self.nearest(np.array([time_s]))[0])

    def nearest(self, times_s: Floats) -> NDArray[np.intp]:
        """Nearest sample of each time, kept inside the grid."""
        at = np.rint((times_s - self.times_s[0]) * self.rate_hz).astype(np.intp)
        return np.asarray(np.clip(at, 0, len(self.times_s) - 1))

    def slice(self, start_s: float, end_s: float) -> slice:
        """Samples with ``start_s <= time < end_s``."""
        lo, hi = np.searchsorted(self.times_s, [start_s - _ROUNDING_S, end_s - _ROUNDING_S])
        return slice(int(lo), int(hi))
