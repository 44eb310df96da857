"""The pipeline: from a clip to a take, and from a take to a review.

A :class:`Take` holds everything that was seen and heard. Judging it needs no video, so one take can
be compared with several plans, or judged again with corrections by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import Event

from annotate.compare import notices as limits
from annotate.compare.compare import compare
from annotate.compare.findings import about_drift, about_periods
from annotate.compare.sheet import sheet_rows
from annotate.compare.totals import totals
from annotate.counting.view import view_spans
from annotate.cues.captions import Word, read_captions, words_id
from annotate.cues.judge import judge_cues
from annotate.cues.words import LANGUAGE
from annotate.form.drift import find_drift
from annotate.form.repetitions import with_reps
from annotate.form.stills import find_stills
from annotate.music.beat import Beat
from annotate.music.listen import MusicResult, listen
from annotate.music.on_beat import beats_from_review, with_music
from annotate.periods.costs import DEFAULT, Costs
from annotate.periods.evidence import Activity, describe, describe_corrected_periods, fit_measures
from annotate.periods.label import Delivery, label_with_plan, label_without_plan
from annotate.periods.reorder import align_with_reordering
from annotate.periods.segment import segment_clip
from annotate.plan.model import ClassPlan
from annotate.plan.read import read_plan
from annotate.plan.unroll import Timeline, unroll
from annotate.review.edits import Edit, corrected
from annotate.review.model import Clip, Note, Notice, Review
from annotate.review.provenance import provenance_of, utc_now
from annotate.review.queries import labelled
from pose.extract.parallel import extract
from pose.persons import Pick
from pose.signals.compute import movement_signals
from pose.signals.model import Signals
from pose.track import PoseTrack
from pose.video.probe import ClipProbe, probe
from pose.video.source import Source

Progress = Callable[[str, float], None]

# Fraction of the running time spent on the pictures: all but the analysis and the rest of the
# listening (docs/measurements.md, "Speed").
_PICTURES_FRACTION = 0.97


@dataclass(frozen=True, eq=False)
class Take:
    """Everything that was seen and heard of one rehearsal.

    Attributes
    ----------
    track : PoseTrack
        The body over time, and facts about the clip.
    beats : tuple of Beat
        The music, see :func:`annotate.music.beat.find_beats`.
    words : tuple of Word
        What was said, see :func:`annotate.cues.captions.read_captions`.
    notices : tuple of Notice
        Limits of the footage that the reader of the findings must know.
    made : datetime or None
        When the clip was analysed; None for a track without a clip.
    """

    track: PoseTrack
    beats: tuple[Beat, ...] = ()
    words: tuple[Word, ...] = ()
    notices: tuple[Notice, ...] = ()
    made: datetime | None = None


def review_clip(
    clip: Source,
    plan: str | Path | ClassPlan | None = None,
    captions: str | Path | None = None,
    *,
    person: Pick | None = None,
    progress: Progress | None = None,
) -> Review:
    """Review a filmed rehearsal.

    Parameters
    ----------
    clip : path
        The video.
    plan : path, ClassPlan or None
        What was planned; without it the review says only what was delivered.
    captions, person, progress
        As for :func:`read_take`.

    Raises
    ------
    InputError
        The clip, the plan or the captions are at fault; one line says what and where.
    """
    planned = read_plan(Path(plan)) if isinstance(plan, str | Path) else plan
    take = read_take(clip, captions, person=person, progress=progress)
    review = review_take(take, planned)
    if progress is not None:
        progress("done", 1.0)
    return review


def review_track(
    track: PoseTrack,
    plan: ClassPlan | Timeline | None = None,
    *,
    edits: Sequence[Edit] = (),
    words: Sequence[Word] = (),
    beats: Sequence[Beat] = (),
    costs: Costs = DEFAULT,
) -> Review:
    """Review a track: of a clip analysed before, or made from recorded joints.

    Parameters
    ----------
    track : PoseTrack
    plan : ClassPlan, Timeline or None
        What was planned.
    edits : sequence of Edit
        Corrections by hand, applied on top of the analysis.
    words, beats
        As in :class:`Take`.
    costs : Costs
        Weights of the alignment with the plan.

    Raises
    ------
    CorrectionError
    """
    take = make_take(track, music_result=(tuple(beats), ()), words=words)
    return review_take(take, plan, edits=edits, costs=costs)


def correct_review(
    review: Review, track: PoseTrack, edits: Sequence[Edit], words: Sequence[Word] = ()
) -> Review:
    """Make a review again with corrections by hand.

    Parameters
    ----------
    review : Review
        Any review of this take; its plan, notes, music and notices of the footage are used.
    track : PoseTrack
        Of the same clip.
    edits : sequence of Edit
        The whole list; an empty one gives the original analysis.
    words : sequence of Word
        What was said, if the cues are to be judged.

    Raises
    ------
    CorrectionError
    """
    take = take_from_review(review, track, words)
    return review_take(take, review.plan, edits=edits, notes=review.notes)


def read_take(
    clip: Source,
    captions: str | Path | None = None,
    *,
    person: Pick | None = None,
    progress: Progress | None = None,
) -> Take:
    """Analyse the pictures and the sound of a clip, and read its captions.

    Parameters
    ----------
    clip : path
        The video.
    captions : path or None
        WebVTT or SubRip of what was said.
    person : Pick or None
        Whom to follow; None: whom the clip is about, see :mod:`pose.body.people`.
    progress : callable or None
        Called with the stage in words and the fraction done of the whole, 0 to 1. May raise
        :class:`pose.errors.Cancelled` to stop.

    Raises
    ------
    InputError
        The clip or the captions are at fault; one line says what and where.
    """
    tell = progress or (lambda stage, fraction: None)
    words = () if captions is None else read_captions(Path(captions))
    tell("reading the clip", 0.0)
    clip_probe = probe(clip)
    with _music_in_background(clip, clip_probe.info.sha256) as music_result:
        track = extract(
            clip,
            clip=clip_probe,
            pick=person,
            progress=lambda fraction: tell(
                "looking at the pictures", _PICTURES_FRACTION * fraction
            ),
        )
        tell("listening to the music", _PICTURES_FRACTION)
        take = make_take(track, clip_probe, music_result.result(), words, made=utc_now())
    tell("counting and comparing", _PICTURES_FRACTION + 0.01)
    return take


def make_take(
    track: PoseTrack,
    clip_probe: ClipProbe | None = None,
    music_result: MusicResult = ((), ()),
    words: Sequence[Word] = (),
    made: datetime | None = None,
) -> Take:
    """Put together a take from its parts.

    Parameters
    ----------
    track : PoseTrack
    found : ClipProbe or None
        The probe of the clip's file, for its warnings.
    heard : MusicResult
        Beats of the music, and notices of the sound.
    words : sequence of Word
        What was said.
    made : datetime or None
        When the clip was analysed.
    """
    clip_warnings = () if clip_probe is None else clip_probe.warnings
    notices = (
        *(
            Notice(level="warning", code=w.code, text=w.text, origin="footage")
            for w in clip_warnings
        ),
        *music_result[1],
        *limits.about_footage(track),
    )
    return Take(track, music_result[0], tuple(words), notices, made)


def take_from_review(review: Review, track: PoseTrack, words: Sequence[Word] = ()) -> Take:
    """Get back the take a review was made of, without analysing its clip again."""
    notices = tuple(n for n in review.notices if n.origin == "footage")
    made = review.provenance.made if review.provenance else None
    return Take(track, beats_from_review(review.music), tuple(words), notices, made)


def review_take(
    take: Take,
    plan: ClassPlan | Timeline | None = None,
    *,
    edits: Sequence[Edit] = (),
    notes: Sequence[Note] = (),
    costs: Costs = DEFAULT,
) -> Review:
    """Judge a take: find its periods, count, compare with the plan.

    Parameters
    ----------
    take : Take
    plan : ClassPlan, Timeline or None
        What was planned.
    edits : sequence of Edit
        Corrections by hand, applied on top of the analysis.
    notes : sequence of Note
        Notes typed while watching, kept as they are.
    costs : Costs
        Weights of the alignment with the plan.

    Raises
    ------
    CorrectionError
        An edit names a period or a time that does not exist.
    """
    timeline = unroll(plan) if isinstance(plan, ClassPlan) else plan
    track = take.track
    signals = movement_signals(track, mirrored=timeline.mirrored if timeline else False)
    deliveries = _deliveries(signals, describe(signals, segment_clip(signals)), timeline, costs)
    if edits:
        corrected_periods = corrected([d.period for d in deliveries if d.period], edits)
        activities = describe_corrected_periods(signals, corrected_periods)
        deliveries = _deliveries(signals, activities, timeline, replace(costs, max_merged=1))
    periods = with_reps(track, signals, [d.period for d in deliveries if d.period])
    comparison = compare(timeline, deliveries, periods) if timeline else ()
    view = view_spans(signals)
    drift = find_drift(periods, view)
    review = Review(
        clip=Clip(**asdict(track.clip)),
        plan=timeline,
        view=view,
        periods=labelled(periods, comparison),
        comparison=comparison,
        totals=totals(timeline, comparison, periods),
        sheet=sheet_rows(periods, comparison),
        drift=drift,
        stills=find_stills(periods),
        edits=tuple(e.model_dump(exclude_none=True) for e in edits),
        notes=tuple(sorted(notes, key=lambda n: n.at_s)),
        notices=(
            *take.notices,
            *limits.about_plan(timeline, view),
            *about_periods(periods, comparison),
            *about_drift(drift),
        ),
        provenance=provenance_of(
            track,
            made=take.made,
            edited=utc_now() if edits else None,
            captions=words_id(take.words),
            cue_languages=(LANGUAGE,) if take.words else (),
        ),
    )
    if take.words:
        judged = judge_cues(take.words, review, timeline.spoken_sides if timeline else None)
        told = (*review.notices, *judged.notices)
        review = review.model_copy(update={"cues": judged.cues, "notices": told})
    return with_music(review, take.beats) if take.beats else review


def _deliveries(
    signals: Signals,
    activities: Sequence[Activity],
    timeline: Timeline | None,
    costs: Costs,
) -> tuple[Delivery, ...]:
    """Label activities as periods, in the plan's terms where there is a plan."""
    if timeline is None:
        return tuple(Delivery(None, p) for p in label_without_plan(activities))
    judge = fit_measures(signals, costs)
    pairings = align_with_reordering(activities, timeline.periods, judge, costs=costs)
    return label_with_plan(signals, activities, timeline, pairings)


@contextmanager
def _music_in_background(clip: Source, sha256: str) -> Iterator[Future[MusicResult]]:
    """Analyse the music in a thread of its own, which is stopped at the end of the block."""
    stop = Event()
    with ThreadPoolExecutor(1, thread_name_prefix="listen") as executor:
        try:
            yield executor.submit(listen, clip, sha256, stop)
        finally:
            stop.set()
