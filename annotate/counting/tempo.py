"""Half and double tempo: teaching devices before they are mistakes, and told as such.

One rule for the comparison with the plan and for the music, so that a review never says two
things of one period.
"""

from __future__ import annotations

from math import log
from typing import Literal

from annotate.plan.unroll import PlannedPeriod
from annotate.review.model import Period
from annotate.review.queries import planned_cadence_per_min

Tempo = Literal["half", "double"]

# Done to music, a repetition takes 1, 2, 3, 4, 6, 8, 12 or 16 counts (see music/on_beat). Half of
# one of these paces and double of it are among them, too; the nearest other pace is four thirds as
# fast (three counts in place of four) or three quarters (four in place of three). By ratio, what is
# nearer to half or double than to that is half or double.
NEXT_PACE = 4 / 3
MAX_LOG_RATIO = log(NEXT_PACE) / 2


def tempo_of(planned: PlannedPeriod | None, period: Period) -> Tempo | None:
    """Half or double the planned cadence; None for neither, or where one is not known."""
    asked = None if planned is None else planned_cadence_per_min(planned)
    found = period.reps.cadence_per_min
    if not asked or not found:
        return None
    ratio = found / asked
    if abs(log(ratio / 0.5)) <= MAX_LOG_RATIO:
        return "half"
    return "double" if abs(log(ratio / 2.0)) <= MAX_LOG_RATIO else None
