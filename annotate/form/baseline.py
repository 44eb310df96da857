"""Which repetitions the back line is compared with: the baseline of verdicts and pictures.

The baseline is a movement's own first clean repetitions or, where it has too few, the earliest
clean bent-over ones of the clip. It is chosen once and stored in the review, so that a still shows
exactly what was compared.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from annotate.counting.count import FoundRep

# The first clean repetition is skipped: the person is still settling in (common practice, no
# source).
BASELINE_SKIP = 1
# The next three: their median survives one that is already round. Two at least: with fewer there is
# no spread to judge a change by.
BASELINE_REPS = 3
BASELINE_LEAST = 2
# Repetitions later than these are not early any more (judgement, no source).
EARLY_REPS = 8

OWN = "own first repetitions"
EARLIEST = "earliest bent-over repetitions of the clip"

S = TypeVar("S")


@dataclass(frozen=True)
class Baseline(Generic[S]):
    """The repetitions that others are compared with.

    Attributes
    ----------
    compared_with : str
        Where they are from, :data:`OWN` or :data:`EARLIEST`.
    reps : tuple of FoundRep
        In time order; empty where too few were clean.
    samples : tuple, as long as `reps`
        What was measured of each.
    """

    compared_with: str
    reps: tuple[FoundRep, ...]
    samples: tuple[S, ...]


def choose_baseline(
    own: Sequence[FoundRep],
    samples: Sequence[S | str],
    others: Sequence[FoundRep],
    sample_of: Callable[[FoundRep], S | str],
) -> Baseline[S]:
    """Choose the repetitions to compare with.

    Parameters
    ----------
    own : sequence of FoundRep
        The movement's repetitions in time order.
    samples : sequence, as long as `own`
        What was measured of each, or the reason why its back cannot be judged.
    others : sequence of FoundRep
        All bent-over repetitions of the clip in time order.
    sample_of : callable
        Measures one of `others`; returns the same kind of sample or reason.

    Returns
    -------
    Baseline
        Without repetitions where too few are clean.
    """
    chosen = _first_clean(OWN, own, samples)
    if len(chosen.reps) < BASELINE_LEAST:
        chosen = _first_clean(EARLIEST, others, [sample_of(r) for r in others[:EARLY_REPS]])
    return chosen if len(chosen.reps) >= BASELINE_LEAST else Baseline(chosen.compared_with, (), ())


def _first_clean(
    compared_with: str, reps: Sequence[FoundRep], samples: Sequence[S | str]
) -> Baseline[S]:
    """The first clean repetitions, from the early part only."""
    clean = [
        (rep, s)
        for rep, s in zip(reps[:EARLY_REPS], samples[:EARLY_REPS], strict=True)
        if not isinstance(s, str) and rep.complete
    ][BASELINE_SKIP : BASELINE_SKIP + BASELINE_REPS]
    return Baseline(compared_with, tuple(r for r, _ in clean), tuple(s for _, s in clean))
