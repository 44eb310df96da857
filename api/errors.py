"""Errors of the command line and the service; the tree is drawn in :mod:`pose.errors`."""

from __future__ import annotations

from pose.errors import InputError


class OutputError(InputError):
    """A place the user named that cannot be written to."""


class ServeError(InputError):
    """An address, a data folder or a scheduler that cannot be used."""
