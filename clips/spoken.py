"""Captions of what an instructor would have said: what comes, counts, halfway, the last one."""

from __future__ import annotations

from dataclasses import dataclass

from clips.session import Rep, Session

WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight")
WORDS_PER_S = 2.6
COUNTDOWN = 4
GAP_S = 0.05


@dataclass(frozen=True)
class Cue:
    """Something said from ``start_s`` on; ``end_s`` is None for as long as the words take."""

    start_s: float
    text: str
    end_s: float | None = None


@dataclass(frozen=True)
class Announced:
    """How the instructor names one period.

    Attributes
    ----------
    title : str
        Said before it begins, such as "Squat, round one of three".
    opening : str
        Said as it begins.
    count_first : int
        How many of its repetitions are counted aloud.
    last_call : bool
        Call the last repetition; else count down to the change.
    """

    title: str
    opening: str
    count_first: int = 0
    last_call: bool = False


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds * 1000), 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _inside(start_s: float, end_s: float, reps: list[Rep], named: Announced) -> list[Cue]:
    """What is said during a period."""
    cues = [Cue(start_s + 0.1, named.opening)]
    for i, rep in enumerate(reps[1 : 1 + named.count_first]):
        cues.append(Cue((rep.start_s + rep.end_s) / 2, f"{WORDS[i + 1].capitalize()}."))
    if end_s - start_s >= 14:
        cues.append(Cue((start_s + end_s) / 2, "Halfway."))
    if named.last_call and reps:
        cues.append(Cue(reps[-1].start_s, "Last one."))
    return cues


def spoken_cues(session: Session, announced: tuple[Announced, ...]) -> list[Cue]:
    """Cues of a whole session in order of time, never two at once.

    Parameters
    ----------
    announced : tuple of Announced
        One for each period.
    """
    cues: list[Cue] = []
    for i, (period, start_s, named) in enumerate(
        zip(session.periods, session.starts_s, announced, strict=True)
    ):
        end_s = start_s + period.duration_s
        reps = [rep for rep in session.reps if rep.period == i]
        cues += _inside(start_s, end_s, reps, named)
        if i + 1 < len(announced):
            title = f"Next: {announced[i + 1].title}."
            count = 0 if named.last_call else COUNTDOWN
            ready_s = end_s - count if count else reps[-1].start_s
            cues.append(Cue(ready_s - len(title.split()) / WORDS_PER_S - 0.2, title))
            if count:
                words = ", ".join(reversed(WORDS[:count]))
                cues.append(Cue(end_s - count, f"{words.capitalize()}.", end_s - 0.1))
    cues.sort(key=lambda cue: cue.start_s)
    timed = []
    for cue, following in zip(cues, [*cues[1:], Cue(session.duration_s, "")], strict=True):
        wanted = cue.end_s or cue.start_s + max(0.5, len(cue.text.split()) / WORDS_PER_S)
        timed.append(Cue(cue.start_s, cue.text, min(wanted, following.start_s - GAP_S)))
    return timed


def webvtt(cues: list[Cue]) -> str:
    """The cues as a WebVTT file."""
    blocks = [
        f"{_clock(cue.start_s)} --> {_clock(cue.end_s or cue.start_s)}\n{cue.text}" for cue in cues
    ]
    return "WEBVTT\n\n" + "\n\n".join(blocks) + "\n"
