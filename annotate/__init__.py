"""What the movement means against the plan: a track in, a review and a script out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from annotate.pipeline import review_clip, review_track

__all__ = ["review_clip", "review_track"]


def __getattr__(name: str) -> Any:
    """Load the analysis when it is first asked for: reading a plan does not need it."""
    if name in __all__:
        from annotate import pipeline as proofread

        return getattr(proofread, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
