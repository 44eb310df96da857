"""Everything that can go wrong, as one tree.

TakeproofError
├── InputError            the user's material is at fault; carries one line: what, where, what to do
│   ├── ClipError         a video that cannot be opened, decoded or judged
│   ├── ModelError        the landmark model is missing or unusable
│   ├── PersonNotFound    nobody is where the person to follow was pointed at
│   ├── TrackError        a stored track that cannot be read, or joints of the wrong shape
│   ├── PlanError         a class plan that cannot be read or does not add up   (annotate)
│   ├── CorrectionError   a correction that points at nothing                      (annotate)
│   ├── CaptionError      a caption file that cannot be read                    (annotate)
│   ├── PhraseError       a phrase file that cannot be read                     (annotate)
│   ├── ExportError       markers that cannot be written as asked for           (annotate)
│   ├── OutputError       results that cannot be written where they were asked for   (api)
│   └── ServeError        the service cannot start                                   (api)
└── Cancelled             the caller asked to stop; nothing half-written is left

The command line turns an InputError into one line and exit code 2, the service into status 4xx.
Anything outside this tree is a fault of ours: exit code 1 or status 500.
"""

from __future__ import annotations


class TakeproofError(Exception):
    """Root of every error this project raises on purpose."""


class InputError(TakeproofError):
    """The input is at fault. ``str(error)`` is one plain line for the user."""


class ClipError(InputError):
    """A clip that cannot be opened, decoded or judged."""


class ModelError(InputError):
    """The landmark model is missing or unusable."""


class PersonNotFound(InputError):
    """Nobody is where the person to follow was pointed at."""


class TrackError(InputError):
    """A stored track that cannot be read, or joint data of the wrong shape."""


class Cancelled(TakeproofError):
    """The caller asked to stop."""
