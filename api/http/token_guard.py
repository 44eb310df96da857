"""Access by token when the service is open to a network.

On this machine alone no token is needed. A program sends it as ``Authorization: Bearer``; a browser
gives it once at ``/login`` and gets a cookie from which the token cannot be computed.
"""

from __future__ import annotations

import hashlib
import hmac
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.problems import answer

COOKIE = "takeproof"
MIN_TOKEN_CHARS = 16
_OPEN_PATHS = ("/login", "/page/")


def cookie_of(token: str) -> str:
    """The cookie's value for a browser that gave the token."""
    return hmac.new(token.encode(), b"takeproof page", hashlib.sha256).hexdigest()


def same_secret(given: str, expected: str) -> bool:
    """Compare in constant time, so that the time does not reveal the secret."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), expected.encode())


class TokenGuard:
    """Middleware that refuses requests without the token, where there is one."""

    def __init__(self, app: ASGIApp, token: str | None) -> None:
        self._app = app
        self._token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on a request with the token; answer 401, or send a browser to the login."""
        if scope["type"] != "http" or self._token is None or self._authorized(scope, self._token):
            await self._app(scope, receive, send)
        elif scope["path"].startswith("/api/"):
            refusal = answer(401, "give the token that takeproof serve printed when it started")
            refusal.headers["WWW-Authenticate"] = "Bearer"
            await refusal(scope, receive, send)
        else:
            await RedirectResponse("/login", 303)(scope, receive, send)

    def _authorized(self, scope: Scope, token: str) -> bool:
        if scope["path"].startswith(_OPEN_PATHS):
            return True
        headers = Headers(scope=scope)
        kind, _, given = headers.get("authorization", "").partition(" ")
        if kind.lower() == "bearer" and same_secret(given.strip(), token):
            return True
        try:
            cookie = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
        except CookieError:
            return False
        return cookie is not None and same_secret(cookie.value, cookie_of(token))
