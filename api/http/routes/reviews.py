"""Routes to request a review, follow it, stop it, start it again, delete it."""

from __future__ import annotations

import asyncio
import secrets
import shutil
import time
from collections.abc import AsyncIterator
from http import HTTPStatus

from fastapi import APIRouter, Request, Response
from fastapi.responses import StreamingResponse
from starlette.concurrency import run_in_threadpool

from annotate.cues.captions import caption_text, words_in
from annotate.plan.read import PLAN_FILE, plan_from_bytes
from annotate.reading import checked_text
from annotate.script.phrases import phrase_text, phrases_of
from annotate.text import clock
from api.http import limits
from api.http.dependencies import QueueOf, StoreOf
from api.http.openapi import EVENTS, FORM, problems
from api.http.problems import Problem
from api.http.status import Accepted, ReviewStatus, find_entry, not_found, status_of
from api.http.store import Store
from api.http.upload import Part, receive_parts
from api.work.folder import Inputs, ReviewFolder
from api.work.person import read_person
from pose.cache import delete_cached_clip
from pose.errors import ClipError
from pose.video.probe import probe
from pose.video.source import StoredClip

_LOOK_EVERY_S = 0.5
# No stream stays open for longer; a browser opens it again by itself.
_MAX_STREAM_S = 900.0


router = APIRouter()


@router.post(
    "/api/reviews",
    status_code=HTTPStatus.ACCEPTED,
    response_model=Accepted,
    responses=problems(400, 403, 413, 415, 422, 429, 507)
    | {202: {"headers": {"Location": {"schema": {"type": "string"}}}}},
    openapi_extra=FORM,
    summary="Request a review of a clip",
)
async def ask(store: StoreOf, queue: QueueOf, request: Request, response: Response) -> Accepted:
    """Send a clip, and if you like a plan, captions and phrases; the answer is the review's id."""
    announced = request.headers.get("content-length", "0")
    waiting = len(await run_in_threadpool(store.queued))
    limits.check_room(store.data, int(announced) if announced.isdigit() else 0, waiting)
    review_id = secrets.token_hex(8)
    folder = store.incoming / review_id
    folder.mkdir(parents=True)
    try:
        parts = await receive_parts(request, folder, limits.MAX_PART_BYTES)
        arriving = ReviewFolder(folder)
        name = await run_in_threadpool(_check_parts, parts, arriving)
        arriving.arriving.touch()
        folder.rename(store.folder(review_id).path)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    await run_in_threadpool(store.add, review_id, name)
    queue.submit(review_id)
    response.headers["Location"] = f"/api/reviews/{review_id}"
    return Accepted(id=review_id)


@router.get("/api/reviews", responses=problems(403), summary="All reviews, the newest first")
def every(store: StoreOf) -> list[ReviewStatus]:
    """List all reviews with their state and progress."""
    return [status_of(entry) for entry in store.all()]


@router.get(
    "/api/reviews/{review_id}",
    responses=problems(403, 404),
    summary="State and progress of a review",
)
def one(store: StoreOf, review_id: str) -> ReviewStatus:
    """Ask how far one review is; `result` and `script` are there once it is done."""
    return status_of(find_entry(store, review_id))


@router.get(
    "/api/reviews/{review_id}/events",
    response_class=StreamingResponse,
    responses=problems(403, 404) | EVENTS,
    summary="State and progress of a review as server-sent events, until it ends",
)
async def events(store: StoreOf, review_id: str, request: Request) -> StreamingResponse:
    """Follow one review: an event at every change; the stream ends with the review."""
    await run_in_threadpool(find_entry, store, review_id)
    return StreamingResponse(_events(store, review_id, request), media_type="text/event-stream")


@router.post(
    "/api/reviews/{review_id}/cancel",
    responses=problems(403, 404, 409),
    summary="Stop a review that waits or runs",
)
def cancel(store: StoreOf, review_id: str) -> ReviewStatus:
    """Stop a review; it fails with a line that says so and can be started again."""
    if not store.cancel(review_id):
        state = find_entry(store, review_id).state
        raise Problem(HTTPStatus.CONFLICT, f"the review is {state}; there is nothing to stop")
    return status_of(find_entry(store, review_id))


@router.post(
    "/api/reviews/{review_id}/retry",
    status_code=HTTPStatus.ACCEPTED,
    responses=problems(403, 404, 409),
    summary="Start a failed or stopped review again",
)
def retry(store: StoreOf, queue: QueueOf, review_id: str) -> ReviewStatus:
    """Queue a failed or stopped review again with the same clip and plan."""
    if not store.retry(review_id):
        state = find_entry(store, review_id).state
        raise Problem(HTTPStatus.CONFLICT, f"the review is {state}; only a failed one restarts")
    queue.submit(review_id)
    return status_of(find_entry(store, review_id))


@router.delete(
    "/api/reviews/{review_id}",
    status_code=HTTPStatus.NO_CONTENT,
    responses=problems(403, 404),
    summary="Delete a review with its clip, track, stills and corrections; stops it first",
)
def remove(store: StoreOf, review_id: str) -> None:
    """Delete everything about a review; a running one is stopped first."""
    sha256 = find_entry(store, review_id).sha256
    with store.write_lock:
        if not store.remove(review_id):
            raise not_found()
    if sha256 and all(entry.sha256 != sha256 for entry in store.all()):
        delete_cached_clip(sha256)


async def _events(store: Store, review_id: str, request: Request) -> AsyncIterator[str]:
    """Server-sent events: the status whenever it changed."""
    sent, until = None, time.monotonic() + _MAX_STREAM_S
    while time.monotonic() < until and not request.app.state.closing:
        entry = await run_in_threadpool(store.get, review_id)
        if entry is None:
            yield "event: gone\ndata: {}\n\n"
            return
        if entry != sent:
            sent = entry
            yield f"data: {status_of(entry).model_dump_json()}\n\n"
        if entry.state in ("done", "failed"):
            return
        await asyncio.sleep(_LOOK_EVERY_S)


def _check_parts(parts: dict[str, Part], folder: ReviewFolder) -> str:
    """Refuse bad files at once, store the good ones, and return the name of the clip."""
    clip = parts.get("clip")
    if clip is None or not clip.size:
        raise Problem(HTTPStatus.UNPROCESSABLE_ENTITY, 'the field "clip" is missing or empty')
    name = clip.name or "clip"
    folder.keep(_inputs(parts))
    clip.path.rename(folder.clip)
    length_s = probe(StoredClip(folder.clip, name)).info.duration_s
    if length_s > limits.MAX_CLIP_S:
        raise ClipError(
            f"{name}: lasts {clock(length_s)}; at most {clock(limits.MAX_CLIP_S)} "
            "are reviewed; cut it in two"
        )
    folder.tidy()
    return name


def _inputs(parts: dict[str, Part]) -> Inputs:
    """Read and check the other fields of the form."""
    plan, plan_text, captions, phrases = None, None, None, None
    part = parts.get("plan")
    # An empty file field of a form arrives as a part without name and content.
    if part is not None and (part.size or part.name):
        data = part.path.read_bytes()
        plan = plan_from_bytes(data, part.name or "plan.yaml")
        table = part.name.lower().endswith((".xlsx", ".csv"))
        plan_text = None if table else checked_text(data, part.name, PLAN_FILE)
    part = parts.get("captions")
    if part is not None and part.size:
        captions = caption_text(part.path, part.name or "captions")
        words_in(captions, part.name or "captions")
    part = parts.get("phrases")
    if part is not None and part.size:
        phrases = phrase_text(part.path, part.name or "phrases.yaml")
        phrases_of(phrases, part.name or "phrases.yaml")
    part, person = parts.get("person"), None
    if part is not None and part.size:
        person = part.path.read_bytes().decode("utf-8", "replace").strip()
        read_person(person)
    return Inputs(plan=plan, plan_text=plan_text, captions=captions, phrases=phrases, person=person)
