"""Coded pictures that no other picture refers to: they need not be decoded.

Containers rarely say which these are. The codecs do, in the first bytes of every picture. H.264
(ITU-T H.264, 7.4.1): ``nal_ref_idc`` is 0. HEVC (ITU-T H.265, 7.4.2.2): pictures of the even types
below 16 are not referred to within their own temporal layer, and those of the highest layer by no
other picture. For other codecs nothing is known, and every picture counts as needed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

_START_CODE = b"\x00\x00\x01"
# A picture's own data comes after parameter sets and supplemental messages, which are short.
_MAX_HEADER_BYTES = 4096


class ReferenceUse(NamedTuple):
    """Whether other pictures refer to a coded one, and its temporal layer."""

    referred: bool
    layer: int


NEEDED = ReferenceUse(True, 0)


def reference_reader(codec: str, extradata: bytes | None) -> Callable[[Any], ReferenceUse]:
    """A function that reads this from a packet's bytes.

    Parameters
    ----------
    codec : str
        FFmpeg's name of it.
    extradata : bytes or None
        The stream's. An ``avcC`` or ``hvcC`` record in it means that units follow their length;
        otherwise they follow a start code.
    """
    read = {"h264": _h264, "hevc": _hevc}.get(codec)
    if read is None:
        return lambda packet: NEEDED
    # ISO/IEC 14496-15, 5.3.3.1 and 8.3.3.1: a record begins with version 1. The last two bits of
    # byte 4 or 21 are the size of a length, less one.
    record = extradata if extradata and extradata[0] == 1 else None
    at = 4 if codec == "h264" else 21
    length_bytes = (record[at] & 3) + 1 if record and len(record) > at else 0

    def use_of(packet: Any) -> ReferenceUse:
        data = memoryview(packet)
        units = (
            _length_prefixed_units(data, length_bytes)
            if length_bytes
            else _start_code_units(bytes(data[:_MAX_HEADER_BYTES]))
        )
        return next((s for unit in units if (s := read(unit)) is not None), NEEDED)

    return use_of


def _h264(header: bytes) -> ReferenceUse | None:
    """Read a unit's header; None where the unit is no slice of a picture."""
    kind = header[0] & 0x1F
    return ReferenceUse(bool(header[0] & 0x60), 0) if 1 <= kind <= 5 else None


def _hevc(header: bytes) -> ReferenceUse | None:
    kind = header[0] >> 1 & 0x3F
    return ReferenceUse(kind >= 16 or kind % 2 == 1, (header[1] & 7) - 1) if kind < 32 else None


def _length_prefixed_units(data: memoryview, length_bytes: int) -> Iterator[bytes]:
    """First two bytes of each unit, where units follow their length."""
    at = 0
    while at + length_bytes + 2 <= len(data):
        size = int.from_bytes(data[at : at + length_bytes], "big")
        yield bytes(data[at + length_bytes : at + length_bytes + 2])
        at += length_bytes + size


def _start_code_units(data: bytes) -> Iterator[bytes]:
    """First two bytes of each unit, where units follow a start code."""
    at = data.find(_START_CODE)
    while 0 <= at < len(data) - 4:
        yield data[at + 3 : at + 5]
        at = data.find(_START_CODE, at + 3)
