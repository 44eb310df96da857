"""Matroska chapters as the XML that Matroska tools take (RFC 9559 and its chapters document).

Times are nanoseconds in the file and written as hours to nanoseconds here. One plain edition:
an ordered one would rearrange the playing.
"""

from __future__ import annotations

from xml.etree import ElementTree as xml

from annotate.exports.marker_list import MarkerList

_NS = 1_000_000_000
_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE Chapters SYSTEM "matroskachapters.dtd">\n'
)


def write(markers: MarkerList) -> str:
    """The periods as chapters of one edition; the end is the first moment after."""
    root = xml.Element("Chapters")
    edition = xml.SubElement(root, "EditionEntry")
    for marker in markers.chapters:
        atom = xml.SubElement(edition, "ChapterAtom")
        start, end = (_clock(ns) for ns in markers.units(marker, _NS))
        xml.SubElement(atom, "ChapterTimeStart").text = start
        xml.SubElement(atom, "ChapterTimeEnd").text = end
        display = xml.SubElement(atom, "ChapterDisplay")
        xml.SubElement(display, "ChapterString").text = _allowed(marker.name)
        xml.SubElement(display, "ChapterLanguage").text = "und"
    xml.indent(root)
    return _HEAD + xml.tostring(root, encoding="unicode") + "\n"


def _allowed(text: str) -> str:
    """Without the two code points XML 1.0 forbids that one line of text may still hold."""
    return text.replace("\ufffe", "").replace("\uffff", "")


def _clock(ns: int) -> str:
    seconds, ns = divmod(ns, _NS)
    minutes, seconds = divmod(seconds, 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d}.{ns:09d}"
