"""Notices: limits of the footage and the plan that the reader must know beside the findings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from annotate.catalogue.model import catalogue
from annotate.compare.people_notices import about_people
from annotate.form.points import OTHER_POINTS, POINTS
from annotate.periods.segment import is_too_short
from annotate.plan.read import suggest_movement
from annotate.plan.unroll import Timeline
from annotate.review.model import Notice, ViewSpan
from pose import landmarks as lm
from pose.signals.geometry import off_side_view_deg
from pose.track import PoseTrack

# Shoulders or hips hidden in more of the samples than this gives a notice: over a minute in a class
# of half an hour.
_MIN_HIDDEN_FRACTION = 0.05
# Within this the back line is judged best: measured (docs/measurements.md, "Accuracy of the back
# line": 0.85 to 0.90 of the repetitions assessable within 15 degrees, 0.3 at 30). The notice comes
# 10 degrees later, since the direction of the view is off by up to 10.
_MAX_GOOD_SIDE_VIEW_DEG = 15.0


def about_footage(track: PoseTrack) -> list[Notice]:
    """Report limits of the footage itself."""
    out = []
    if len(track) == 0 or not track.present.any():
        return [
            Notice(
                level="warning",
                code="nobody",
                text="Nobody was found in the picture: film the whole body, from 2 to 4 metres.",
                origin="footage",
            )
        ]
    if is_too_short(track.times_s):
        out.append(
            Notice(
                level="warning",
                code="too-short",
                text="There is less than a second of pictures: too short to tell what is done.",
                origin="footage",
            )
        )
    out += about_people(track)
    hidden = float((track.present & ~_trunk_seen(track)).mean())
    if hidden > _MIN_HIDDEN_FRACTION:
        out.append(
            Notice(
                level="warning",
                code="trunk-not-seen",
                text=f"Shoulders or hips were not seen in {hidden:.0%} of the pictures: not "
                "assessable there. Film the whole body.",
                origin="footage",
            )
        )
    if track.clip.variable_frame_rate:
        out.append(
            Notice(
                level="info",
                code="variable-frame-rate",
                text="The clip's frame rate varies. Times here are true times; an editor that "
                "assumes a fixed rate may show them elsewhere.",
                origin="footage",
            )
        )
    return out


def _trunk_seen(track: PoseTrack) -> NDArray[np.bool_]:
    """(n,) True where both shoulders and both hips were seen."""
    return np.asarray(np.isfinite(track.xy_px[:, [*lm.SHOULDERS, *lm.HIPS]]).all(axis=(1, 2)))


def about_plan(timeline: Timeline | None, view: Sequence[ViewSpan]) -> list[Notice]:
    """Report what in the plan cannot be judged from this footage; nothing without a plan."""
    if timeline is None:
        return []
    out = []
    movements = dict.fromkeys(p.movement for p in timeline.periods if p.movement)
    for word in movements:
        if word is not None and word not in catalogue():
            suggestion = suggest_movement(word, catalogue())
            hint = f" Did you mean {suggestion}?" if suggestion else ""
            out.append(
                Notice(
                    level="info",
                    code="unknown-movement",
                    text=f'"{word}" is not in the catalogue: counted as an unknown movement.{hint}',
                )
            )
    watched_points = dict.fromkeys(w for p in timeline.periods for w in p.watch)
    for word in watched_points:
        if word not in (*POINTS, *OTHER_POINTS):
            known = ", ".join(sorted((*POINTS, *OTHER_POINTS)))
            out.append(
                Notice(
                    level="info",
                    code="unknown-watch",
                    text=f'watch: "{word}" is not a point that can be watched; use {known}.',
                )
            )
    watched = any("back" in p.watch for p in timeline.periods)
    off_side_deg = [off_side_view_deg(v.yaw_deg) for v in view if v.yaw_deg is not None]
    if watched and off_side_deg and max(off_side_deg) > _MAX_GOOD_SIDE_VIEW_DEG + 10:
        out.append(
            Notice(
                level="warning",
                code="view",
                text=f"The camera stood up to about {max(off_side_deg):.0f} degrees off side view: "
                "the back line is judged best within 15. Turn side-on for the rehearsal.",
            )
        )
    return out
