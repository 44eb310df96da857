"""Which requests are let in: those addressed to this machine by a name it goes by.

A web page elsewhere can make a browser send requests here, even under a name of its own that
resolves to 127.0.0.1. Such requests carry a foreign ``Host`` or ``Origin`` and are refused.
"""

from __future__ import annotations

import ipaddress
import socket
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from api.problems import answer

_LOOPBACK_NAMES = {"localhost", "127.0.0.1", "::1"}
_CHANGES = {"POST", "PUT", "PATCH", "DELETE"}


class HostGuard:
    """Middleware that answers foreign requests with 403."""

    def __init__(self, app: ASGIApp, bound_to: str) -> None:
        self._app = app
        self._bound_to = bound_to.lower()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            headers = Headers(scope=scope)
            origin = headers.get("origin") if scope["method"] in _CHANGES else None
            if not self._ours(f"//{headers.get('host', '')}"):
                refusal = answer(403, "the request is addressed to another host; use localhost")
                await refusal(scope, receive, send)
                return
            if origin is not None and not self._ours(origin):
                refusal = answer(403, "the request comes from a page of another site")
                await refusal(scope, receive, send)
                return
        await self._app(scope, receive, send)

    def _ours(self, address: str) -> bool:
        try:
            host = urlsplit(address).hostname
        except ValueError:
            return False
        if host is None:
            return False
        if host in _LOOPBACK_NAMES or host == self._bound_to:
            return True
        # Opened to the network on purpose: any numeric address, and the machine's own name.
        if self._bound_to in ("0.0.0.0", "::"):  # noqa: S104
            return _is_address(host) or host == socket.gethostname().lower()
        return False


def _is_address(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
