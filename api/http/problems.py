"""Errors over HTTP: always ``application/problem+json`` (RFC 9457) with one plain line."""

from __future__ import annotations

from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from annotate.text import one_line
from api.faults import report_fault
from pose.errors import InputError


class ProblemBody(BaseModel):
    """What went wrong, per RFC 9457."""

    type: str = "about:blank"
    title: str = Field(examples=["Unprocessable Entity"])
    status: int = Field(examples=[422])
    detail: str = Field(
        description="one plain line: what, where, what to do",
        examples=['plan.yaml, line 7: unknown key "wrok"; did you mean "work"?'],
    )


class Problem(Exception):
    """Raised to answer the request with this status and line."""

    def __init__(self, status: HTTPStatus, detail: str) -> None:
        super().__init__(detail)
        self.status = status


def answer(status: int, detail: str) -> JSONResponse:
    """The response that states a problem."""
    body = ProblemBody(title=HTTPStatus(status).phrase, status=status, detail=one_line(detail))
    return JSONResponse(body.model_dump(), status, media_type="application/problem+json")


def add_problem_handlers(app: FastAPI) -> None:
    """Turn every error, ours or the framework's, into a problem."""

    @app.exception_handler(Problem)
    def _problem(request: Request, error: Problem) -> JSONResponse:
        return answer(error.status, str(error))

    @app.exception_handler(InputError)
    def _input(request: Request, error: InputError) -> JSONResponse:
        return answer(HTTPStatus.UNPROCESSABLE_ENTITY, str(error))

    @app.exception_handler(RequestValidationError)
    def _validation(request: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return answer(HTTPStatus.UNPROCESSABLE_ENTITY, f"{where}: {first['msg']}")

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> JSONResponse:
        response = answer(error.status_code, str(error.detail))
        response.headers.update(error.headers or {})
        return response

    @app.exception_handler(Exception)
    def _fault(request: Request, error: Exception) -> JSONResponse:
        return answer(HTTPStatus.INTERNAL_SERVER_ERROR, report_fault(error))
