"""Limits of what the service accepts."""

from __future__ import annotations

import shutil
from http import HTTPStatus
from pathlib import Path

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.problems import Problem, answer

# The fields of the upload form and their size limits. All but the clip are small files.
MAX_PART_BYTES = {
    "clip": 8_000_000_000,
    "plan": 1_000_000,
    "captions": 1_000_000,
    "phrases": 100_000,
    "person": 100,
}
MAX_CLIP_S = 3 * 3600.0
# Work on one clip that takes longer is given up; three hours of film take about one hour.
MAX_WORK_S = 6 * 3600.0
MAX_WAITING = 50
# Left free on the disk for other programs.
MIN_FREE_BYTES = 500_000_000
# Of any request but an upload; the longest is a plan or a list of corrections as text.
MAX_BODY_BYTES = 2_000_000


class BodyLimit:
    """Middleware that refuses large bodies on every route but the upload."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse a body that is too large, or pass the request on."""
        if scope["type"] == "http" and scope["path"] != "/api/reviews":
            headers = Headers(scope=scope)
            announced = headers.get("content-length", "0")
            refusal = None
            if "transfer-encoding" in headers:
                refusal = answer(411, "send the body with a Content-Length")
            elif not announced.isdigit() or int(announced) > MAX_BODY_BYTES:
                refusal = answer(413, f"the body is larger than {MAX_BODY_BYTES // 1_000_000} MB")
            if refusal is not None:
                await refusal(scope, receive, send)
                return
        await self._app(scope, receive, send)


def check_room(data: Path, announced: int, waiting: int) -> None:
    """Refuse an upload when the queue or the disk is full.

    Raises
    ------
    Problem
        429 when too many reviews wait, 507 when the disk would be full.
    """
    if waiting >= MAX_WAITING:
        raise Problem(
            HTTPStatus.TOO_MANY_REQUESTS,
            f"{waiting} reviews are waiting already; send this one when some are done",
        )
    if shutil.disk_usage(data).free < announced + MIN_FREE_BYTES:
        raise Problem(
            HTTPStatus.INSUFFICIENT_STORAGE,
            "there is not enough room on the disk; delete reviews you no longer need",
        )
