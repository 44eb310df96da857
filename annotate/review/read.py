"""Read a ``review.json`` back into a review."""

from __future__ import annotations

import re
from pathlib import Path

from pydantic import ValidationError
from pydantic_core import from_json

from annotate.errors import ExportError
from annotate.reading import FileKind, read_text
from annotate.review.model import Review
from annotate.review.older import up_to_date
from annotate.review.queries import labelled

_GIVE = "give the review.json of a review"
# Bytes. Three hours of the fastest movement of the catalogue take about 40 MB.
REVIEW_FILE = FileKind(
    ExportError,
    noun="review",
    max_bytes=100_000_000,
    hint=_GIVE,
    empty=_GIVE,
    missing="takeproof review writes review.json",
)


def read_review(path: Path) -> Review:
    """The review in a file, including files that earlier versions wrote.

    Raises
    ------
    ExportError
        The file is missing or too large, or not a review of this version.
    """
    name = str(path)
    text = read_text(path, REVIEW_FILE)
    try:
        # Not Python's own reader: it fails with other errors on deep nesting and long numbers.
        values = from_json(text)
    except ValueError as error:
        line = re.search(r"line (\d+)", str(error))
        what = f"not JSON; {_GIVE}"
        raise REVIEW_FILE.fault(name, what, int(line[1]) if line else None) from error
    if not isinstance(values, dict) or "schema" not in values:
        what = "not a review; give the review.json that takeproof review wrote"
        raise REVIEW_FILE.fault(name, what)
    try:
        review = Review.model_validate(up_to_date(values))
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        what = (
            f'not a review of this version ("{key}": {first["msg"].lower()}); review the clip again'
        )
        raise REVIEW_FILE.fault(name, what) from error
    return review.model_copy(update={"periods": labelled(review.periods, review.comparison)})
