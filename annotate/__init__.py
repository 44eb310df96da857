"""What the movement means against the plan: a track in, a review and a script out."""

from annotate.proofread import review_clip, review_track

__all__ = ["review_clip", "review_track"]
