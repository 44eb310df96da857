"""Refuse requests made by foreign web pages, and set the security headers of every answer.

A web page elsewhere can make a browser send requests here, even under a name of its own that
resolves to 127.0.0.1 (DNS rebinding). Such requests carry a foreign ``Host`` or ``Origin``. The
headers let the browser load nothing from elsewhere and show nothing inside other pages.
"""

from __future__ import annotations

import ipaddress
import socket
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problems import answer

_LOOPBACK_NAMES = {"localhost", "127.0.0.1", "::1"}
_CHANGING_METHODS = {"POST", "PUT", "PATCH", "DELETE"}
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' blob:; media-src 'self'; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


class HostGuard:
    """Middleware that answers foreign requests with 403 and adds the headers to all answers."""

    def __init__(self, app: ASGIApp, bound_to: str) -> None:
        self._app = app
        self._bound_to = bound_to.lower()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse a foreign request, or pass it on and add the headers."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
                # No cache may store clips and reviews; the page's own files set this themselves.
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = self._refusal(scope)
        if refusal is not None:
            await answer(403, refusal)(scope, receive, send_with_headers)
            return
        await self._app(scope, receive, send_with_headers)

    def _refusal(self, scope: Scope) -> str | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if not self._is_own_host(host):
            return "the request is addressed to another host; use localhost"
        if scope["method"] not in _CHANGING_METHODS:
            return None
        origin = headers.get("origin")
        if origin is not None and (
            _host_and_port(origin) is None or _host_and_port(origin) != _host_and_port(f"//{host}")
        ):
            return "the request comes from a page of another site"
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return "the request comes from a page of another site"
        return None

    def _is_own_host(self, address: str) -> bool:
        place = _host_and_port(f"//{address}")
        if place is None:
            return False
        host = place[0]
        if host in _LOOPBACK_NAMES or host == self._bound_to:
            return True
        # Opened to the network on purpose: any numeric address, and the machine's own name.
        if self._bound_to in ("0.0.0.0", "::"):  # noqa: S104
            return _is_address(host) or host == socket.gethostname().lower()
        return False


def _host_and_port(address: str) -> tuple[str, int | None] | None:
    """Host and port of an address; another port of this machine is another site."""
    try:
        split = urlsplit(address)
        return None if split.hostname is None else (split.hostname, split.port)
    except ValueError:
        return None


def _is_address(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
