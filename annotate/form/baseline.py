"""Which repetitions the back line is compared with: chosen once, for the verdict and the pictures.

A movement's own first clean repetitions; where it has too few, the earliest clean bent-over ones of
the clip. The choice is kept in the review, so that a still shows exactly what was compared.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from annotate.counting.count import FoundRep

# The very first repetition is still settling in; the next ones are the person's own measure.
BASELINE_SKIP = 1
BASELINE_REPS = 3
BASELINE_LEAST = 2
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
        Whose they are, :data:`OWN` or :data:`EARLIEST`.
    reps : tuple of FoundRep
        In time order; empty where too few were clean.
    samples : tuple, as long as `reps`
        What was seen of each.
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
        What was seen of each, or a reason where its back cannot be judged.
    others : sequence of FoundRep
        All bent-over repetitions of the clip in time order.
    sample_of : callable
        What is seen of one of them, or such a reason.
    """
    chosen = _first_clean(OWN, own, samples)
    if len(chosen.reps) < BASELINE_LEAST:
        chosen = _first_clean(EARLIEST, others, [sample_of(r) for r in others[:EARLY_REPS]])
    return chosen if len(chosen.reps) >= BASELINE_LEAST else Baseline(chosen.compared_with, (), ())


def _first_clean(
    compared_with: str, reps: Sequence[FoundRep], samples: Sequence[S | str]
) -> Baseline[S]:
    """The first clean repetitions; later ones are nobody's first."""
    clean = [
        (rep, s)
        for rep, s in zip(reps[:EARLY_REPS], samples[:EARLY_REPS], strict=True)
        if not isinstance(s, str) and rep.complete
    ][BASELINE_SKIP : BASELINE_SKIP + BASELINE_REPS]
    return Baseline(compared_with, tuple(r for r, _ in clean), tuple(s for _, s in clean))
