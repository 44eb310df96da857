"""Routes to change a finished review: corrections by hand, notes, another plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from annotate.errors import CorrectionError
from annotate.plan.draft import draft_plan
from annotate.plan.model import ClassPlan
from annotate.plan.read import parse_plan
from annotate.plan.unroll import Timeline
from annotate.review.edits import Edit, check_edits
from annotate.review.model import Note, Review
from annotate.review.queries import draft_title
from api.http.dependencies import StoreOf
from api.http.openapi import problems
from api.http.problems import Problem
from api.http.status import done_folder
from api.http.store import Store
from api.http.summary import summary_of
from api.work.folder import Inputs, ReviewFolder
from api.work.produce import produce

MAX_EDITS = 1000
MAX_NOTES = 1000


class Corrections(BaseModel):
    """The whole list of corrections by hand, in order; an empty list restores the analysis."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "edits": [
                        {"do": "move", "at_s": 31.2, "to_s": 30.0},
                        {"do": "count", "at_s": 50.0, "reps": 14},
                    ]
                }
            ]
        },
    )

    edits: Annotated[list[Edit], Field(max_length=MAX_EDITS)]


class TypedNote(BaseModel):
    """A remark at a time of the clip."""

    model_config = ConfigDict(extra="forbid")

    at_s: float = Field(ge=0, le=1e6, examples=[83.4])
    tag: str = Field(default="", max_length=40, examples=["music"])
    text: str = Field(min_length=1, max_length=2000, examples=["Start the fade earlier."])


class Notes(BaseModel):
    """The whole list of notes."""

    model_config = ConfigDict(extra="forbid")

    notes: Annotated[list[TypedNote], Field(max_length=MAX_NOTES)]


class PlanText(BaseModel):
    """A plan as typed (YAML); null for none."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [{"text": "blocks:\n  - {name: Squat, movement: squat, work: 30}\n"}]
        },
    )

    text: str | None = Field(max_length=1_000_000)


class KeptPlan(BaseModel):
    """The plan of a review as text to edit."""

    text: str | None = Field(description="null where the plan came as a table")
    drafted: bool = Field(description="the text is a draft from the take, not the plan in force")


router = APIRouter()


def _review_again(
    store: Store,
    folder: ReviewFolder,
    review_id: str,
    *,
    plan: ClassPlan | Timeline | None,
    edits: Sequence[Edit],
    notes: Sequence[Note],
    inputs: Inputs | None = None,
) -> Review:
    """Review the same take again, and write the result with everything made from it."""
    from annotate import pipeline

    take = folder.take(folder.review())
    review = pipeline.review_take(take, plan, edits=edits, notes=notes)
    produce(folder, review, inputs=inputs, draw_later=True)
    store.update_summary(review_id, summary_of(review))
    return review


@router.patch(
    "/api/reviews/{review_id}/periods",
    responses=problems(403, 404, 409, 411, 413, 422),
    summary="Replace the corrections by hand; answers the new review",
)
def correct(store: StoreOf, review_id: str, corrections: Corrections) -> Review:
    """Send the whole list of edits; everything that depends on them is made again."""
    with store.write_lock:
        folder = done_folder(store, review_id)
        before = folder.review()
        return _review_again(
            store, folder, review_id, plan=before.plan, edits=corrections.edits, notes=before.notes
        )


@router.put(
    "/api/reviews/{review_id}/notes",
    responses=problems(403, 404, 409, 411, 413, 422),
    summary="Replace the notes; answers the review with them",
)
def annotate(store: StoreOf, review_id: str, given: Notes) -> Review:
    """Send the whole list; notes also go into the script and the exports."""
    notes = [Note(at_s=n.at_s, tag=n.tag, text=n.text) for n in given.notes]
    with store.write_lock:
        folder = done_folder(store, review_id)
        ordered = tuple(sorted(notes, key=lambda n: n.at_s))
        review = folder.review().model_copy(update={"notes": ordered})
        produce(folder, review, draw_later=True)
        store.update_summary(review_id, summary_of(review))
        return review


@router.get(
    "/api/reviews/{review_id}/plan",
    responses=problems(403, 404, 409),
    summary="The plan of a review as text to edit; without one, a draft of what was delivered",
)
def plan_text(store: StoreOf, review_id: str) -> KeptPlan:
    """Get the plan to edit it; a plan that came as a table has no text."""
    folder = done_folder(store, review_id)
    if folder.plan() is None:
        review = folder.review()
        return KeptPlan(text=draft_plan(draft_title(review), review.periods), drafted=True)
    return KeptPlan(text=folder.plan_text(), drafted=False)


@router.put(
    "/api/reviews/{review_id}/plan",
    responses=problems(403, 404, 409, 411, 413, 422),
    summary="Compare the same clip with another plan; answers the new review",
)
def replan(store: StoreOf, review_id: str, given: PlanText) -> Review:
    """Send another plan, or null for none; corrections and notes stay."""
    plan = None if given.text is None else parse_plan(given.text, "plan.yaml")
    with store.write_lock:
        folder = done_folder(store, review_id)
        before = folder.review()
        inputs = replace(folder.inputs(before), plan=plan, plan_text=given.text)
        try:
            return _review_again(
                store, folder, review_id, plan=plan, edits=check_edits(before.edits),
                notes=before.notes, inputs=inputs,
            )  # fmt: skip
        except CorrectionError as error:
            raise Problem(
                HTTPStatus.CONFLICT,
                f"a correction does not fit the new plan ({error}); take it back first",
            ) from error
