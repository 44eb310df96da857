"""A multipart upload, streamed part by part into files with fixed names.

The framework's form reader would hold the clip in the system's temporary folder first; a clip of
some gigabytes goes straight to the data folder instead. Names from the request are for show.
"""

from __future__ import annotations

import errno
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path, PurePath, PureWindowsPath
from typing import BinaryIO

from fastapi import Request
from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header

from annotate.text import one_line
from api.http.problems import Problem


@dataclass(frozen=True)
class Part:
    """One field of the form, stored.

    Attributes
    ----------
    name : str
        The file name the sender gave; empty when none. For show only.
    """

    name: str
    path: Path
    size: int


async def receive_parts(
    request: Request, folder: Path, max_bytes: Mapping[str, int]
) -> dict[str, Part]:
    """Store each part of a multipart request as ``<field>.part`` in `folder`.

    Parameters
    ----------
    largest : mapping
        The allowed fields and the size limit of each.

    Raises
    ------
    Problem
        Not multipart, malformed, an unknown or repeated field, or too large.
    """
    kind, options = parse_options_header(request.headers.get("content-type", ""))
    boundary = options.get(b"boundary")
    if kind != b"multipart/form-data" or not boundary:
        raise Problem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "send multipart/form-data with the field clip; plan, captions, phrases and person are "
            "optional",
        )
    announced = request.headers.get("content-length", "")
    if announced.isdigit() and int(announced) > sum(max_bytes.values()) + 100_000:
        raise _too_large("the upload", sum(max_bytes.values()))
    writer = _Writer(folder, max_bytes)
    try:
        parser = MultipartParser(
            boundary,
            {
                "on_part_begin": writer.begin,
                "on_header_field": writer.header_name,
                "on_header_value": writer.header_value,
                "on_header_end": writer.header_end,
                "on_headers_finished": writer.headers_finished,
                "on_part_data": writer.data,
                "on_part_end": writer.end,
                "on_end": writer.finish,
            },
        )
        async for chunk in request.stream():
            parser.write(chunk)
        parser.finalize()
    except FormParserError as error:
        raise Problem(HTTPStatus.BAD_REQUEST, f"the upload is malformed ({error})") from error
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise Problem(
                HTTPStatus.INSUFFICIENT_STORAGE, "the disk is full; the upload was not kept"
            ) from error
        raise
    finally:
        writer.close()
    if not writer.complete:
        raise Problem(HTTPStatus.BAD_REQUEST, "the upload ends too early; send it again")
    return writer.parts


class _Writer:
    """The parser's callbacks: collect a part's headers, then write its data."""

    def __init__(self, folder: Path, max_bytes: Mapping[str, int]) -> None:
        self.parts: dict[str, Part] = {}
        self.complete = False
        self._folder = folder
        self._max_bytes = max_bytes
        self._headers: dict[bytes, bytes] = {}
        self._header = [b"", b""]
        self._field = ""
        self._name = ""
        self._size = 0
        self._file: BinaryIO | None = None

    def begin(self) -> None:
        self._headers = {}

    def header_name(self, data: bytes, start: int, end: int) -> None:
        self._header[0] += data[start:end]

    def header_value(self, data: bytes, start: int, end: int) -> None:
        self._header[1] += data[start:end]

    def header_end(self) -> None:
        self._headers[self._header[0].lower()] = self._header[1]
        self._header = [b"", b""]

    def headers_finished(self) -> None:
        _, options = parse_options_header(self._headers.get(b"content-disposition", b""))
        self._field = options.get(b"name", b"").decode("utf-8", "replace")
        self._name = display_name(options.get(b"filename", b"").decode("utf-8", "replace"))
        if self._field not in self._max_bytes:
            raise Problem(
                HTTPStatus.UNPROCESSABLE_ENTITY,
                f'unknown field "{self._field[:40]}"; known fields: {", ".join(self._max_bytes)}',
            )
        if self._field in self.parts:
            raise Problem(
                HTTPStatus.UNPROCESSABLE_ENTITY, f'field "{self._field}" is there twice; send one'
            )
        self._size = 0
        self._file = self._path.open("wb")

    def data(self, data: bytes, start: int, end: int) -> None:
        assert self._file is not None  # the parser calls back for headers before data
        self._size += end - start
        if self._size > self._max_bytes[self._field]:
            raise _too_large(f'field "{self._field}"', self._max_bytes[self._field])
        self._file.write(memoryview(data)[start:end])

    def end(self) -> None:
        self.close()
        self.parts[self._field] = Part(self._name, self._path, self._size)

    def finish(self) -> None:
        self.complete = True

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    @property
    def _path(self) -> Path:
        # The field was checked; nothing the sender named gets into a path.
        return self._folder / f"{self._field}.part"


def display_name(name: str) -> str:
    """The last component of a sender's file name, fit to be shown."""
    return one_line(PurePath(PureWindowsPath(name).name).name)[:200]


def _too_large(what: str, max_bytes: int) -> Problem:
    return Problem(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"{what} is larger than {max_bytes / 1e6:.0f} MB"
    )
