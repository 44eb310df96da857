"""The errors of this package's own files; the whole tree is drawn in :mod:`pose.errors`."""

from __future__ import annotations

from pose.errors import InputError


class PlanError(InputError):
    """A class plan that cannot be read, or whose values contradict each other."""


class CorrectionError(InputError):
    """A correction that cannot be read, or that matches no period or boundary."""


class CaptionError(InputError):
    """A caption file that cannot be read."""


class ExportError(InputError):
    """An export that cannot be made as asked for."""


class PhraseError(InputError):
    """A phrase file that cannot be read."""
