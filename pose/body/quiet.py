"""Native code that writes to standard error, kept quiet while it loads."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock


class _Silence:
    """Standard error of the whole process, switched off while any thread wants it off."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.wanted_by = 0
        self.kept = -1


_silence = _Silence()


@contextmanager
def quiet() -> Iterator[None]:
    """Discard what native code writes to standard error; no setting of it does that."""
    with _silence.lock:
        if _silence.wanted_by == 0:
            _silence.kept = os.dup(2)
            with open(os.devnull, "wb") as nowhere:
                os.dup2(nowhere.fileno(), 2)
        _silence.wanted_by += 1
    try:
        yield
    finally:
        with _silence.lock:
            _silence.wanted_by -= 1
            if _silence.wanted_by == 0:
                os.dup2(_silence.kept, 2)
                os.close(_silence.kept)
