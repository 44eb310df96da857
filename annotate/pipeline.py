"""From a clip (or a track) and a plan to the review: the whole way through."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, replace
from pathlib import Path
from threading import Event

from annotate.compare import notices as say
from annotate.compare.compare import compare
from annotate.compare.findings import about_drift, about_periods
from annotate.compare.sheet import sheet_rows
from annotate.compare.totals import totals
from annotate.counting.view import view_spans
from annotate.cues.captions import Word, read_captions
from annotate.cues.judge import judge_cues
from annotate.form.drift import find_drift
from annotate.form.repetitions import with_reps
from annotate.form.stills import find_stills
from annotate.music.beat import Beat
from annotate.music.listen import Heard, listen
from annotate.music.on_beat import beats_of, with_music
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.evidence import Activity, describe, describe_corrected, judge_of
from annotate.periods.label import Delivery, with_plan, without_plan
from annotate.periods.reorder import align_in_any_order
from annotate.periods.segment import cut
from annotate.plan.model import ClassPlan, Timeline, unroll
from annotate.plan.read import read_plan
from annotate.review.edits import Edit, corrected
from annotate.review.model import Clip, Notice, Review
from pose.extract.parallel import extract
from pose.signals.compute import Signals, movement_signals
from pose.track import PoseTrack
from pose.video.probe import CLIP_WARNINGS, ClipProbe, probe
from pose.video.source import Source

Progress = Callable[[str, float], None]

# Share of the running time that goes into looking at the pictures.
_PICTURES = 0.97


def review_clip(
    clip: str | Path,
    plan: str | Path | ClassPlan | None = None,
    captions: str | Path | None = None,
    *,
    progress: Progress | None = None,
    on_track: Callable[[PoseTrack], None] | None = None,
) -> Review:
    """Review a filmed rehearsal.

    Parameters
    ----------
    clip : path
        The video.
    plan : path, ClassPlan or None
        What should have happened; without it the review says what was delivered.
    captions : path or None
        WebVTT or SubRip of what was said; its cues are held against the footage.
    progress : callable or None
        Called with a stage in plain words and the part done of the whole, 0 to 1. May raise
        :class:`pose.errors.Cancelled` to stop.
    on_track : callable or None
        Given the track once all pictures have been looked at, to keep it for corrections.

    Raises
    ------
    InputError
        The clip, the plan or the captions are at fault; one line says what and where.
    """
    tell = progress or (lambda stage, part: None)
    planned = read_plan(Path(plan)) if isinstance(plan, str | Path) else plan
    words = () if captions is None else read_captions(Path(captions))
    tell("reading the clip", 0.0)
    found = probe(clip)
    with _listening(clip, found.info.sha256) as heard:
        track = extract(
            clip,
            clip=found,
            progress=lambda part: tell("looking at the pictures", _PICTURES * part),
        )
        if on_track is not None:
            on_track(track)
        tell("listening to the music", _PICTURES)
        beats, unheard = heard.result()
    tell("counting and comparing", _PICTURES + 0.01)
    notices = (*warnings(found), *unheard)
    review = review_track(track, planned, notices=notices, words=words, beats=beats)
    tell("done", 1.0)
    return review


@contextmanager
def _listening(clip: Source, sha256: str) -> Iterator[Future[Heard]]:
    """The music is listened to aside, and no longer than this block lasts."""
    stop = Event()
    with ThreadPoolExecutor(1, thread_name_prefix="ear") as aside:
        try:
            yield aside.submit(listen, clip, sha256, stop)
        finally:
            stop.set()


def warnings(found: ClipProbe) -> tuple[Notice, ...]:
    """What the clip's probe warns of."""
    return tuple(Notice(level="warning", code=w.code, text=w.text) for w in found.warnings)


def review_track(
    track: PoseTrack,
    plan: ClassPlan | Timeline | None = None,
    *,
    edits: Sequence[Edit] = (),
    notices: Sequence[Notice] = (),
    words: Sequence[Word] = (),
    beats: Sequence[Beat] = (),
    costs: Costs = DEFAULT,
) -> Review:
    """The same review from a track: from a clip seen before, or from recorded joints.

    Parameters
    ----------
    track : PoseTrack
    plan : ClassPlan, Timeline or None
    edits : sequence of Edit
        Corrections by hand, applied on top of the analysis.
    notices : sequence of Notice
        What is already known of the footage; the review's own follow.
    words : sequence of Word
        What was said, see :func:`annotate.cues.captions.read_captions`.
    beats : sequence of Beat
        The music, see :func:`annotate.music.beat.find_beats`.
    costs : Costs
        What the alignment with the plan weighs.
    """
    timeline = unroll(plan) if isinstance(plan, ClassPlan) else plan
    signals = movement_signals(track, mirrored=timeline.mirrored if timeline else False)
    deliveries = _deliveries(signals, describe(signals, cut(signals)), timeline, costs)
    if edits:
        by_hand = corrected([d.period for d in deliveries if d.period], edits)
        activities = describe_corrected(signals, by_hand)
        deliveries = _deliveries(signals, activities, timeline, replace(costs, max_merged=1))
    periods = with_reps(track, signals, [d.period for d in deliveries if d.period])
    comparison = compare(timeline, deliveries, periods) if timeline else ()
    view = view_spans(signals)
    drift = find_drift(periods, view)
    review = Review(
        clip=Clip(**asdict(track.clip)),
        plan=timeline,
        view=view,
        periods=periods,
        comparison=comparison,
        totals=totals(timeline, comparison, periods),
        sheet=sheet_rows(periods, comparison),
        drift=drift,
        stills=find_stills(periods),
        edits=tuple(e.model_dump(exclude_none=True) for e in edits),
        notices=(
            *notices,
            *say.about_footage(track),
            *say.about_plan(timeline, view),
            *about_periods(periods, comparison),
            *about_drift(drift),
        ),
    )
    if words:
        judged = judge_cues(words, review, timeline.spoken_sides if timeline else None)
        told = (*review.notices, *judged.notices)
        review = review.model_copy(update={"cues": judged.cues, "notices": told})
    return with_music(review, beats) if beats else review


def correct_review(
    review: Review, track: PoseTrack, edits: Sequence[Edit], words: Sequence[Word] = ()
) -> Review:
    """A review made anew with corrections by hand.

    Parameters
    ----------
    review : Review
        Any review of this take: its plan and what is known of its clip are used.
    track : PoseTrack
        Of the same clip.
    edits : sequence of Edit
        The whole list; an empty one gives the original analysis back.
    words : sequence of Word
        What was said, if the cues are to be judged.

    Raises
    ------
    CorrectionError
        An edit that points at nothing.
    """
    of_clip = [n for n in review.notices if n.code in CLIP_WARNINGS]
    beats = beats_of(review.music)
    made = review_track(track, review.plan, edits=edits, notices=of_clip, words=words, beats=beats)
    return made.model_copy(update={"notes": review.notes})


def _deliveries(
    signals: Signals,
    activities: Sequence[Activity],
    timeline: Timeline | None,
    costs: Costs,
) -> tuple[Delivery, ...]:
    """Activities as periods, in the plan's terms where there is a plan."""
    if timeline is None:
        return tuple(Delivery(None, p) for p in without_plan(activities))
    judge = judge_of(signals, costs)
    pairings = align_in_any_order(activities, timeline.periods, judge, costs=costs)
    return with_plan(signals, activities, timeline, pairings)
