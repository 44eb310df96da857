"""The plan's and the captions' branches of the error tree drawn in :mod:`pose.errors`."""

from __future__ import annotations

from pose.errors import InputError


class PlanError(InputError):
    """A class plan that cannot be read or does not add up."""


class CorrectionError(InputError):
    """A correction that cannot be read or points at nothing."""


class CaptionError(InputError):
    """A caption file that cannot be read."""


class ExportError(InputError):
    """An export that cannot be made as asked for."""


class PhraseError(InputError):
    """A phrase file that cannot be read."""
