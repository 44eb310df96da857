"""Captions as timed words, from WebVTT or SubRip, written by people or by machines.

Machine-made captions may have no punctuation, one word in each cue, overlapping cues, or the line
before repeated in every cue. Words get the times given inside a cue where there are any; otherwise
they are spread over the cue.
"""

from __future__ import annotations

import hashlib
import html
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from annotate.errors import CaptionError
from annotate.reading import FileKind, read_text
from annotate.text import one_line

CAPTION_FILE = FileKind(
    CaptionError,
    noun="caption file",
    max_bytes=10_000_000,
    hint="give a .vtt or .srt caption file",
    empty="no captions found, give WebVTT (.vtt) or SubRip (.srt)",
)
_STAMP = r"(?:(\d+):)?(\d{1,2}):(\d{2})[.,](\d{1,3})"
_TIMING = re.compile(rf"\s*{_STAMP}\s*-->\s*{_STAMP}(?:\s.*)?$")
_INNER = re.compile(rf"<{_STAMP}>")
# Sounds and speakers, not speech: [Music], (applause), >>, ♪.
_NOT_SPEECH = re.compile(r"\[[^\]]*\]|\([^)]*\)|\{\\[^}]*\}|>>|[♪♫]")
_TAG = re.compile(r"</?[a-zA-Z][^>]*>")
_TOKEN = re.compile(r"\d+|[^\W\d_]+(?:['’][^\W\d_]+)*|[.?!;]")
_STOPS = frozenset(".?!;")
# Rolling captions show the line before again: in the cue that directly follows (the gap allows for
# rounded times), or some time later as the first of two lines. Common practice, no source.
_ROLLING_S, _ROLLING_LINE_S = 0.1, 15.0


@dataclass(frozen=True)
class Word:
    """One spoken word in lower case.

    Attributes
    ----------
    start_s, end_s : float
        Seconds on the clock of the captions.
    spread : bool
        Whether its time was spread over the cue, not given.
    stop : bool
        Whether a sentence ends after it.
    """

    text: str
    start_s: float
    end_s: float
    spread: bool = False
    stop: bool = False


@dataclass(frozen=True)
class _Cue:
    start_s: float
    end_s: float
    text: str


def read_captions(path: Path) -> tuple[Word, ...]:
    """Read the words of a caption file, in order of time.

    Raises
    ------
    CaptionError
        The file is missing, too large, not text, or holds no captions.
    """
    return words_in(caption_text(path), str(path))


def words_in(text: str, name: str) -> tuple[Word, ...]:
    """Read the words of captions given as text; messages call it `name`.

    Raises
    ------
    CaptionError
        No captions in it.
    """
    try:
        return words_of(text)
    except ValueError as error:
        raise CaptionError(one_line(f"{name}{error}")) from error


def words_id(words: Sequence[Word]) -> str | None:
    """Hash of what was said and when, twelve hex digits; None without words."""
    if not words:
        return None
    said = "\n".join(f"{w.start_s:.3f} {w.end_s:.3f} {w.text} {w.stop}" for w in words)
    return hashlib.sha256(said.encode()).hexdigest()[:12]


def caption_text(path: Path, name: str | None = None) -> str:
    """Read the text of a caption file; messages call it `name`, or by its path.

    Raises
    ------
    CaptionError
        The file is missing, too large, empty, or not text.
    """
    return read_text(path, CAPTION_FILE, name)


def words_of(text: str) -> tuple[Word, ...]:
    """Read the words of captions given as text.

    Raises
    ------
    ValueError
        No captions in it, or a time that cannot be read; the message continues the file's name.
    """
    cues = sorted(_cues(text), key=lambda c: c.start_s)
    if not cues:
        raise ValueError(": no captions found; give WebVTT (.vtt) or SubRip (.srt)")
    words: list[Word] = []
    before: list[Word] = []
    line_before, end_before_s = "", float("-inf")
    for cue in cues:
        first, _, rest = cue.text.strip().partition("\n")
        gap_s = cue.start_s - end_before_s
        if rest and first.strip() == line_before and gap_s < _ROLLING_LINE_S:
            said = _timed(_Cue(cue.start_s, cue.end_s, rest))
            fresh = said
        else:
            said = _timed(cue)
            fresh = said[_repeated(before, said) if gap_s <= _ROLLING_S else 0 :]
        words += fresh
        before, line_before = said, (rest or first).split("\n")[-1].strip()
        end_before_s = max(end_before_s, cue.end_s)
    return tuple(sorted(words, key=lambda w: w.start_s))


def _cues(text: str) -> Iterator[_Cue]:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    i = 0
    while i < len(lines):
        match = _TIMING.match(lines[i])
        if match is None:
            if "-->" in lines[i] and not lines[i].startswith("NOTE"):
                raise ValueError(
                    f', line {i + 1}: "{lines[i].strip()[:60]}" is not a time; '
                    "write 00:01:02.500 --> 00:01:04.000"
                )
            i += 1
            continue
        i += 1
        said = []
        while i < len(lines) and lines[i].strip() and not _TIMING.match(lines[i]):
            said.append(lines[i])
            i += 1
        start_s, end_s = _seconds(match.groups()[:4]), _seconds(match.groups()[4:])
        yield _Cue(start_s, max(end_s, start_s + 0.01), "\n".join(said))


def _seconds(parts: Sequence[str | None]) -> float:
    hours, minutes, seconds, fraction = parts
    assert minutes and seconds and fraction  # the pattern has them
    whole = int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)
    return whole + float(f"0.{fraction}")


def _timed(cue: _Cue) -> list[Word]:
    """Time the words of a cue by the marks inside it, or spread them over its length."""
    pieces: list[tuple[float, str]] = []
    at, text = cue.start_s, cue.text
    while (mark := _INNER.search(text)) is not None:
        pieces.append((at, text[: mark.start()]))
        at, text = _seconds(mark.groups()), text[mark.end() :]
    pieces.append((at, text))
    ends = [*(start for start, _ in pieces[1:]), cue.end_s]
    words: list[Word] = []
    for (start_s, piece), end_s in zip(pieces, ends, strict=True):
        words += _spread(piece, start_s, max(end_s, start_s + 0.01), marked=len(pieces) > 1)
    return words


def _spread(text: str, start_s: float, end_s: float, *, marked: bool) -> list[Word]:
    plain = html.unescape(_TAG.sub("", text))
    tokens = _TOKEN.findall(_NOT_SPEECH.sub(" ", plain).lower().replace("’", "'"))
    said = [t for t in tokens if t not in _STOPS]
    if not said:
        return []
    # A count keeps its pace, however long its words are; other words take time by their letters.
    steady = all(t.isdigit() or len(t) <= 5 for t in said)
    weights = [1.0 if steady else len(t) + 1.0 for t in said]
    total = sum(weights)
    words: list[Word] = []
    passed = 0.0
    for token in tokens:
        if token in _STOPS:
            if words:
                last = words[-1]
                words[-1] = Word(last.text, last.start_s, last.end_s, last.spread, stop=True)
            continue
        share = weights[len(words)]
        a = start_s + (end_s - start_s) * passed / total
        passed += share
        b = start_s + (end_s - start_s) * passed / total
        words.append(Word(token, a, b, spread=not marked and len(said) > 1))
    return words


def _repeated(before: Sequence[Word], said: Sequence[Word]) -> int:
    """Count the first words of a cue that are the last words of the one before, shown again."""
    earlier, now = [w.text for w in before], [w.text for w in said]
    for n in range(min(len(earlier), len(now)), 0, -1):
        # A single word may have been said twice.
        if earlier[-n:] == now[:n] and (n > 1 or len(now) > 1):
            return n
    return 0
