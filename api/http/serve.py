"""Run the HTTP service until it is stopped."""

from __future__ import annotations

import os
import secrets
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

import uvicorn
from fastapi import FastAPI

from api.errors import ServeError
from api.http.app import create_app
from api.http.token_guard import MIN_TOKEN_CHARS

TOKEN_VARIABLE = "TAKEPROOF_TOKEN"  # noqa: S105
# A slow download must not keep the program from ending.
_SHUTDOWN_S = 5


def serve_forever(host: str, port: int, data: Path, database: str | None = None) -> None:
    """Listen on `host` and `port`, keep clips and reviews under `data`.

    Raises
    ------
    ServeError
        The address is taken or unknown, or the data folder or database cannot be used.
    """
    token = _token(host)
    # Bound before the application starts: a second server must not touch the first one's queue.
    listener = _listener(host, port)
    with _lock_data(data):
        try:
            app = create_app(data, host=host, token=token, database=database)
        except OSError as error:
            reason = (error.strerror or "unknown reason").lower()
            raise ServeError(
                f"{data}: cannot be used for reviews ({reason}); name another folder with --data"
            ) from error
        except Exception as error:
            if database is None:
                raise
            raise ServeError(
                f"the database cannot be used ({type(error).__name__}); check --database"
            ) from error
        _print_address(host, listener.getsockname()[1], token)
        config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=_SHUTDOWN_S)
        with suppress(
            KeyboardInterrupt
        ):  # the server shuts down in order, then raises Ctrl-C again
            _Server(config, app).run(sockets=[listener])


class _Server(uvicorn.Server):
    """Tells the application at once that it is ending, so that event streams end too."""

    def __init__(self, config: uvicorn.Config, app: FastAPI) -> None:
        super().__init__(config)
        self._application = app

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self._application.state.closing = True
        super().handle_exit(sig, frame)


def _token(host: str) -> str | None:
    """The user's own token, else a new one at every start; None on this machine alone."""
    own = os.environ.get(TOKEN_VARIABLE, "").strip()
    if own and len(own) < MIN_TOKEN_CHARS:
        raise ServeError(f"{TOKEN_VARIABLE} is too short; at least {MIN_TOKEN_CHARS} characters")
    if own:
        return own
    return None if host in ("127.0.0.1", "::1", "localhost") else secrets.token_urlsafe(24)


def _print_address(host: str, port: int, token: str | None) -> None:
    if host in ("0.0.0.0", "::"):  # noqa: S104
        host = socket.gethostname().lower()
    shown = f"[{host}]" if ":" in host else host
    print(f"takeproof is at http://{shown}:{port}/", file=sys.stderr)
    if token is not None:
        print(f"Token to enter: {token}", file=sys.stderr)
    print("Stop it with Ctrl-C.", file=sys.stderr)


@contextmanager
def _lock_data(data: Path) -> Iterator[None]:
    """Lock the data folder: a second server would queue the first one's running reviews again."""
    try:
        import fcntl
    except ImportError:  # not on Windows; there the user must not start two
        yield
        return
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = (data / "lock").open("w")
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise ServeError(
            f"{data}: cannot be used for reviews ({reason}); name another folder with --data"
        ) from error
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise ServeError(
                f"{data}: another takeproof serve uses it; name another folder with --data"
            ) from error
        yield


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
