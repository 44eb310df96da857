"""An instructor's captions over a filmed session, with slips where they are asked for.

What is said follows the truth of the session (when periods begin, when repetitions happen), never
what the analysis found. Slips say a number, name, side or time that the session contradicts.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
NAMES = {
    "squat": "squat", "knee-lift": "knee lift", "step-touch": "step touch", "march": "march",
    "jumping-jack": "jumping jack", "hip-hinge": "hip hinge", "reach": "reach",
    "side-lunge": "side lunge",
}  # fmt: skip
SLIPS = (
    "late-countdown", "early-countdown", "wrong-seconds", "wrong-more", "wrong-round",
    "wrong-name", "early-halfway", "wrong-last-one",
)  # fmt: skip


@dataclass(frozen=True)
class Said:
    """Words from a time on; `slip` names what is wrong with them."""

    at_s: float
    text: str
    each_s: float = 0.38
    slip: str | None = None


def say_class(truth: dict[str, Any], rng: random.Random, slips: dict[int, str]) -> list[Said]:
    """Everything said over a session; `slips` by index of the period they are about."""
    said: list[Said] = []
    periods = truth["periods"]
    for i, p in enumerate(periods):
        reps = [r for r in truth["reps"] if r["period"] == i]
        start_s, end_s, slip = p["start_s"], p["end_s"], slips.get(i)
        if p["kind"] == "work":
            said += _during_work(p, reps, rng, slip, periods[-1]["end_s"] / 2)
        if i + 1 < len(periods):
            said += _towards(periods[i + 1], start_s, end_s, rng, slips.get(i + 1))
    # One thing at a time: nothing else is said with a slip.
    slipped = [s.at_s for s in said if s.slip]
    heard = [s for s in said if s.slip or all(abs(s.at_s - at) > 1.3 for at in slipped)]
    return sorted(heard, key=lambda s: s.at_s)


def _during_work(
    p: dict[str, Any],
    reps: Sequence[dict[str, Any]],
    rng: random.Random,
    slip: str | None,
    class_middle_s: float,
) -> list[Said]:
    start_s, end_s = p["start_s"], p["end_s"]
    length_s = end_s - start_s
    # Who still counts down has no breath for the rest.
    said = [] if slip == "late-countdown" else [Said(start_s + 0.3, f"and {NAMES[p['movement']]}")]
    slow = 1.2 < (reps[1]["peak_s"] - reps[0]["peak_s"] if len(reps) > 1 else 0) < 4
    if slow and slip != "late-countdown" and rng.random() < 0.6:
        said += [Said(r["peak_s"], WORDS[n]) for n, r in enumerate(reps[:4], 1)]
    middle_s = (start_s + end_s) / 2
    # Not where half of the class is over: there it would be right.
    early_s = start_s + 0.2 * length_s
    if slip == "early-halfway" and abs(early_s - class_middle_s) > 0.1 * class_middle_s:
        said.append(Said(early_s, "halfway", slip=slip))
    else:
        said.append(Said(middle_s, "halfway"))
    seconds = 10 if length_s > 25 else 5
    if slip == "wrong-seconds":
        said.append(Said(end_s - 2 * seconds, f"{seconds} seconds left", slip=slip))
    elif rng.random() < 0.7:
        said.append(Said(end_s - seconds - 0.2, f"{seconds} seconds left"))
    if slow and len(reps) >= 8:
        if slip == "wrong-more":
            said.append(Said(reps[3]["start_s"], "two more", slip=slip))
        elif slip == "wrong-last-one":
            said.append(Said(reps[-5]["start_s"], "last one", slip=slip))
        elif rng.random() < 0.5:
            left = 3
            said.append(Said(reps[-left]["start_s"], f"{WORDS[left]} more"))
    return said


def _towards(
    following: dict[str, Any], start_s: float, end_s: float, rng: random.Random, slip: str | None
) -> list[Said]:
    name = NAMES[following["movement"]]
    if slip == "wrong-name":
        name = "push up" if following["movement"] != "push-up" else "jumping jack"
    text = f"next {name}"
    number, of = following.get("round"), following.get("rounds")
    if number and of and following["kind"] == "work":
        if slip == "wrong-round":
            number = number % of + 1
        text += f" round {WORDS[number]} of {WORDS[of]}" if rng.random() < 0.7 else (
            f" round {number}")  # fmt: skip
    # A slip is only sure with three numbers.
    count = rng.choice((4, 5) if slip else (3, 4, 5))
    each_s = rng.choice((1.0, 0.9))
    count_s = end_s - count * each_s
    if slip == "early-countdown":
        count_s -= 4.5
    elif slip == "late-countdown":
        count_s += 4.5
    said = [
        Said(min(count_s, end_s - count * each_s) - 0.4 * len(text.split()) - 0.5, text,
             slip=slip if slip in ("wrong-name", "wrong-round") else None)
    ]  # fmt: skip
    last = rng.choice((1, 1, 2))  # a count may stop early
    for k in range(count, last - 1, -1):
        of_slip = slip if slip in ("early-countdown", "late-countdown") else None
        said.append(Said(count_s + (count - k) * each_s, WORDS[k], slip=of_slip))
    return [s for s in said if s.at_s > start_s]


def webvtt(
    said: Sequence[Said], rng: random.Random, *, style: str = "lines", lost: float = 0.0
) -> tuple[str, set[str]]:
    """Captions of what was said, and the slips of which every word came through.

    Parameters
    ----------
    style : str
        "lines" written by hand with punctuation; "words" one word a cue; "rolling" the line
        before repeated in each cue; "digits" numbers as digits, no punctuation.
    lost : float
        Share of words dropped (half of them) or put in place of another (the other half).
    """
    spoken = []
    intact = {s.slip for s in said if s.slip}
    for s in said:
        words = []
        for i, word in enumerate(s.text.split()):
            if rng.random() < lost:
                intact.discard(s.slip)
                if rng.random() < 0.5:
                    continue
                word = rng.choice(("the", "hips", "yeah", "breathe", "good", "that", "core"))
            if style == "digits" and word in WORDS:
                word = str(WORDS.index(word))
            words.append((s.at_s + i * s.each_s, word))
        if words:
            spoken.append(words)
    cues = []
    before = ""
    spoken.sort()
    for words in spoken:
        start_s, end_s = words[0][0], words[-1][0] + 0.4
        text = " ".join(w for _, w in words)
        if style == "words":
            cues += [(at, at + 0.4, w) for at, w in words]
        elif style == "rolling":
            cues.append((start_s, end_s + 0.6, f"{before}\n{text}" if before else text))
            before = text
        else:
            cues.append((start_s, end_s, text if style == "digits" else text.capitalize() + "."))
    cues.sort()
    blocks = (f"{_clock(a)} --> {_clock(b)}\n{t}" for a, b, t in cues)
    return "WEBVTT\n\n" + "\n\n".join(blocks), intact


def _clock(time_s: float) -> str:
    ms = round(1000 * max(time_s, 0))
    return f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"
