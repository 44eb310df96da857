"""Doors to work a finished review over: corrections by hand, notes, another plan."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated

from fastapi import FastAPI
from pydantic import BaseModel, ConfigDict, Field

from annotate.errors import CorrectionError
from annotate.plan.draft import draft_plan
from annotate.plan.read import parse_plan
from annotate.review.edits import Edit
from annotate.review.model import Note, Review
from annotate.review.queries import draft_title
from api.http.openapi import problems
from api.http.problems import Problem
from api.http.status import done_folder
from api.http.store import Store
from api.http.summary import outcome_of
from api.work.folder import plan_of, plan_text_of, review_of, with_edits, with_notes, with_plan

MOST_EDITS = 1000
MOST_NOTES = 1000


class Corrections(BaseModel):
    """The whole list of corrections by hand, in order; an empty one gives the analysis back."""

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

    edits: Annotated[list[Edit], Field(max_length=MOST_EDITS)]


class TypedNote(BaseModel):
    """A remark at a time of the clip."""

    model_config = ConfigDict(extra="forbid")

    at_s: float = Field(ge=0, le=1e6, examples=[83.4])
    tag: str = Field(default="", max_length=40, examples=["music"])
    text: str = Field(min_length=1, max_length=2000, examples=["Start the fade earlier."])


class Notes(BaseModel):
    """The whole list of notes."""

    model_config = ConfigDict(extra="forbid")

    notes: Annotated[list[TypedNote], Field(max_length=MOST_NOTES)]


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


def add_reworking(app: FastAPI, store: Store) -> None:
    """Add the doors."""

    def kept(review_id: str, review: Review) -> Review:
        store.renew(review_id, outcome_of(review))
        return review

    @app.patch(
        "/api/reviews/{review_id}/periods",
        responses=problems(403, 404, 409, 411, 413, 422),
        summary="Replace the corrections by hand; answers the review made anew",
    )
    def correct(review_id: str, corrections: Corrections) -> Review:
        with store.turn:
            folder = done_folder(store, review_id)
            return kept(review_id, with_edits(folder, corrections.edits))

    @app.put(
        "/api/reviews/{review_id}/notes",
        responses=problems(403, 404, 409, 411, 413, 422),
        summary="Replace the notes; answers the review with them",
    )
    def annotate(review_id: str, given: Notes) -> Review:
        notes = [Note(at_s=n.at_s, tag=n.tag, text=n.text) for n in given.notes]
        with store.turn:
            folder = done_folder(store, review_id)
            return kept(review_id, with_notes(folder, notes))

    @app.get(
        "/api/reviews/{review_id}/plan",
        responses=problems(403, 404, 409),
        summary="The plan of a review as text to edit; without one, a draft of what was delivered",
    )
    def plan_text(review_id: str) -> KeptPlan:
        folder = done_folder(store, review_id)
        if plan_of(folder) is None:
            review = review_of(folder)
            return KeptPlan(text=draft_plan(draft_title(review), review.periods), drafted=True)
        return KeptPlan(text=plan_text_of(folder), drafted=False)

    @app.put(
        "/api/reviews/{review_id}/plan",
        responses=problems(403, 404, 409, 411, 413, 422),
        summary="Hold the same clip against another plan; answers the review made anew",
    )
    def replan(review_id: str, given: PlanText) -> Review:
        plan = None if given.text is None else parse_plan(given.text, "plan.yaml")
        with store.turn:
            folder = done_folder(store, review_id)
            try:
                return kept(review_id, with_plan(folder, plan, given.text))
            except CorrectionError as error:
                raise Problem(
                    HTTPStatus.CONFLICT,
                    f"a correction does not fit the new plan ({error}); take it back first",
                ) from error
