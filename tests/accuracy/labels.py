"""Share of the time whose kind is right."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from annotate.review.model import Review

STEP_S = 0.1


def rightly_labelled(truth: dict[str, Any], review: Review) -> float:
    """Share of a class during which the found kind of period is the true one."""
    times = np.arange(0, truth["duration_s"], STEP_S)

    def kind_at(periods: list[tuple[float, float, str]]) -> NDArray[np.object_]:
        out = np.full(len(times), "", dtype=object)
        for start, end, kind in periods:
            out[(times >= start) & (times < end)] = kind
        return out

    true = kind_at([(p["start_s"], p["end_s"], p["kind"]) for p in truth["periods"]])
    found = kind_at([(p.start_s, p.end_s, p.kind) for p in review.periods])
    return float((true == found).mean())
