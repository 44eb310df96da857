"""The console script: starts takeproof once it is sure that the packages it finds are its own.

``pose``, ``annotate`` and ``api`` are common words. Where another package of such a name comes
first, Python would import that one and stop with an error that says nothing useful. This module
has a name of its own, checks before anything is imported, and says in one line what is in the way.
"""

from __future__ import annotations

import sys
from importlib.util import find_spec
from pathlib import Path

# A file by which each of our packages is known.
_OWN = {"pose": "track.py", "annotate": "pipeline.py", "api": "work/produce.py"}


def main() -> None:
    """Console script ``takeproof``."""
    line = foreign_package()
    if line is not None:
        print(f"takeproof: {line}", file=sys.stderr)
        sys.exit(2)
    from api.cli.run import main as run

    run()


def foreign_package() -> str | None:
    """One line about a package that is not ours; None where all are, and of one installation."""
    places: dict[str, Path] = {}
    for name, file in _OWN.items():
        spec = find_spec(name)
        if spec is None:
            return f'the package "{name}" is missing; install takeproof again'
        found = [Path(place) for place in spec.submodule_search_locations or [spec.origin or ""]]
        own = next((place for place in found if (place / file).is_file()), None)
        if own is None:
            return (
                f'another package "{name}" is found first, at {found[0]}; take it off PYTHONPATH, '
                "or install takeproof in an environment of its own"
            )
        places[name] = own.parent
    if len(set(places.values())) > 1:
        where = ", ".join(f"{name} in {place}" for name, place in places.items())
        return f"its packages are of two installations ({where}); remove one of them"
    return None
