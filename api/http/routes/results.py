"""Routes to the results of a review: review, script, exports, stills, clip, body positions."""

from __future__ import annotations

from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Literal
from urllib.parse import quote

import fastapi
from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import FileResponse

from annotate.exports import FORMATS, export
from annotate.review.model import Review
from annotate.script.build import Script
from annotate.text import one_line
from api.http.dependencies import StoreOf
from api.http.media import ClipResponse, media_type
from api.http.openapi import CLIP_ANSWERS, JPEG, MARKDOWN, TEXTS, problems
from api.http.overlay import ClipOverlay, clip_overlay
from api.http.problems import Problem
from api.http.status import done_folder, find_entry
from api.http.store import Store
from api.work.produce import bring_up_to_date, still_file

Download = Literal[
    "script.md", "script.vtt", "script.srt", "script.last-take.vtt", "sheet.md", "sheet.csv"
]
_DOWNLOAD_TYPES = {".md": "text/markdown", ".vtt": "text/vtt", ".srt": "application/x-subrip",
                   ".csv": "text/csv"}  # fmt: skip
Moment = Annotated[float, Query(ge=0, le=1e6)]


router = APIRouter()


def _derived_file(store: Store, review_id: str, name: str) -> Path:
    """A file made from the review; made again where it belongs to an older one."""
    with store.write_lock:
        folder = done_folder(store, review_id)
        bring_up_to_date(folder, draw_later=True)
        return folder.file(name)


@router.get(
    "/api/reviews/{review_id}/review.json",
    response_model=Review,
    responses=problems(403, 404, 409),
    summary="The review",
)
def result(store: StoreOf, review_id: str) -> Response:
    """Everything found, with times in seconds; the schema is Review."""
    # Read and written again: an earlier version may have stored it.
    review = done_folder(store, review_id).review()
    return Response(review.to_json(), media_type="application/json")


@router.get(
    "/api/reviews/{review_id}/script",
    response_model=Script,
    responses=problems(403, 404, 406, 409) | MARKDOWN,
    summary="The timed script for the next take, as JSON or Markdown by Accept",
)
def script(store: StoreOf, review_id: str, request: Request) -> FileResponse:
    """What to say in the next take, and when, on the clock of the plan."""
    kind = preferred(request.headers.get("accept", "*/*"), "application/json", "text/markdown")
    if kind is None:
        raise Problem(
            HTTPStatus.NOT_ACCEPTABLE, "the script comes as application/json or text/markdown"
        )
    name = "script.json" if kind == "application/json" else "script.md"
    path = _derived_file(store, review_id, name)
    return FileResponse(path, media_type=kind, headers={"Vary": "Accept"})


@router.get(
    "/api/reviews/{review_id}/downloads/{file}",
    response_class=Response,
    responses=problems(403, 404, 409, 422) | TEXTS,
    summary="The script or the coach's sheet as a file",
)
def download(store: StoreOf, review_id: str, file: Download) -> FileResponse:
    """Save the script (Markdown or captions) or the sheet (Markdown or CSV)."""
    path = _derived_file(store, review_id, file)
    stem = _stem(find_entry(store, review_id).name)
    return FileResponse(path, media_type=_DOWNLOAD_TYPES[path.suffix], filename=f"{stem}.{file}")


@router.get(
    "/api/reviews/{review_id}/exports/{format}",
    response_class=Response,
    responses=problems(403, 404, 409, 422) | TEXTS,
    summary="Markers for an editor or a player",
    description="Formats: " + ", ".join(FORMATS) + ".",
)
def exported(
    store: StoreOf,
    review_id: str,
    format: Annotated[str, fastapi.Path(max_length=40, examples=["webvtt"])],
    rate: Annotated[
        str | None, Query(max_length=20, examples=["25"], description="frames a second")
    ] = None,
    start: Annotated[
        str | None,
        Query(max_length=20, examples=["01:00:00:00"], description="of the first picture"),
    ] = None,
) -> Response:
    """Markers in one format; warnings come in the header Takeproof-Warning."""
    found = done_folder(store, review_id).review()
    file = export(found, format, rate or None, start or None)
    headers = {"Content-Disposition": _attachment(_stem(found.clip.name) + file.suffix)}
    if file.warnings:
        line = one_line(" ".join(file.warnings)).replace("--rate", "the rate")
        headers["Takeproof-Warning"] = quote(line, safe=" .,;:()/'")
    return Response(file.text, media_type=file.media_type, headers=headers)


@router.get(
    "/api/reviews/{review_id}/clip",
    response_class=FileResponse,
    responses=problems(400, 403, 404, 416) | CLIP_ANSWERS,
    summary="The clip; answers range requests",
)
def clip(store: StoreOf, review_id: str) -> ClipResponse:
    """The clip as it was sent."""
    path = store.folder(find_entry(store, review_id).id).clip
    return ClipResponse(path, media_type=media_type(path))


@router.get(
    "/api/reviews/{review_id}/preview",
    response_class=FileResponse,
    responses=problems(400, 403, 404, 416) | CLIP_ANSWERS,
    summary="The clip in a format that every browser plays: a copy where needed, else the clip",
)
def preview(store: StoreOf, review_id: str) -> ClipResponse:
    """Play this one in a page; its time stamps are those of the clip."""
    path = store.folder(find_entry(store, review_id).id).preview
    return ClipResponse(path, media_type=media_type(path))


@router.get(
    "/api/reviews/{review_id}/overlay",
    responses=problems(403, 404, 409, 422),
    summary="Skeleton and outline of the back over a stretch of at most 60 s",
)
def laid_over(
    store: StoreOf, review_id: str, start_s: Moment = 0.0, end_s: Moment = 60.0
) -> ClipOverlay:
    """Positions to draw over the clip, from `start_s` to `end_s`."""
    return clip_overlay(done_folder(store, review_id).track_file, start_s, end_s)


@router.get(
    "/api/reviews/{review_id}/stills/{file}",
    response_class=FileResponse,
    responses=problems(403, 404, 409) | JPEG,
    summary="A still of the review, by the name it has there",
)
def still(store: StoreOf, review_id: str, file: str) -> FileResponse:
    """A picture of a repetition, drawn when it is first asked for."""
    with store.write_lock:
        path = still_file(done_folder(store, review_id), file)
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, "this review has no such still")
    return FileResponse(path, media_type="image/jpeg")


def preferred(accept: str, *offered: str) -> str | None:
    """The offered media type an ``Accept`` header prefers; the first among equals."""
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


def _stem(name: str) -> str:
    return name.rsplit(".", 1)[0] or name


def _attachment(name: str) -> str:
    """A ``Content-Disposition`` for a file name with any characters (RFC 6266)."""
    return f"attachment; filename*=UTF-8''{quote(name, safe='')}"
