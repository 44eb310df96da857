"""The HTTP door: ask for a review, follow it, fetch what came of it."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import AsyncIterator, Callable
from concurrent.futures import Executor
from contextlib import asynccontextmanager
from http import HTTPStatus
from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.responses import FileResponse
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from annotate.plan_file import LARGEST_FILE, plan_from_bytes
from annotate.review import Review
from annotate.script import Script
from api.hosts import HostGuard
from api.jobs import CAPTIONS, CLIP, PLAN, JobQueue, one_process
from api.openapi import FORM, describe, problems
from api.problems import Problem, add_problem_handlers
from api.store import Entry, State, Store
from api.upload import Part, receive_parts
from pose.clip import probe
from pose.errors import ClipError

LARGEST_CLIP = 8_000_000_000


class Accepted(BaseModel):
    """A review that was queued."""

    id: str


class Standing(BaseModel):
    """How a review stands."""

    id: str
    name: str = Field(description="the clip's name as sent")
    created_at: str
    state: State
    stage: str = Field(description="what is being done, in plain words")
    progress: float = Field(ge=0, le=1)
    result: str | None = Field(description="where review.json is, once done")
    script: str | None = Field(description="where the script is, once done")
    error: str | None = Field(description="one line, when failed")


def create_app(
    data: Path, *, host: str = "127.0.0.1", make_executor: Callable[[], Executor] = one_process
) -> FastAPI:
    """The application over one data folder, for requests addressed to `host` or this machine."""
    store = Store(data)
    incoming = data / "incoming"

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        shutil.rmtree(incoming, ignore_errors=True)  # uploads cut off by the last end
        queue = JobQueue(store, make_executor)
        await run_in_threadpool(queue.start)
        app.state.queue = queue
        yield
        await run_in_threadpool(queue.close)

    app = FastAPI(
        title="takeproof",
        summary="Proof-reads a filmed rehearsal of an interval class against the class plan.",
        version="1",
        openapi_url="/api/openapi.json",
        docs_url=None,  # the framework's pages load scripts from elsewhere
        redoc_url=None,
        lifespan=lifespan,
    )
    app.add_middleware(HostGuard, bound_to=host)
    add_problem_handlers(app)
    _add_asking(app, store, incoming)
    _add_reading(app, store)
    app.openapi = lambda: describe(app)  # type: ignore[method-assign]
    return app


def _add_asking(app: FastAPI, store: Store, incoming: Path) -> None:
    @app.post(
        "/api/reviews",
        status_code=HTTPStatus.ACCEPTED,
        response_model=Accepted,
        responses=problems(400, 403, 413, 415, 422, 507)
        | {202: {"headers": {"Location": {"schema": {"type": "string"}}}}},
        openapi_extra=FORM,
        summary="Ask for a review of a clip",
    )
    async def ask(request: Request, response: Response) -> Accepted:
        review_id = secrets.token_hex(8)
        folder = incoming / review_id
        folder.mkdir(parents=True)
        try:
            largest = {"clip": LARGEST_CLIP, "plan": LARGEST_FILE, "captions": LARGEST_FILE}
            parts = await receive_parts(request, folder, largest)
            name = await run_in_threadpool(_check_parts, parts, folder)
            folder.rename(store.folder(review_id))
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        await run_in_threadpool(store.add, review_id, name)
        request.app.state.queue.submit(review_id)
        response.headers["Location"] = f"/api/reviews/{review_id}"
        return Accepted(id=review_id)

    @app.delete(
        "/api/reviews/{review_id}",
        status_code=HTTPStatus.NO_CONTENT,
        responses=problems(403, 404),
        summary="Delete a review and its clip; stops it when under way",
    )
    def remove(review_id: str) -> None:
        if not store.remove(review_id):
            raise _unknown()


def _add_reading(app: FastAPI, store: Store) -> None:
    @app.get("/api/reviews", responses=problems(403), summary="All reviews, the newest first")
    def every() -> list[Standing]:
        return [_standing(entry) for entry in store.all()]

    @app.get(
        "/api/reviews/{review_id}", responses=problems(403, 404), summary="How a review stands"
    )
    def one(review_id: str) -> Standing:
        return _standing(_known(store, review_id))

    @app.get(
        "/api/reviews/{review_id}/review.json",
        response_model=Review,
        responses=problems(403, 404, 409),
        summary="The review",
    )
    def result(review_id: str) -> FileResponse:
        folder = _done_folder(store, review_id)
        return FileResponse(folder / "review.json", media_type="application/json")

    @app.get(
        "/api/reviews/{review_id}/script",
        response_model=Script,
        responses=problems(403, 404, 406, 409)
        | {200: {"content": {"text/markdown": {"schema": {"type": "string"}}}}},
        summary="The timed script for the next take, as JSON or Markdown by Accept",
    )
    def script(review_id: str, request: Request) -> FileResponse:
        folder = _done_folder(store, review_id)
        kind = preferred(request.headers.get("accept", "*/*"), "application/json", "text/markdown")
        if kind is None:
            raise Problem(
                HTTPStatus.NOT_ACCEPTABLE, "the script comes as application/json or text/markdown"
            )
        file = folder / ("script.json" if kind == "application/json" else "script.md")
        return FileResponse(file, media_type=kind, headers={"Vary": "Accept"})


def preferred(accept: str, *offered: str) -> str | None:
    """The offered media type an ``Accept`` header likes best; the first among equals."""
    weights: dict[str, float] = {}
    for item in accept.split(","):
        kind, *parameters = (part.strip().lower() for part in item.split(";"))
        quality = next((p[2:] for p in parameters if p.startswith("q=")), "1")
        try:
            weights[kind] = float(quality)
        except ValueError:
            weights[kind] = 0.0

    def weight(kind: str) -> float:
        for pattern in (kind, kind.split("/")[0] + "/*", "*/*"):
            if pattern in weights:
                return weights[pattern]
        return 0.0

    best = max(offered, key=weight)
    return best if weight(best) > 0 else None


def _check_parts(parts: dict[str, Part], folder: Path) -> str:
    """Refuse a bad plan or clip now, not after the wait; give the files their names."""
    clip = parts.get("clip")
    if clip is None or not clip.size:
        raise Problem(HTTPStatus.UNPROCESSABLE_ENTITY, 'the field "clip" is missing or empty')
    name = clip.name or "clip"
    plan = parts.get("plan")
    # A form's file field left empty arrives as a part without name or content.
    if plan is not None and (plan.size or plan.name):
        checked = plan_from_bytes(plan.path.read_bytes(), plan.name or "plan.yaml")
        (folder / PLAN).write_text(checked.model_dump_json(), encoding="utf-8")
        plan.path.unlink()
    captions = parts.get("captions")
    if captions is not None and captions.size:
        with captions.path.open("rb") as file:
            webvtt = file.read(16).lstrip(b"\xef\xbb\xbf").startswith(b"WEBVTT")
        captions.path.rename(folder / CAPTIONS[0 if webvtt else 1])
    clip.path.rename(folder / CLIP)
    try:
        probe(folder / CLIP)
    except ClipError as error:
        raise ClipError(str(error).replace(str(folder / CLIP), name)) from error
    return name


def _known(store: Store, review_id: str) -> Entry:
    entry = store.get(review_id)
    if entry is None:
        raise _unknown()
    return entry


def _done_folder(store: Store, review_id: str) -> Path:
    entry = _known(store, review_id)
    if entry.state == "failed":
        raise Problem(HTTPStatus.CONFLICT, f"the review failed: {entry.error}")
    if entry.state != "done":
        raise Problem(HTTPStatus.CONFLICT, f"the review is {entry.state}; ask again when done")
    return store.folder(entry.id)


def _unknown() -> Problem:
    return Problem(HTTPStatus.NOT_FOUND, "there is no review of this id; it may be deleted")


def _standing(entry: Entry) -> Standing:
    at = f"/api/reviews/{entry.id}"
    done = entry.state == "done"
    return Standing(
        id=entry.id,
        name=entry.name,
        created_at=entry.created_at,
        state=entry.state,
        stage=entry.stage,
        progress=entry.progress,
        result=f"{at}/review.json" if done else None,
        script=f"{at}/script" if done else None,
        error=entry.error,
    )
