"""Compare a filmed class with its plan: a clip in, a review and a script out.

This is the public interface; everything else may move. Times are seconds from the first presented
frame, angles are degrees, lengths on the body are trunk lengths. What could not be judged is None,
with the reason beside it.

>>> from annotate import review_clip, make_script
>>> review = review_clip("harbour.mp4", plan="harbour.plan.yaml")    # doctest: +SKIP
>>> [row.text for row in review.comparison if row.status != "as planned"]    # doctest: +SKIP
>>> make_script(review).periods[0].lines    # doctest: +SKIP

From a clip
    :func:`review_clip` does everything. :func:`read_take` and :func:`review_take` are its two
    halves, so that one take can be compared with several plans.
From joints
    :func:`review_track` judges a :class:`PoseTrack`, for example one that
    ``PoseTrack.from_joints`` made of motion capture.
Afterwards
    :func:`correct_review` applies corrections by hand, :func:`make_script` writes the script for
    the next take, :func:`export` the markers for an editor, :func:`repetition_table` and
    :func:`round_table` give pandas tables. :func:`differences` says why two reviews of one clip
    differ.

Every fault in the user's files is an :class:`InputError`; its message is one line that says what is
wrong, where, and what to do.
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

# The module of each name. They are imported when first used: reading a plan needs no analysis.
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
    """Import a public name from its module when it is first used.

    Raises
    ------
    AttributeError
        The name is not public.
    """
    if name in _HOME_OF:
        return getattr(import_module(_HOME_OF[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
