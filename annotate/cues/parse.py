"""Cues in a stream of words: phrases of the word table, and counts aloud.

Times are common practice, no source, except where a comment says more.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from annotate.cues.captions import Word
from annotate.cues.words import cue_words, patterns

# Words further apart than this belong to different phrases: longer than a pause for breath.
_PAUSE_S = 0.7
# The same phrase again within this time is one line shown twice, not said twice.
_SAME_S = 1.0
# Seconds from number to number of a count: four words a second is the fastest that can be spoken
# clearly, a slow repetition the slowest.
_FASTEST_S, _SLOWEST_S = 0.25, 6.0
# A number may come early or late by this fraction of the pace, and still belong to the count.
_STRAY = 0.4
# How many numbers may be missing between two that were understood.
_MOST_SKIPPED = 2


@dataclass(frozen=True)
class Phrase:
    """A phrase of the word table that was said.

    Attributes
    ----------
    kind : str
        As in the word table.
    start_s, end_s : float
        When it was said, in seconds.
    number, of : int or None
        "Round two of four": 2 and 4.
    movement : str or None
        A movement id.
    side : "left", "right" or None
    """

    kind: str
    start_s: float
    end_s: float
    text: str
    number: int | None = None
    of: int | None = None
    movement: str | None = None
    side: str | None = None


@dataclass(frozen=True)
class Count:
    """Numbers counted aloud, up or down.

    Attributes
    ----------
    numbers, starts_s : tuple
        What was understood, and when, in seconds.
    each_s : float
        Seconds from one number to the next.
    spread : bool
        Whether the times were spread over a caption, not given word by word.
    """

    numbers: tuple[int, ...]
    starts_s: tuple[float, ...]
    each_s: float
    spread: bool

    @property
    def down(self) -> bool:
        """Whether it counts down."""
        return self.numbers[-1] < self.numbers[0]

    @property
    def text(self) -> str:
        """The numbers as said."""
        return ", ".join(str(n) for n in self.numbers)

    def time_of(self, number: int) -> float:
        """When a number is or would be said, in seconds; a count down ends at 0."""
        step = -self.each_s if self.down else self.each_s
        middle_s = statistics.fmean(self.starts_s)
        return middle_s + step * (number - statistics.fmean(self.numbers))


@dataclass(frozen=True)
class _Token:
    text: str
    start_s: float
    end_s: float
    number: int | None
    maybe: int | None
    spread: bool


def hear(words: Sequence[Word], language: str = "en") -> tuple[list[Phrase], list[Count]]:
    """Find the phrases and the counts in words, each in order of time.

    Parameters
    ----------
    words : sequence of Word
        In order of time.
    language : str
        A word table in ``annotate/cues/languages/``.
    """
    tokens = _tokens(words, language)
    phrases, used = _phrases(tokens, language)
    return phrases, _counts(tokens, used)


def _tokens(words: Sequence[Word], language: str) -> list[_Token]:
    """Words with numbers in digits; a token "." is the end of a sentence or a pause."""
    table = cue_words(language)
    tokens: list[_Token] = []
    for i, word in enumerate(words):
        number = table.number(word.text)
        before = tokens[-1] if tokens else None
        if (
            before is not None and before.number in (20, 30, 40, 50) and number in range(1, 10)
            and not before.text.isdecimal() and not word.text.isdecimal()
            and word.start_s - before.start_s < 2 * _FASTEST_S + 0.2
        ):  # fmt: skip
            assert before.number is not None and number is not None
            whole = before.number + number
            tokens[-1] = _Token(str(whole), before.start_s, word.end_s, whole, None, before.spread)
        else:
            tokens.append(
                _Token(
                    word.text, word.start_s, word.end_s, number,
                    table.sounds_like.get(word.text), word.spread,
                )
            )  # fmt: skip
        following = words[i + 1] if i + 1 < len(words) else None
        if word.stop or (following and following.start_s - word.end_s > _PAUSE_S):
            tokens.append(_Token(".", word.end_s, word.end_s, None, None, False))
    return tokens


def _phrases(tokens: Sequence[_Token], language: str) -> tuple[list[Phrase], set[int]]:
    """Phrases in order of time, and the indices of their tokens."""
    table = cue_words(language)
    text, at = "", []
    for i, token in enumerate(tokens):
        piece = (str(token.number) if token.number is not None else token.text) + " "
        at += [i] * len(piece)
        text += piece
    used: set[int] = set()
    found: list[Phrase] = []
    for kind, pattern in patterns(language):
        for match in pattern.finditer(text):
            span = set(range(at[match.start()], at[match.end() - 1] + 1))
            if span & used or _begins_count(tokens, max(span)):
                continue
            used |= span
            numbers = [int(g) for g in match.groups() if g and g.isdecimal()]
            names = [g for g in match.groups() if g and not g.isdecimal()]
            number = numbers[0] if numbers else None
            if number is None and names:
                number = table.ordinals.get(names[0])
            said = match.group()
            found.append(
                Phrase(
                    kind=kind,
                    start_s=tokens[min(span)].start_s,
                    end_s=tokens[max(span)].end_s,
                    text=" ".join(tokens[i].text for i in sorted(span)),
                    number=number,
                    of=numbers[1] if len(numbers) > 1 else None,
                    movement=table.movement_of.get(names[0]) if names else None,
                    side=next((s for w, s in table.sides.items() if w in said.split()), None),
                )
            )
    found.sort(key=lambda p: p.start_s)
    return list(_once(found)), used


def _begins_count(tokens: Sequence[_Token], last: int) -> bool:
    """Whether a phrase's last number begins a count down: "round two | four, three"."""
    number = tokens[last].number
    following = tokens[last + 1].number if last + 1 < len(tokens) else None
    return number is not None and following is not None and 1 <= number - following <= 2


def _once(phrases: Sequence[Phrase]) -> Iterator[Phrase]:
    """Drop phrases that a rolling or overlapping caption shows again."""
    last: dict[tuple[object, ...], float] = {}
    for p in phrases:
        key = (p.kind, p.number, p.of, p.movement, p.side)
        if p.start_s - last.get(key, float("-inf")) > _SAME_S:
            yield p
        last[key] = p.start_s


def _counts(tokens: Sequence[_Token], used: set[int]) -> list[Count]:
    """Find runs of numbers at an even pace, each one more or one less than the one before.

    A number may be missing where a word was not understood. A word that sounds like the number
    expected next is taken for it.
    """
    counts: list[Count] = []
    run: list[tuple[int, float, bool]] = []

    def close() -> None:
        if len(run) >= 2:
            numbers, starts_s = tuple(n for n, _, _ in run), tuple(t for _, t, _ in run)
            spread = any(s for _, _, s in run)
            counts.append(Count(numbers, starts_s, _pace(run), spread))
        run.clear()

    for i, token in enumerate(tokens):
        if i in used or (token.number is None and token.maybe is None):
            continue
        if token.number is None:
            # "for" and "to" are numbers only where they continue a count.
            if len(run) >= 1 and token.maybe is not None:
                fresh = (token.maybe, token.start_s, token.spread)
                if abs(token.maybe - run[-1][0]) == 1 and _goes_on(run, fresh):
                    run.append(fresh)
            continue
        fresh = (token.number, token.start_s, token.spread)
        if run and run[-1][0] == token.number and token.start_s - run[-1][1] < _SAME_S / 2:
            continue  # shown twice
        if run and not _goes_on(run, fresh):
            close()
        run.append(fresh)
    close()
    return counts


def _pace(run: Sequence[tuple[int, float, bool]]) -> float:
    """Median seconds from one number to the next."""
    return statistics.median(
        (b[1] - a[1]) / abs(b[0] - a[0]) for a, b in zip(run, run[1:], strict=False)
    )


def _goes_on(run: Sequence[tuple[int, float, bool]], fresh: tuple[int, float, bool]) -> bool:
    step = fresh[0] - run[-1][0]
    if step == 0 or abs(step) > 1 + _MOST_SKIPPED:
        return False
    each_s = (fresh[1] - run[-1][1]) / abs(step)
    if not _FASTEST_S <= each_s <= _SLOWEST_S:
        return False
    if len(run) == 1:
        # The first step sets the direction, so at most one number may be missing there.
        return abs(step) <= 2
    if (step > 0) != (run[-1][0] > run[-2][0]):
        return False
    return abs(each_s / _pace(run) - 1) <= _STRAY
