"""Matroska chapters as the XML that Matroska tools read (RFC 9559 and its chapters document).

Times are written as hours, minutes and seconds with nanoseconds. There is one edition, and it is
not ordered: an ordered one would change the order of playing.
"""

from __future__ import annotations

from xml.etree import ElementTree as xml

from annotate.exports.marker_list import MarkerList
from annotate.text import stamp

_NS = 1_000_000_000
_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE Chapters SYSTEM "matroskachapters.dtd">\n'
)


def write(markers: MarkerList) -> str:
    """Write the periods as chapters of one edition; the end is exclusive."""
    root = xml.Element("Chapters")
    edition = xml.SubElement(root, "EditionEntry")
    for marker in markers.chapters:
        atom = xml.SubElement(edition, "ChapterAtom")
        start, end = (stamp(ns, per_s=_NS) for ns in markers.units(marker, _NS))
        xml.SubElement(atom, "ChapterTimeStart").text = start
        xml.SubElement(atom, "ChapterTimeEnd").text = end
        display = xml.SubElement(atom, "ChapterDisplay")
        xml.SubElement(display, "ChapterString").text = marker.name
        xml.SubElement(display, "ChapterLanguage").text = "und"
    xml.indent(root)
    return _HEAD + xml.tostring(root, encoding="unicode") + "\n"
