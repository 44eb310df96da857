"""Routes about plans: check one while it is typed, and compare two takes of one plan."""

from __future__ import annotations

from http import HTTPStatus

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field

from annotate.catalogue.model import catalogue
from annotate.compare.takes import TwoTakes, two_takes
from annotate.plan.read import parse_plan, suggest_movement
from annotate.plan.unroll import Timeline, unroll
from annotate.text import clock
from api.http.dependencies import StoreOf
from api.http.openapi import problems
from api.http.problems import Problem
from api.http.status import done_folder

_TYPED = "title: Harbour\nblocks:\n  - {name: Squat, movement: squat, rounds: 3, work: 30}\n"


class TypedPlan(BaseModel):
    """A plan as it stands in the editor."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [{"text": _TYPED}]})

    text: str = Field(max_length=1_000_000)


class CheckedPlan(BaseModel):
    """The timeline a plan unrolls to, and what its writer should know."""

    timeline: Timeline
    total: str = Field(description="length of the class, m:ss", examples=["10:00"])
    remarks: list[str] = Field(description="words that are no known movement, one line each")


class KnownMovement(BaseModel):
    """A movement of the catalogue."""

    id: str = Field(examples=["squat"])
    name: str = Field(examples=["Squat"])
    sides: str = Field(description="both, alternating or none", examples=["both"])


router = APIRouter()


@router.post(
    "/api/plans/check",
    responses=problems(403, 411, 413, 422),
    summary="Check a plan; answers its timeline, or the one line that is wrong",
)
def check(typed: TypedPlan) -> CheckedPlan:
    """Send a plan as text; nothing is stored."""
    timeline = unroll(parse_plan(typed.text, "plan.yaml"))
    words = dict.fromkeys(p.movement for p in timeline.periods if p.movement)
    return CheckedPlan(
        timeline=timeline,
        total=clock(timeline.total_s),
        remarks=[_remark(word) for word in words if word not in catalogue()],
    )


@router.get("/api/movements", responses=problems(403), summary="The movements known by name")
def movements() -> list[KnownMovement]:
    """List the movements that takeproof knows, for a plan or a correction."""
    return [KnownMovement(id=m.id, name=m.name, sides=m.sides) for m in catalogue().values()]


@router.get(
    "/api/takes",
    responses=problems(403, 404, 409, 422),
    summary="Two takes of one plan side by side: per block which is better, and why",
)
def takes(store: StoreOf, first: str, second: str) -> TwoTakes:
    """Give the ids of two finished reviews that have the same plan."""
    reviews = [done_folder(store, review_id).review() for review_id in (first, second)]
    compared = two_takes(*reviews)
    if compared is None:
        raise Problem(
            HTTPStatus.CONFLICT,
            "these are not two takes of one plan; give both reviews the same plan first",
        )
    return compared


def _remark(word: str) -> str:
    nearest = suggest_movement(word, catalogue())
    hint = f'; did you mean "{nearest}"?' if nearest else ""
    return f'"{word}" is not a known movement: it is counted as it comes{hint}'
