"""The words instructors use, read from ``languages/<language>.yaml``."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from pydantic import Field
from ruamel.yaml import YAML

from annotate.reading import Frozen


class CueWords(Frozen):
    """The word table of one language; the file says what each part is for."""

    numbers: dict[str, int]
    sounds_like: dict[str, int]
    ordinals: dict[str, int]
    sides: dict[str, str]
    phrases: dict[str, tuple[str, ...]]
    not_before: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    not_after: dict[str, tuple[str, ...]] = Field(default_factory=dict)
    movements: dict[str, tuple[str, ...]]
    kin: dict[str, tuple[str, ...]] = Field(default_factory=dict)

    def number(self, word: str) -> int | None:
        """Value of a word for a number, in letters or digits; None for other words."""
        return int(word) if word.isdecimal() and len(word) < 5 else self.numbers.get(word)

    @property
    def movement_of(self) -> dict[str, str]:
        """Movement id of each spoken name, longer names first."""
        pairs = [(said, id) for id, names in self.movements.items() for said in names]
        return dict(sorted(pairs, key=lambda pair: -len(pair[0])))


# The language that is listened for.
LANGUAGE = "en"


@cache
def cue_words(language: str = LANGUAGE) -> CueWords:
    """Read the word table of a language."""
    text = (files("annotate.cues") / "languages" / f"{language}.yaml").read_text(encoding="utf-8")
    return CueWords.model_validate(YAML(typ="safe", pure=True).load(text))


@cache
def patterns(language: str = LANGUAGE) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Kind and pattern of every phrase, in the order in which they are tried.

    Numbers are matched as digits: in the text, number words must have been replaced.
    """
    words = cue_words(language)
    names = "|".join(re.escape(name) for name in words.movement_of)
    ordinals = "|".join(words.ordinals)
    digits = re.compile(rf"\b(?:{'|'.join(words.numbers)})\b")

    def in_digits(text: str) -> str:
        return digits.sub(lambda m: str(words.numbers[m.group()]), text)

    found = []
    for kind, phrases in words.phrases.items():
        for phrase in phrases:
            whole = in_digits(phrase).replace("{n}", r"(\d+)").replace("{o}", f"({ordinals})")
            whole = whole.replace("{m}", f"({names})")
            after = "".join(
                rf"(?<!\b{re.escape(in_digits(w))} )" for w in words.not_after.get(kind, ())
            )
            before = "|".join(re.escape(in_digits(w)) for w in words.not_before.get(kind, ()))
            ahead = rf"(?! (?:{before})\b)" if before else ""
            found.append((kind, re.compile(rf"{after}\b{whole}\b{ahead}")))
    return tuple(found)
