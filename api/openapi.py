"""What the HTTP door says of itself: the parts of OpenAPI the framework cannot know."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from api.problems import ProblemBody

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
                    },
                }
            }
        },
    }
}


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Responses an operation may give besides its own, each a problem; 500 always."""
    body = {"schema": {"$ref": "#/components/schemas/ProblemBody"}}
    return {
        status: {
            "description": HTTPStatus(status).phrase,
            "content": {"application/problem+json": body},
        }
        for status in (*statuses, 500)
    }


def describe(app: FastAPI) -> dict[str, Any]:
    """The framework's description, less the error shape it assumes and we never send."""
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
                content = operation["responses"].get("422", {}).get("content", {})
                if "application/json" in content:
                    del operation["responses"]["422"]
        app.openapi_schema = schema
    return app.openapi_schema
