"""What a filmed class delivered against its plan: a clip in, a review and a script out.

This is the public interface; everything else may move. Times are seconds from the first presented
frame, angles degrees, lengths on the body trunk lengths. What could not be judged is None and says
why.

>>> from annotate import review_clip, make_script
>>> review = review_clip("harbour.mp4", plan="harbour.plan.yaml")    # doctest: +SKIP
>>> [row.text for row in review.comparison if row.status != "as planned"]    # doctest: +SKIP
>>> make_script(review).periods[0].lines    # doctest: +SKIP

From a clip
    :func:`review_clip` goes the whole way; :func:`read_take` and :func:`review_take` are its two
    halves, so that one take can be held against several plans.
From joints
    :func:`review_track` judges a :class:`PoseTrack`, for example one that
    ``PoseTrack.from_joints`` made of motion capture.
Afterwards
    :func:`correct_review` applies corrections by hand, :func:`make_script` writes the script for
    the next take, :func:`export` the markers for an editor, :func:`repetition_table` and
    :func:`round_table` give pandas tables. :func:`differences` says why two reviews of one clip
    differ.

Everything the user's material can be at fault for is an :class:`InputError`, with one line that
says what, where and what to do.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from annotate.errors import (
        CaptionError,
        CorrectionError,
        ExportError,
        PhraseError,
        PlanError,
    )
    from annotate.exports import Exported, export
    from annotate.pipeline import (
        Take,
        correct_review,
        read_take,
        review_clip,
        review_take,
        review_track,
    )
    from annotate.plan.model import ClassPlan
    from annotate.plan.read import read_plan
    from annotate.review.differences import differences
    from annotate.review.edits import read_edits
    from annotate.review.model import Review
    from annotate.review.read import read_review
    from annotate.review.tables import repetition_table, round_table
    from annotate.script.build import Script, make_script
    from pose.errors import Cancelled, ClipError, InputError, ModelError, TrackError
    from pose.track import PoseTrack

# Where each name lives. They are loaded when first asked for: reading a plan needs no analysis.
_HOMES = {
    "annotate.pipeline": (
        "Take", "correct_review", "read_take", "review_clip", "review_take", "review_track",
    ),
    "annotate.plan.model": ("ClassPlan",),
    "annotate.plan.read": ("read_plan",),
    "annotate.review.differences": ("differences",),
    "annotate.review.edits": ("read_edits",),
    "annotate.review.model": ("Review",),
    "annotate.review.read": ("read_review",),
    "annotate.review.tables": ("repetition_table", "round_table"),
    "annotate.script.build": ("Script", "make_script"),
    "annotate.exports": ("Exported", "export"),
    "annotate.errors": (
        "CaptionError", "CorrectionError", "ExportError", "PhraseError", "PlanError",
    ),
    "pose.errors": ("Cancelled", "ClipError", "InputError", "ModelError", "TrackError"),
    "pose.track": ("PoseTrack",),
}  # fmt: skip
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Cancelled",
    "CaptionError",
    "ClassPlan",
    "ClipError",
    "CorrectionError",
    "ExportError",
    "Exported",
    "InputError",
    "ModelError",
    "PhraseError",
    "PlanError",
    "PoseTrack",
    "Review",
    "Script",
    "Take",
    "TrackError",
    "correct_review",
    "differences",
    "export",
    "make_script",
    "read_edits",
    "read_plan",
    "read_review",
    "read_take",
    "repetition_table",
    "review_clip",
    "review_take",
    "review_track",
    "round_table",
]


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives."""
    if name in _HOME_OF:
        return getattr(import_module(_HOME_OF[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
