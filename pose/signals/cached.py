"""Questions about the same stretch of footage are asked many times over: answered once.

What a segment shows is asked when it is described, named, aligned with the plan and counted.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from pose.signals.model import Signals

P = ParamSpec("P")
R = TypeVar("R")


def once(
    work: Callable[Concatenate[Signals, P], R],
) -> Callable[Concatenate[Signals, P], R]:
    """Remember what came of the same arguments, for as long as the signals live.

    Arguments are numbers, or objects that are told apart by who they are.
    """
    kept: WeakKeyDictionary[Signals, dict[tuple[object, ...], tuple[object, R]]]
    kept = WeakKeyDictionary()

    @wraps(work)
    def remembered(signals: Signals, /, *args: P.args, **kwargs: P.kwargs) -> R:
        known = kept.setdefault(signals, {})
        given = (*args, *kwargs, *kwargs.values())
        key = tuple(a if isinstance(a, float | int | str) else id(a) for a in given)
        if key not in known:
            # The arguments are kept, too: an id means nothing once its object is gone.
            known[key] = (given, work(signals, *args, **kwargs))
        return known[key][1]

    return remembered
