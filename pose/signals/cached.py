"""Cached results: the same question about the same signals is worked out once.

What a stretch shows is asked when it is described, named, aligned with the plan and counted.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from pose.signals.model import Signals

P = ParamSpec("P")
R = TypeVar("R")


def cached(
    function: Callable[Concatenate[Signals, P], R],
) -> Callable[Concatenate[Signals, P], R]:
    """Cache the results of a function of signals, for as long as the signals live.

    Numbers and words among the arguments are compared by value, other objects by identity.
    """
    cache: WeakKeyDictionary[Signals, dict[tuple[object, ...], tuple[object, R]]]
    cache = WeakKeyDictionary()

    @wraps(function)
    def wrapper(signals: Signals, /, *args: P.args, **kwargs: P.kwargs) -> R:
        results = cache.setdefault(signals, {})
        given = (*args, *kwargs, *kwargs.values())
        key = tuple(a if isinstance(a, float | int | str) else id(a) for a in given)
        if key not in results:
            # The arguments are kept, too: another object may get the id of one that is gone.
            results[key] = (given, function(signals, *args, **kwargs))
        return results[key][1]

    return wrapper
