"""What is usual around each moment: rolling quantiles of samples with holes."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# So many samples of a window are looked at. The median of 45 normal values scatters by a fifth of
# their standard deviation (1.25 / sqrt(45)). To look at all 180 of a six second window costs at
# least four times as much.
MAX_WINDOW_SAMPLES = 45


def rolling_quantile(
    values: Floats, rate_hz: float, window_s: float, quantile: float = 0.5
) -> Floats:
    """Centred rolling quantile along the first axis; NaN are skipped.

    A long window is thinned out: the quantile is taken of every few samples, at every few samples,
    and runs straight between them.
    """
    step = max(1, int(window_s * rate_hz) // MAX_WINDOW_SAMPLES)
    window = max(3, int(window_s * rate_hz / step) | 1)
    frame = pd.DataFrame(values[::step].reshape(-1, math.prod(values.shape[1:])))
    out = frame.rolling(window, center=True, min_periods=1).quantile(quantile).to_numpy()
    if step > 1 and len(values):
        at = np.arange(len(values))
        coarse = at[::step]
        out = np.stack([np.interp(at, coarse, column) for column in out.T], axis=1)
    return np.asarray(out, dtype=np.float64).reshape(values.shape)
