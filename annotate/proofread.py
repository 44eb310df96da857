"""From a clip (or a track) and a plan to the review: the whole way through."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from annotate import notices as say
from annotate.activities import describe, reps_missed, unlike
from annotate.align import Judge, align
from annotate.compare import compare, totals
from annotate.delivered import with_plan, without_plan
from annotate.drift import find_drift
from annotate.period_reps import with_reps
from annotate.periods import cut
from annotate.plan import ClassPlan, unroll
from annotate.plan_file import read_plan
from annotate.review import Clip, Comparison, Notice, Review
from annotate.view import view_spans
from pose.clip import probe
from pose.extract import extract
from pose.signals import movement_signals
from pose.track import PoseTrack

Progress = Callable[[str, float], None]

# Share of the running time that goes into looking at the pictures.
_PICTURES = 0.97


def review_clip(
    clip: str | Path,
    plan: str | Path | ClassPlan | None = None,
    captions: str | Path | None = None,
    *,
    progress: Progress | None = None,
) -> Review:
    """Review a filmed rehearsal.

    Parameters
    ----------
    clip : path
        The video.
    plan : path, ClassPlan or None
        What should have happened; without it the review says what was delivered.
    captions : path or None
        Kept beside the clip; spoken cues are not compared yet, and the review says so.
    progress : callable or None
        Called with a stage in plain words and the part done of the whole, 0 to 1. May raise
        :class:`pose.errors.Cancelled` to stop.

    Raises
    ------
    InputError
        The clip or the plan is at fault; one line says what and where.
    """
    tell = progress or (lambda stage, part: None)
    planned = read_plan(Path(plan)) if isinstance(plan, str | Path) else plan
    warnings = probe(clip).warnings
    track = extract(clip, progress=lambda part: tell("looking at the pictures", _PICTURES * part))
    tell("counting and comparing", _PICTURES)
    extra = [Notice(level="warning", code=w.code, text=w.text) for w in warnings]
    if captions is not None:
        extra.append(say.captions_not_compared())
    review = review_track(track, planned, notices=extra)
    tell("done", 1.0)
    return review


def review_track(
    track: PoseTrack, plan: ClassPlan | None = None, *, notices: Sequence[Notice] = ()
) -> Review:
    """The same review from a track: from a clip seen before, or from recorded joints.

    Parameters
    ----------
    track : PoseTrack
    plan : ClassPlan or None
    notices : sequence of Notice
        What is already known of the footage; the review's own follow.
    """
    timeline = unroll(plan) if plan else None
    signals = movement_signals(track, mirrored=plan.mirrored if plan else False)
    activities = describe(signals, cut(signals))
    comparison: tuple[Comparison, ...] = ()
    if timeline is None:
        periods = with_reps(track, signals, without_plan(activities))
    else:
        judge = Judge(unlike, reps_missed(signals))
        pairings = align(activities, timeline.periods, judge)
        deliveries = with_plan(signals, activities, timeline, pairings)
        periods = with_reps(track, signals, [d.period for d in deliveries if d.period])
        comparison = compare(timeline, deliveries, periods)
    view = view_spans(signals)
    drift = find_drift(periods, view)
    return Review(
        clip=Clip(**asdict(track.clip)),
        plan=timeline,
        view=view,
        periods=periods,
        comparison=comparison,
        totals=totals(timeline, periods),
        drift=drift,
        notices=(
            *notices,
            *say.about_footage(track),
            *say.about_plan(timeline, view),
            *say.about_periods(periods, comparison),
        ),
    )
