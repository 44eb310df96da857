"""Read a ``review.json`` again."""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import ValidationError

from annotate.errors import ExportError
from annotate.review.model import Review
from annotate.review.older import up_to_date
from annotate.review.queries import labelled


def read_review(path: Path) -> Review:
    """The review in a file, also one that an earlier version wrote.

    Raises
    ------
    ExportError
        The file is missing, or not a review of this version.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise ExportError(f"{path}: no such file; takeproof review writes review.json") from error
    except UnicodeDecodeError as error:
        raise ExportError(f"{path}: not text; give the review.json of a review") from error
    except OSError as error:
        raise ExportError(f"{path}: cannot be read ({(error.strerror or '').lower()})") from error
    try:
        values = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as error:
        where = f", line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise ExportError(f"{path}{where}: not JSON; give the review.json of a review") from error
    if not isinstance(values, dict) or "schema" not in values:
        raise ExportError(f"{path}: not a review; give the review.json that takeproof review wrote")
    try:
        review = Review.model_validate(up_to_date(values))
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        raise ExportError(
            f'{path}: not a review of this version ("{key}": {first["msg"].lower()}); '
            "review the clip again"
        ) from error
    return review.model_copy(update={"periods": labelled(review.periods, review.comparison)})
