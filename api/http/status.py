"""State and progress of a review, as the API answers them."""

from __future__ import annotations

import time
from http import HTTPStatus

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from api.http.problems import Problem
from api.http.store import Entry, State, Store
from api.work.folder import ReviewFolder

# Below this fraction done, an estimate of the time left would be far off.
_MIN_PROGRESS = 0.03

_EXAMPLE: dict[str, JsonValue] = {
    "id": "5f0c2a9be1d34876",
    "name": "harbour.mp4",
    "created_at": "2025-03-01T17:40:05+00:00",
    "state": "running",
    "stage": "looking at the pictures",
    "progress": 0.42,
    "remaining_s": 71.0,
    "title": None,
    "summary": None,
    "plan_id": None,
    "result": None,
    "script": None,
    "error": None,
}


class Accepted(BaseModel):
    """A review that was queued."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"id": "5f0c2a9be1d34876"}]})

    id: str


class ReviewStatus(BaseModel):
    """State and progress of a review."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    name: str = Field(description="the clip's name as sent")
    created_at: str
    state: State
    stage: str = Field(description="what is being done, in plain words")
    progress: float = Field(ge=0, le=1)
    remaining_s: float | None = Field(description="about how long it still takes, when running")
    title: str | None = Field(description="of the plan, once done")
    summary: str | None = Field(description="the review in one line, once done")
    plan_id: str | None = Field(description="equal for two takes of one plan")
    result: str | None = Field(description="where review.json is, once done")
    script: str | None = Field(description="where the script is, once done")
    error: str | None = Field(description="one line, when failed")


def status_of(entry: Entry) -> ReviewStatus:
    """The status of an entry of the store."""
    at = f"/api/reviews/{entry.id}"
    done = entry.state == "done"
    return ReviewStatus(
        id=entry.id,
        name=entry.name,
        created_at=entry.created_at,
        state=entry.state,
        stage=entry.stage,
        progress=entry.progress,
        remaining_s=_remaining_s(entry),
        title=entry.title,
        summary=entry.summary,
        plan_id=entry.plan_id,
        result=f"{at}/review.json" if done else None,
        script=f"{at}/script" if done else None,
        error=entry.error if entry.state == "failed" else None,
    )


def find_entry(store: Store, review_id: str) -> Entry:
    """The entry of this id.

    Raises
    ------
    Problem
        404 when there is none.
    """
    entry = store.get(review_id)
    if entry is None:
        raise not_found()
    return entry


def done_folder(store: Store, review_id: str) -> ReviewFolder:
    """The folder of a finished review.

    Raises
    ------
    Problem
        404 when there is none, 409 when it is not finished.
    """
    entry = find_entry(store, review_id)
    if entry.state == "failed":
        raise Problem(HTTPStatus.CONFLICT, f"the review failed: {entry.error}")
    if entry.state != "done":
        raise Problem(HTTPStatus.CONFLICT, f"the review is {entry.state}; ask again when done")
    return store.folder(entry.id)


def not_found() -> Problem:
    """The problem that there is no such review."""
    return Problem(HTTPStatus.NOT_FOUND, "there is no review of this id; it may be deleted")


def _remaining_s(entry: Entry) -> float | None:
    if entry.state != "running" or entry.started_s is None or entry.progress < _MIN_PROGRESS:
        return None
    spent_s = time.time() - entry.started_s
    return round(max(0.0, spent_s * (1.0 - entry.progress) / entry.progress), 0)
