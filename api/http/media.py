"""Serve a clip to a player, with the media type of its content, not of its name."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import av
from fastapi.responses import FileResponse
from starlette.types import Message, Receive, Scope, Send

from api.http.problems import answer

_OPEN_CODECS = {"vp8", "vp9", "av1"}


@lru_cache(maxsize=256)
def media_type(path: Path) -> str:
    """Media type of a clip, from its container and codecs."""
    try:
        with av.open(str(path)) as container:
            names = set(container.format.name.split(","))
            codecs = {stream.codec_context.name for stream in container.streams.video}
    except (av.FFmpegError, OSError):
        return "application/octet-stream"
    if "mp4" in names:
        return "video/mp4"
    if "webm" in names:
        # FFmpeg reads WebM and Matroska as one format; only the open codecs make it a WebM.
        open_codec = any(codec.removeprefix("lib").startswith(tuple(_OPEN_CODECS) + ("dav1d",))
                         for codec in codecs)  # fmt: skip
        return "video/webm" if open_codec else "video/x-matroska"
    if "avi" in names:
        return "video/x-msvideo"
    if "mpegts" in names:
        return "video/mp2t"
    return "application/octet-stream"


class ClipResponse(FileResponse):
    """A clip with range requests; a range that does not exist is answered as a problem."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the clip or the part that was asked for."""
        refused: int | None = None

        async def watched(message: Message) -> None:
            nonlocal refused
            if message["type"] == "http.response.start" and message["status"] in (400, 416):
                refused = message["status"]
            if refused is None:
                await send(message)

        await super().__call__(scope, receive, watched)
        if refused is not None:
            problem = answer(refused, "the clip has no such range of bytes")
            problem.headers["Content-Range"] = f"bytes */{Path(self.path).stat().st_size}"
            await problem(scope, receive, send)
