"""Half and double tempo: often intended in teaching, so reported as such, not as a mistake.

One rule for the comparison with the plan and for the music, so that a review never contradicts
itself.
"""

from __future__ import annotations

from typing import Literal

from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Period
from annotate.review.queries import planned_cadence_per_min

Tempo = Literal["half", "double"]

# Fraction by which the cadence may differ from exactly half or double. The cadence of a set is off
# by a few per cent from what was intended. In music the next possible tempo is a third away (three
# counts instead of four), but a wider band would take missing repetitions for half tempo: 8 instead
# of 14 are 1.14 of half.
TOLERANCE = 0.12


def tempo_of(planned: PlannedPeriod | None, period: Period) -> Tempo | None:
    """Half or double the planned cadence; None for neither, or where one is not known."""
    asked = None if planned is None else planned_cadence_per_min(planned)
    found = period.reps.cadence_per_min
    if not asked or not found:
        return None
    if abs(found / asked / 0.5 - 1) <= TOLERANCE:
        return "half"
    return "double" if abs(found / asked / 2.0 - 1) <= TOLERANCE else None
