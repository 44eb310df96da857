"""The page: plain HTML files and ES modules, served as they are, and the login."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path
from urllib.parse import parse_qs

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from api.http.problems import Problem
from api.http.token_guard import COOKIE, cookie_of, same_secret

_FOLDER = Path(__file__).parent.parent / "page"
_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
_SHELLS = {"/": "library", "/reviews/{review_id}": "review",
           "/reviews/{review_id}/script": "script", "/takes": "takes"}  # fmt: skip
_MONTH_S = 30 * 24 * 3600
# Listed once: nothing but these can be served.
_FILES = {path.name: path for path in _FOLDER.iterdir() if path.suffix in _TYPES}

router = APIRouter(include_in_schema=False)


def _page(shell: str) -> Callable[[], HTMLResponse]:
    """A page without data; its scripts ask the API."""
    text = (_FOLDER / f"{shell}.html").read_text(encoding="utf-8")

    def page() -> HTMLResponse:
        return HTMLResponse(text)

    return page


for _path, _shell in _SHELLS.items():
    router.add_api_route(_path, _page(_shell), response_class=HTMLResponse)


@router.get("/page/{name}")
def file(name: str) -> FileResponse:
    """A style sheet, a script or the icon."""
    path = _FILES.get(name)
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, "there is no such file")
    headers = {"Cache-Control": "no-cache"}  # the browser asks again and gets 304
    return FileResponse(path, media_type=_TYPES[path.suffix], headers=headers)


@router.get("/favicon.ico")
def icon() -> FileResponse:
    """The icon, where browsers look for it by themselves."""
    return FileResponse(_FILES["icon.svg"], media_type="image/svg+xml")


@router.get("/login")
def login(request: Request) -> Response:
    """Ask for the token, where there is one."""
    return RedirectResponse("/", 303) if request.app.state.token is None else _login_page("")


@router.post("/login")
async def enter(request: Request) -> Response:
    """Set the cookie for a browser that gives the token."""
    token: str | None = request.app.state.token
    fields = parse_qs((await request.body()).decode("utf-8", "replace"))
    given = fields.get("token", [""])[0].strip()
    if token is None or not same_secret(given, token):
        return _login_page("This is not the token. takeproof serve prints it when it starts.")
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        COOKIE, cookie_of(token), max_age=_MONTH_S, httponly=True, samesite="strict",
        secure=request.url.scheme == "https",
    )  # fmt: skip
    return answer


def _login_page(wrong: str) -> HTMLResponse:
    text = (_FOLDER / "login.html").read_text(encoding="utf-8").replace("<!--wrong-->", wrong)
    return HTMLResponse(text, HTTPStatus.UNAUTHORIZED if wrong else HTTPStatus.OK)
