"""The phrases of the script, as data: the default ones, or the instructor's own from a file."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, partial
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError
from ruamel.yaml import YAML

from annotate.cues.words import cue_words
from annotate.errors import PhraseError
from annotate.reading import FileKind, Frozen, read_text, read_yaml, text_of
from annotate.text import nearest, shown
from pose.errors import InputError

Text = str | tuple[str, ...]
_FILLED = ("n", "movement", "round", "rounds", "reps", "left", "right", "side")
_BRACES = re.compile(r"\{([^{}]*)\}")
# Characters; about 40 words, a quarter of a minute to say.
_LONGEST = 200

PHRASE_FILE = FileKind(
    PhraseError,
    noun="phrase file",
    max_bytes=100_000,
    hint="give a phrase file",
    empty='write lines such as halfway: "Half."',
)


class Phrases(Frozen):
    """Phrases by their use; ``languages/en.phrases.yaml`` explains the keys."""

    numbers: tuple[str, ...]
    announce: Text
    announce_round: Text
    announce_last: Text
    change: Text
    change_reps: Text
    change_sides: Text
    change_side: Text
    halfway: Text
    seconds_left: Text
    reps_left: Text
    count_side: Text
    ease: Text
    water: Text
    pause: Text
    bent_over: Text
    jump: Text
    easier: dict[str, str]
    reminders: dict[str, str]

    def say(self, key: str, turn: int = 0, **values: object) -> str:
        """Fill in a phrase; `turn` picks from a list, one after the other."""
        text: Text = getattr(self, key)
        phrase = text if isinstance(text, str) else text[turn % len(text)]
        said = _BRACES.sub(lambda m: str(self.number(values[m.group(1)])), phrase)
        return said[:1].upper() + said[1:]

    def number(self, value: object) -> object:
        """Write a small number in words; anything else stays as it is."""
        if isinstance(value, int) and 1 <= value <= len(self.numbers):
            return self.numbers[value - 1]
        return value

    def movement(self, id: str) -> str:
        """Name a movement as it is spoken: the first of the names looked for in captions."""
        names = cue_words().movements.get(id)
        return names[0] if names else id.replace("-", " ")


@cache
def default_phrases(language: str = "en") -> Phrases:
    """Read the phrases that come with takeproof."""
    text = (files("annotate.script") / "languages" / f"{language}.phrases.yaml").read_text("utf-8")
    return Phrases(**YAML(typ="safe", pure=True).load(text))


def read_phrases(path: Path) -> Phrases:
    """Read a phrase file; keys that are not in it keep the default phrases.

    Raises
    ------
    PhraseError
        The file cannot be read, or has an unknown key, or a {word} that is never filled in.
    """
    return phrases_of(phrase_text(path), str(path))


def phrase_text(path: Path, name: str | None = None) -> str:
    """Read the text of a phrase file; messages call it `name`, or by its path.

    Raises
    ------
    PhraseError
        The file cannot be read.
    """
    return read_text(path, PHRASE_FILE, name)


def phrases_of(text: str | None, name: str) -> Phrases:
    """Parse the text of a phrase file; keys that are not in it keep the default phrases.

    Parameters
    ----------
    text : str or None
        None gives the default phrases.
    name : str
        What messages call the file.

    Raises
    ------
    PhraseError
        As for :func:`read_phrases`.
    """
    if text is None:
        return default_phrases()
    located = read_yaml(text_of(text, name, PHRASE_FILE), name, PHRASE_FILE)
    values = located.data
    if not isinstance(values, dict):
        raise PHRASE_FILE.fault(name, f"no phrases; {PHRASE_FILE.empty}")
    own = default_phrases().model_dump()
    for key, value in values.items():
        fault = partial(PHRASE_FILE.fault, name, line=located.line_of((key,)))
        if key not in own:
            guess = nearest(key, own)
            hint = f'did you mean "{guess}"?' if guess else f"known: {', '.join(own)}"
            raise fault(f"unknown phrase {shown(key)}; {hint}")
        _check(fault, key, value, own[key])
        own[key] = {**own[key], **value} if isinstance(own[key], dict) else value
    try:
        return Phrases(**own)
    except ValidationError as error:
        key = str(error.errors()[0]["loc"][0])
        what = f'"{key}" should be text, or a list of texts'
        raise PHRASE_FILE.fault(name, what, located.line_of((key,))) from error


def _check(fault: Callable[[str], InputError], key: str, value: object, own: object) -> None:
    """Check the texts of one key: not empty, not too long, no unknown word in braces."""
    if isinstance(own, dict) != isinstance(value, dict):
        shape = "a text for each movement or point" if isinstance(own, dict) else "text"
        raise fault(f'"{key}" should be {shape}')
    held = list(value.values()) if isinstance(value, dict) else value
    texts = held if isinstance(held, list) else [held]
    for text in texts or [None]:
        if not isinstance(text, str) or not text.strip() or len(text) > _LONGEST:
            raise fault(f'"{key}" should be text of 1 to {_LONGEST} characters, or a list of such')
        names = () if isinstance(own, dict) else _needed(own)
        unfilled = [n for n in _BRACES.findall(text) if n not in names]
        if unfilled or set(_BRACES.sub("", text)) & {"{", "}"}:
            known = ", ".join(f"{{{n}}}" for n in names) or "nothing in braces"
            raise fault(f'"{key}": "{text[:60]}" has braces that are not filled in; use {known}')


def _needed(own: object) -> tuple[str, ...]:
    """Names that the default phrase fills in; others are not allowed in its replacement."""
    return tuple(n for n in _FILLED if f"{{{n}}}" in str(own))
