"""How much the HTTP door takes in before it says no."""

from __future__ import annotations

import shutil
from http import HTTPStatus
from pathlib import Path

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.problems import Problem, answer

# The fields of the upload form and the most bytes each may have: all but the clip is text.
MAX_PART_BYTES = {
    "clip": 8_000_000_000,
    "plan": 1_000_000,
    "captions": 1_000_000,
    "phrases": 100_000,
}
MAX_CLIP_S = 3 * 3600.0
# Work on one clip that takes longer is given up; three hours of film take about one.
MAX_WORK_S = 6 * 3600.0
MAX_WAITING = 50
# Left free on the disk for everybody else.
MIN_FREE_BYTES = 500_000_000
# Everything but a clip is a page of text.
MAX_BODY_BYTES = 2_000_000


class BodyLimit:
    """Middleware that refuses large bodies everywhere but at the door for clips."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
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
    """Refuse an upload for which there is no room.

    Raises
    ------
    Problem
        Too many reviews wait, or the disk would be full.
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
