"""Matroska chapters as the XML that Matroska tools read (RFC 9559 and its chapters document).

Times are written as hours, minutes and seconds with nanoseconds. There is one edition, and it is
not ordered: an ordered one would change the order of playing.
"""

from __future__ import annotations

from xml.etree import ElementTree

from annotate.exports.marker_list import MarkerList
from annotate.text import stamp

_NS = 1_000_000_000
_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE Chapters SYSTEM "matroskachapters.dtd">\n'
)


def write(markers: MarkerList) -> str:
    """Write the periods as chapters of one edition; the end is exclusive."""
    root = ElementTree.Element("Chapters")
    edition = ElementTree.SubElement(root, "EditionEntry")
    for marker in markers.chapters:
        atom = ElementTree.SubElement(edition, "ChapterAtom")
        start, end = (stamp(ns, per_s=_NS) for ns in markers.units(marker, _NS))
        ElementTree.SubElement(atom, "ChapterTimeStart").text = start
        ElementTree.SubElement(atom, "ChapterTimeEnd").text = end
        display = ElementTree.SubElement(atom, "ChapterDisplay")
        ElementTree.SubElement(display, "ChapterString").text = marker.name
        ElementTree.SubElement(display, "ChapterLanguage").text = "und"
    ElementTree.indent(root)
    return _HEAD + ElementTree.tostring(root, encoding="unicode") + "\n"
