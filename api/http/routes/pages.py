"""The page: plain HTML files and ES modules, served as they are, and the login."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs

from fastapi import FastAPI, Request
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from api.http.access import COOKIE, cookie_of, same
from api.http.problems import Problem

_FOLDER = Path(__file__).parent.parent / "page"
_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
_SHELLS = {"/": "library", "/reviews/{review_id}": "review",
           "/reviews/{review_id}/script": "script", "/takes": "takes"}  # fmt: skip
_MONTH_S = 30 * 24 * 3600


def add_pages(app: FastAPI, token: str | None) -> None:
    """Add the pages; they know nothing themselves and ask the API."""
    # Read once: what is served can be nothing but these.
    files = {path.name: path for path in _FOLDER.iterdir() if path.suffix in _TYPES}

    for path, shell in _SHELLS.items():
        app.add_api_route(path, _page(shell), include_in_schema=False, response_class=HTMLResponse)

    @app.get("/page/{name}", include_in_schema=False)
    def file(name: str) -> FileResponse:
        path = files.get(name)
        if path is None:
            raise Problem(HTTPStatus.NOT_FOUND, "there is no such file")
        headers = {"Cache-Control": "no-cache"}  # asked for again, answered with 304
        return FileResponse(path, media_type=_TYPES[path.suffix], headers=headers)

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> FileResponse:
        return FileResponse(files["icon.svg"], media_type="image/svg+xml")

    @app.get("/login", include_in_schema=False)
    def login() -> Response:
        return RedirectResponse("/", 303) if token is None else _login_page("")

    @app.post("/login", include_in_schema=False)
    async def enter(request: Request) -> Response:
        fields = parse_qs((await request.body()).decode("utf-8", "replace"))
        given = fields.get("token", [""])[0].strip()
        if token is None or not same(given, token):
            return _login_page("This is not the token. takeproof serve prints it when it starts.")
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            COOKIE, cookie_of(token), max_age=_MONTH_S, httponly=True, samesite="strict",
            secure=request.url.scheme == "https",
        )  # fmt: skip
        return answer


def _page(shell: str) -> Callable[[], HTMLResponse]:
    text = (_FOLDER / f"{shell}.html").read_text(encoding="utf-8")

    def page() -> HTMLResponse:
        return HTMLResponse(text)

    return page


def _login_page(wrong: str) -> HTMLResponse:
    text = (_FOLDER / "login.html").read_text(encoding="utf-8").replace("<!--wrong-->", wrong)
    return HTMLResponse(text, HTTPStatus.UNAUTHORIZED if wrong else HTTPStatus.OK)
