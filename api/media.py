"""What kind of file a clip is: told by what is in it, never by its name."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import av

_OPEN_CODECS = {"vp8", "vp9", "av1"}


@lru_cache(maxsize=256)
def media_type(path: Path) -> str:
    """The media type a player is told."""
    try:
        with av.open(str(path)) as container:
            names = set(container.format.name.split(","))
            codecs = {stream.codec_context.name for stream in container.streams.video}
    except (av.FFmpegError, OSError):
        return "application/octet-stream"
    if "mp4" in names:
        return "video/mp4"
    if "webm" in names:
        # One reader opens both; only the open codecs make it a WebM.
        open_codec = any(codec.removeprefix("lib").startswith(tuple(_OPEN_CODECS) + ("dav1d",))
                         for codec in codecs)  # fmt: skip
        return "video/webm" if open_codec else "video/x-matroska"
    if "avi" in names:
        return "video/x-msvideo"
    if "mpegts" in names:
        return "video/mp2t"
    return "application/octet-stream"
