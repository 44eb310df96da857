"""Run the HTTP door until it is stopped."""

from __future__ import annotations

import socket
import sys
from contextlib import suppress
from pathlib import Path

import uvicorn

from api.app import create_app
from api.errors import ServeError


def serve_forever(host: str, port: int, data: Path) -> None:
    """Listen on `host` and `port`, keep clips and reviews under `data`.

    Raises
    ------
    ServeError
        The address is taken or unknown, or the data folder cannot be used.
    """
    # Bound before the application starts: a second server must not touch the first one's queue.
    listener = _listener(host, port)
    try:
        app = create_app(data, host=host)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise ServeError(
            f"{data}: cannot be used for reviews ({reason}); name another folder with --data"
        ) from error
    shown = f"[{host}]" if ":" in host else host
    print(
        f"takeproof is at http://{shown}:{listener.getsockname()[1]}/api/reviews", file=sys.stderr
    )
    print("Stop it with Ctrl-C.", file=sys.stderr)
    with suppress(KeyboardInterrupt):  # the server ends in order first, then passes Ctrl-C on
        uvicorn.Server(uvicorn.Config(app, log_level="warning")).run(sockets=[listener])


def _listener(host: str, port: int) -> socket.socket:
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        listener = socket.socket(family, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise ServeError(
            f"cannot listen on {host}, port {port} ({reason}); choose another with --port"
        ) from error
    return listener
