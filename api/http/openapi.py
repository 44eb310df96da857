"""The parts of the OpenAPI description that the framework cannot know."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from api.http.problems import ProblemBody

EXAMPLE_ID = "5f0c2a9be1d34876"

FORM: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "multipart/form-data": {
                "schema": {
                    "type": "object",
                    "required": ["clip"],
                    "additionalProperties": False,
                    "properties": {
                        "clip": {
                            "type": "string",
                            "contentMediaType": "application/octet-stream",
                            "description": "the filmed rehearsal",
                        },
                        "plan": {
                            "type": "string",
                            "contentMediaType": "application/octet-stream",
                            "description": "the class plan: .yaml, .csv or .xlsx",
                        },
                        "captions": {
                            "type": "string",
                            "contentMediaType": "application/octet-stream",
                            "description": "what was said: WebVTT or SubRip",
                        },
                        "phrases": {
                            "type": "string",
                            "contentMediaType": "application/octet-stream",
                            "description": "your own words for the script: .yaml",
                        },
                        "person": {
                            "type": "string",
                            "description": "whom to follow where several people are in the "
                            "picture: X,Y or X,Y@TIME, a point on the body as fractions of width "
                            "and height or in pixels",
                            "examples": ["0.3,0.5@1:05"],
                        },
                    },
                }
            }
        },
    }
}


# Answers that are files or streams: the framework cannot derive them from types.
MARKDOWN: dict[int | str, dict[str, Any]] = {
    200: {"content": {"text/markdown": {"schema": {"type": "string"}}}}
}
EVENTS: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "Events with a ReviewStatus as JSON; one named gone when deleted",
        "content": {
            "text/event-stream": {
                "schema": {
                    "type": "object",
                    "description": "one event",
                    "properties": {"event": {"type": "string"}, "data": {"type": "string"}},
                }
            }
        },
    }
}
TEXTS: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file",
        "content": {
            kind: {"schema": {"type": "string"}}
            for kind in (
                "text/vtt", "application/x-subrip", "text/plain", "application/json",
                "application/xml", "text/csv", "text/markdown",
            )
        },
    }
}  # fmt: skip
_BYTES = {"schema": {"type": "string", "format": "binary"}}
_VIDEO = dict.fromkeys(
    ("video/mp4", "video/webm", "video/x-matroska", "video/x-msvideo", "video/mp2t",
     "application/octet-stream"),
    _BYTES,
)  # fmt: skip
CLIP_ANSWERS: dict[int | str, dict[str, Any]] = {
    200: {"description": "The whole clip", "content": _VIDEO},
    206: {"description": "The part asked for with Range", "content": _VIDEO},
}
JPEG: dict[int | str, dict[str, Any]] = {
    200: {"description": "The picture", "content": {"image/jpeg": _BYTES}}
}


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Error responses of an operation, each a problem; 500 is always among them."""
    body = {"schema": {"$ref": "#/components/schemas/ProblemBody"}}
    return {
        status: {
            "description": HTTPStatus(status).phrase,
            "content": {"application/problem+json": body},
        }
        for status in (*statuses, 500)
    }


def describe(app: FastAPI) -> dict[str, Any]:
    """The framework's description, without the error schema it assumes and we never send."""
    if app.openapi_schema is None:
        schema = get_openapi(
            title=app.title, version=app.version, summary=app.summary, routes=app.routes
        )
        components = schema.setdefault("components", {}).setdefault("schemas", {})
        components["ProblemBody"] = ProblemBody.model_json_schema()
        for name in ("HTTPValidationError", "ValidationError"):
            components.pop(name, None)
        for path in schema["paths"].values():
            for operation in path.values():
                for parameter in operation.get("parameters", ()):
                    if parameter["name"] == "review_id":
                        parameter["description"] = "id from the answer to POST /api/reviews"
                        parameter["example"] = EXAMPLE_ID
                for answer in operation["responses"].values():
                    # An error is a problem and nothing else.
                    if "application/problem+json" in answer.get("content", {}):
                        answer["content"].pop("application/json", None)
                content = operation["responses"].get("422", {}).get("content", {})
                if "application/json" in content:
                    del operation["responses"]["422"]
        app.openapi_schema = schema
    return app.openapi_schema
