"""Review: everything a rehearsal showed, as one value; the content of ``review.json``.

Field names are fixed by ``"schema": 1``: fields may be added, never renamed. Times are in seconds
from the first presented frame. What could not be judged is null, never a guess.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from annotate.plan.unroll import PlannedPeriod, Timeline
from annotate.reading import Frozen
from annotate.review.music import ChangeOnBeat, Music, OnBeat
from annotate.review.provenance import Provenance

PeriodKind = Literal["work", "recovery", "warm-up", "cool-down", "still", "absent"]
Status = Literal["as planned", "short", "long", "skipped", "added", "swapped", "partial"]
Side = Literal["left", "right", "both"]
Facing = Literal["left", "right", "camera", "away"]


class Clip(Frozen):
    """The clip that was reviewed."""

    name: str
    sha256: str
    duration_s: float
    frame_rate: float
    variable_frame_rate: bool
    width: int
    height: int
    rotation_deg: int


class ViewSpan(Frozen):
    """A stretch over which the camera sees the body from one direction."""

    start_s: float
    end_s: float
    yaw_deg: float | None = Field(
        description="0: the camera looks at the front, +90 at the person's left side, "
        "-90 at the right side, 180 at the back"
    )
    facing: Facing | None = Field(description="the way the person faces in the picture")


class BackAssessed(Frozen):
    """Back line of one repetition against the same person's first clean repetitions."""

    assessable: Literal[True] = True
    arc_change_deg: float = Field(
        description="change of the outline's arc; positive is rounder; not an angle between bones"
    )
    uncertainty_deg: float | None = Field(
        default=None, description="about one standard deviation of the change"
    )
    compared_with: str = Field(
        default="own first repetitions", description="what the change is measured against"
    )
    at_s: float | None = Field(default=None, description="the moment of the largest change")
    rounded: bool


class BackNotAssessable(Frozen):
    """Why the back line of one repetition could not be judged."""

    assessable: Literal[False] = False
    reason: str


Back = Annotated[BackAssessed | BackNotAssessable, Field(discriminator="assessable")]


class Watched(Frozen):
    """A watched point of one repetition or period: its value, or why it could not be judged."""

    point: str = Field(description="knees, heels, chest, shift, arms, landing, ...")
    value: float | None = None
    unit: str
    reason: str | None = Field(default=None, description="why there is no value")


class Rep(Frozen):
    """One repetition."""

    start_s: float
    peak_s: float = Field(description="the deepest, highest or widest point")
    end_s: float
    complete: bool = Field(description="false when the clip or the period cuts it off")
    side: Side = Field(
        description="both also where the view does not tell the side of an alternating movement"
    )
    depth: float | None = Field(
        default=None, description="size of the movement in trunk lengths, or degrees for angles"
    )
    trunk_deg: float | None = Field(
        default=None, description="trunk inclination from vertical at the peak"
    )
    knee_flexion_deg: float | None = Field(
        default=None, description="at the peak, 0 straight; the more bent knee"
    )
    not_measured: str | None = Field(
        default=None, description="why depth or knee flexion could not be measured"
    )
    back: Back
    watched: tuple[Watched, ...] = ()


class RepSpan(Frozen):
    """Start and end of a repetition."""

    start_s: float
    end_s: float


class RepSet(Frozen):
    """The repetitions of one period."""

    count: int | None = Field(description="null where it could not be judged")
    left: int | None = None
    right: int | None = None
    cadence_per_min: float | None = None
    confidence: float = Field(ge=0, le=1)
    signal: str | None = Field(default=None, description="the movement signal that was counted")
    each: tuple[Rep, ...] = ()


class Period(Frozen):
    """A stretch of one activity."""

    index: int
    kind: PeriodKind
    start_s: float
    end_s: float
    duration_s: float
    confidence: float = Field(ge=0, le=1)
    movement: str | None = Field(description="an id of the catalogue, or null when unknown")
    movement_confidence: float = Field(ge=0, le=1)
    may_be: tuple[str, ...] = Field(
        default=(), description="movements it may be, where no name is sure enough"
    )
    unseen_s: float = Field(
        default=0.0,
        ge=0,
        description="time within it in which nobody, or too little of the body, was in the picture",
    )
    unseen: str | None = Field(
        default=None,
        description="what was not seen in `unseen_s`; null where nobody was in the picture",
    )
    not_assessable: str | None = Field(
        default=None,
        description="why the period cannot be judged, such as legs out of the picture; it then has "
        "no movement and no count, and is absent unless it answers a planned one",
    )
    intensity: float | None = Field(
        description="0-1 within this person's own range in this clip; not a heart rate"
    )
    reps: RepSet
    watched: tuple[Watched, ...] = Field(
        default=(), description="points of the whole period, such as left against right"
    )
    corrected: tuple[Literal["start", "end", "kind", "movement", "count"], ...] = Field(
        default=(), description="what was set by hand"
    )
    back_compared_with: tuple[RepSpan, ...] = Field(
        default=(),
        description="the repetitions that the back lines were compared with, here or in another "
        "period; empty where there were too few, or no back lines to compare",
    )
    label: str = Field(
        default="", description="what it is called: as planned, else by what was done"
    )


class Comparison(Frozen):
    """One planned period compared with what was delivered, or a period that was not planned."""

    planned: PlannedPeriod | None
    delivered: int | None = Field(description="index into periods")
    status: Status
    start_diff_s: float | None = None
    duration_diff_s: float | None = None
    reps_diff: int | None = None
    left_diff: int | None = None
    right_diff: int | None = None
    tempo: Literal["half", "double"] | None = Field(
        default=None, description="delivered at half or twice the planned cadence"
    )
    text: str = Field(description="the difference in words; empty when as planned")


class BlockTotals(Frozen):
    """Sums over one block of exercises."""

    block: str
    rounds_planned: int
    rounds_delivered: int
    planned_work_s: float
    delivered_work_s: float
    planned_recovery_s: float
    delivered_recovery_s: float
    planned_work_to_recovery: float | None
    delivered_work_to_recovery: float | None
    planned_reps: int | None
    delivered_reps: int | None = Field(
        description="null where there is no count because it could not be seen"
    )
    left: int | None = Field(
        description="repetitions of the left side; null where sides are not known"
    )
    right: int | None
    cadence_per_min: float | None = Field(description="mean over the delivered rounds")


class Totals(Frozen):
    """Sums over the whole class, planned (null without a plan) and delivered."""

    planned_s: float | None
    delivered_s: float
    spare_s: float | None = Field(
        default=None, description="planned minus delivered; negative when the class ran over"
    )
    planned_work_s: float | None
    delivered_work_s: float
    planned_recovery_s: float | None
    delivered_recovery_s: float
    blocks: tuple[BlockTotals, ...] = ()


class SheetRow(Frozen):
    """One row of the coach's sheet: a round, a block, an unplanned period, or the class."""

    row: Literal["round", "block", "added", "class"]
    name: str
    planned_start_s: float | None
    delivered_start_s: float | None
    planned_work_s: float
    delivered_work_s: float
    planned_recovery_s: float
    delivered_recovery_s: float
    planned_reps: int | None
    delivered_reps: int | None = Field(
        description="null where there is no count because it could not be seen"
    )
    delivered_left: int | None
    delivered_right: int | None
    cadence_per_min: float | None = Field(description="mean over the delivered work periods")
    difference: str


class Note(Frozen):
    """A typed remark at a time of the clip."""

    at_s: float
    tag: str
    text: str


class Drift(Frozen):
    """How one measure of form changed over repetitions and rounds."""

    movement: str
    measure: str
    unit: str
    per_rep: tuple[float | None, ...]
    per_round: tuple[float | None, ...]
    evidence: str
    statement: str | None


class Still(Frozen):
    """A picture to look at, stored in the review's folder beside ``review.json``."""

    file: str = Field(description="file name within the folder stills")
    period: int = Field(description="index into periods")
    repetition: int = Field(description="index into the period's repetitions")
    at_s: float
    beside_repetition: int | None = Field(
        default=None,
        description="index of the repetition shown beside it, the one most like the first ones",
    )
    beside_s: float | None = None
    text: str


class Cue(Frozen):
    """A spoken cue and what the footage shows about it."""

    at_s: float
    kind: str
    text: str
    verdict: Literal["right", "wrong", "unknown"]
    difference: str


class Notice(Frozen):
    """Something the reader should know: about the footage, or a finding worth a look."""

    level: Literal["info", "look", "warning"]
    code: str
    start_s: float | None = None
    end_s: float | None = None
    text: str
    origin: Literal["footage", "finding"] = Field(
        default="finding",
        description="footage: about the clip itself, independent of the plan; finding: a result",
    )


class Review(Frozen):
    """The whole result; serialise it with :meth:`to_json`."""

    schema_: Literal[1] = Field(default=1, alias="schema")
    clip: Clip
    plan: Timeline | None
    view: tuple[ViewSpan, ...]
    periods: tuple[Period, ...]
    comparison: tuple[Comparison, ...]
    totals: Totals
    sheet: tuple[SheetRow, ...] = ()
    edits: tuple[dict[str, Any], ...] = Field(
        default=(), description="the corrections that were applied, in order"
    )
    notes: tuple[Note, ...] = ()
    drift: tuple[Drift, ...] = ()
    stills: tuple[Still, ...] = ()
    cues: tuple[Cue, ...] = ()
    music: tuple[Music, ...] = ()
    on_beat: tuple[OnBeat, ...] = ()
    changes_on_beat: tuple[ChangeOnBeat, ...] = ()
    notices: tuple[Notice, ...] = ()
    provenance: Provenance | None = Field(
        default=None, description="how this review was made; null in reviews of older versions"
    )

    def to_json(self) -> str:
        """JSON text as written to ``review.json``."""
        return self.model_dump_json(by_alias=True, indent=1)
