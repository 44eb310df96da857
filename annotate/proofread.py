"""From a clip (or a track) and a plan to the review: the whole way through."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from functools import cache
from itertools import count
from pathlib import Path

from annotate import notices as say
from annotate.align import Pairing, align
from annotate.compare import compare, totals
from annotate.kinds import intensities, kinds_without_plan
from annotate.movements import catalogue
from annotate.period_reps import with_reps
from annotate.periods import Segment, cut, is_still
from annotate.plan import ClassPlan, PlannedPeriod, Timeline, unroll
from annotate.plan_file import read_plan
from annotate.recognise import Recognised, behaviour, likeness, recognise
from annotate.reps import count_reps
from annotate.review import Clip, Comparison, Notice, Period, PeriodKind, RepSet, Review
from annotate.view import view_spans
from pose.clip import probe
from pose.extract import extract
from pose.signals import Signals, movement_signals
from pose.track import PoseTrack

Progress = Callable[[str, float], None]

# Share of the running time that goes into looking at the pictures.
_PICTURES = 0.97
# The plan names what was to be done; the footage has to speak clearly to contradict it.
_ALIKE_ENOUGH = 0.15
_UNJUDGED = 0.35
_NOT_A_BREAK = 0.7
# Effort is only a hint at what kind of period this is.
_EFFORT_WEIGHT = 0.4


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
    segments = cut(signals)
    comparison: tuple[Comparison, ...] = ()
    if timeline is None:
        periods = with_reps(track, signals, _periods_without_plan(signals, segments))
    else:
        pairings = align(
            segments, timeline.periods, _unlikeness(signals, segments), _reps_missed(signals)
        )
        found = _periods_with_plan(signals, segments, timeline, pairings)
        periods = with_reps(track, signals, [p for p in found if p is not None])
        delivered = iter(periods)
        rows = [None if p is None else next(delivered) for p in found]
        comparison = compare(timeline, pairings, rows)
    view = view_spans(signals)
    return Review(
        clip=Clip(**asdict(track.clip)),
        plan=timeline,
        view=view,
        periods=periods,
        comparison=comparison,
        totals=totals(timeline, periods),
        notices=(
            *notices,
            *say.about_footage(track),
            *say.about_plan(timeline, view),
            *say.about_periods(periods, comparison),
        ),
    )


def _unlikeness(
    signals: Signals, segments: Sequence[Segment]
) -> Callable[[PlannedPeriod, Segment], float]:
    """Judge of how unlike a segment is to a planned period."""
    efforts = dict(zip(segments, intensities(signals, segments), strict=True))
    seen = {s: behaviour(signals, s.start_s, s.end_s) for s in segments if not s.absent}

    def unlike(planned: PlannedPeriod, segment: Segment) -> float:
        if planned.kind == "break":
            return 0.0 if segment.absent or is_still(signals, segment) else _NOT_A_BREAK
        if segment.absent:
            return 1.0
        known = catalogue().get(planned.movement or "")
        alike = None if known is None else likeness(seen[segment], known)
        if alike is not None:
            return 1.0 - alike
        effort = efforts[segment]
        hard = 0.5 if effort is None else effort
        wrong = 1.0 - hard if planned.kind == "work" else hard
        return _UNJUDGED * (1 - _EFFORT_WEIGHT) + _EFFORT_WEIGHT * wrong

    return unlike


def _reps_missed(signals: Signals) -> Callable[[PlannedPeriod, float, float], float]:
    """Judge of how far the repetitions between two times miss the planned ones."""

    @cache
    def counted(movement: str, start_s: float, end_s: float) -> int:
        return count_reps(signals, catalogue()[movement], start_s, end_s).count

    def missed(planned: PlannedPeriod, start_s: float, end_s: float) -> float:
        if not planned.reps or planned.movement not in catalogue():
            return 0.0
        return abs(counted(planned.movement, start_s, end_s) - planned.reps) / planned.reps

    return missed


def _periods_without_plan(signals: Signals, segments: Sequence[Segment]) -> tuple[Period, ...]:
    named = [
        Recognised(None, 0.0)
        if s.absent or is_still(signals, s)
        else recognise(signals, s.start_s, s.end_s)
        for s in segments
    ]
    efforts = intensities(signals, segments)
    kinds = kinds_without_plan(signals, segments, [n.movement for n in named], efforts)
    return tuple(
        _period(i, s.start_s, s.end_s, kind, name, effort, 0.5 if name.movement is None else 0.7)
        for i, (s, kind, name, effort) in enumerate(
            zip(segments, kinds, named, efforts, strict=True)
        )
    )


def _periods_with_plan(
    signals: Signals,
    segments: Sequence[Segment],
    timeline: Timeline,
    pairings: Sequence[Pairing],
) -> list[Period | None]:
    """A period for each pairing; None for a planned period that was skipped."""
    efforts = intensities(signals, segments)
    found: list[Period | None] = []
    for pairing in pairings:
        run = [segments[i] for i in pairing.segments]
        if not run:
            found.append(None)
            continue
        start, end = run[0].start_s, run[-1].end_s
        known_efforts = [e for i in pairing.segments if (e := efforts[i]) is not None]
        effort = sum(known_efforts) / len(known_efforts) if known_efforts else None
        if pairing.planned is None:
            found.append(_unplanned(signals, run[0], effort))
            continue
        planned = timeline.periods[pairing.planned]
        name, fit = _movement_done(signals, planned, start, end)
        kind: PeriodKind = "still" if planned.kind == "break" else planned.kind
        found.append(_period(0, start, end, kind, name, effort, fit))
    index = count()
    return [None if p is None else p.model_copy(update={"index": next(index)}) for p in found]


def _unplanned(signals: Signals, segment: Segment, effort: float | None) -> Period:
    start, end = segment.start_s, segment.end_s
    if segment.absent:
        return _period(0, start, end, "absent", Recognised(None, 0.0), None, 0.9)
    if is_still(signals, segment):
        return _period(0, start, end, "still", Recognised(None, 0.0), effort, 0.8)
    name = recognise(signals, start, end)
    known = catalogue().get(name.movement or "")
    easy = known.intensity == "easy" if known else (effort or 0.0) < 0.5
    return _period(0, start, end, "recovery" if easy else "work", name, effort, 0.5)


def _movement_done(
    signals: Signals, planned: PlannedPeriod, start_s: float, end_s: float
) -> tuple[Recognised, float]:
    """The planned movement unless another one was clearly done; and how well it fits."""
    seen = behaviour(signals, start_s, end_s)
    known = catalogue().get(planned.movement or "")
    fit = None if known is None else likeness(seen, known)
    if planned.movement is None:
        return recognise(signals, start_s, end_s), 0.6
    if fit is None:
        return Recognised(planned.movement, 0.5), 0.6
    if fit < _ALIKE_ENOUGH:
        other = recognise(signals, start_s, end_s)
        if other.movement is not None:
            return other, 0.6
    return Recognised(planned.movement, round(max(fit, 0.1), 2)), round(0.5 + 0.5 * fit, 2)


def _period(
    index: int,
    start_s: float,
    end_s: float,
    kind: PeriodKind,
    name: Recognised,
    effort: float | None,
    confidence: float,
) -> Period:
    return Period(
        index=index,
        kind=kind,
        start_s=round(start_s, 2),
        end_s=round(end_s, 2),
        duration_s=round(end_s - start_s, 2),
        confidence=confidence,
        movement=name.movement,
        movement_confidence=name.confidence,
        intensity=effort,
        reps=RepSet(count=0, confidence=0.0),
    )
