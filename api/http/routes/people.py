"""Routes about who is in the picture, and to review a clip again for somebody else in it."""

from __future__ import annotations

from http import HTTPStatus

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from api.http import limits
from api.http.dependencies import QueueOf, StoreOf
from api.http.openapi import problems
from api.http.problems import Problem
from api.http.status import ReviewStatus, done_folder, find_entry, status_of
from pose.persons import Pick

router = APIRouter()


class Sighting(BaseModel):
    """A person in one picture."""

    time_s: float
    box: tuple[float, float, float, float] = Field(
        description="left, top, right, bottom as fractions of the picture's width and height"
    )


class PersonFound(BaseModel):
    """Somebody in the clip."""

    number: int = Field(description="place in the list, from 0")
    followed: bool = Field(description="the review is about this person")
    presence: float = Field(description="fraction of the pictures looked at, 0-1")
    sightings: list[Sighting]


class PeopleFound(BaseModel):
    """Everybody found, whom the clip is about first."""

    people: list[PersonFound]


class Chosen(BaseModel):
    """A point on somebody's body, in the picture as it is shown."""

    model_config = ConfigDict(
        extra="forbid", json_schema_extra={"examples": [{"x": 0.31, "y": 0.55, "time_s": 65.0}]}
    )

    x: float = Field(ge=0, le=1, description="fraction of the width")
    y: float = Field(ge=0, le=1, description="fraction of the height")
    time_s: float | None = Field(
        default=None, ge=0, le=limits.MAX_CLIP_S, description="null: at any time"
    )


@router.get(
    "/api/reviews/{review_id}/people",
    responses=problems(403, 404, 409, 422),
    summary="Everybody found in the clip, and whom the review is about",
)
def people(store: StoreOf, review_id: str) -> PeopleFound:
    """List everybody with the places where they were seen; empty for older reviews."""
    found = done_folder(store, review_id).track().people
    if found is None:
        return PeopleFound(people=[])
    return PeopleFound(
        people=[
            PersonFound(
                number=number,
                followed=number == found.followed,
                presence=person.presence,
                sightings=[
                    Sighting(time_s=time_s, box=box)
                    for time_s, box in zip(person.times_s, person.boxes, strict=True)
                ],
            )
            for number, person in enumerate(found.seen)
        ]
    )


@router.post(
    "/api/reviews/{review_id}/person",
    status_code=HTTPStatus.ACCEPTED,
    responses=problems(403, 404, 409, 422),
    summary="Review the clip again for somebody else in it",
)
def choose(store: StoreOf, queue: QueueOf, review_id: str, chosen: Chosen) -> ReviewStatus:
    """Follow the person at a point from now on.

    Notes stay. Corrections by hand were about the other person: they are left out, and the review
    that holds them is kept beside the new one as review.before.json; after further changes of the
    person there are review.before.2.json and so on.
    """
    with store.write_lock:
        state = find_entry(store, review_id).state
        if state not in ("done", "failed"):
            raise Problem(HTTPStatus.CONFLICT, f"the review is {state}; wait until it is done")
        store.folder(review_id).choose_person(str(Pick(chosen.x, chosen.y, chosen.time_s)))
        if not store.restart(review_id):
            raise Problem(HTTPStatus.CONFLICT, "the review was started meanwhile; ask again later")
    queue.submit(review_id)
    return status_of(find_entry(store, review_id))
