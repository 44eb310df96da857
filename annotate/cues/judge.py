"""Spoken cues compared with what the footage shows.

A cue is called wrong only when both readings are sure: the words were understood, and the footage
is off by more than the errors of speech, captions and boundaries together. Between right and wrong
lies unknown. Distances are common practice, no source; none is smaller than the 1 s within which
boundaries are found (docs/measurements.md).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

from annotate.catalogue.model import name_of
from annotate.cues.captions import Word
from annotate.cues.context import Take
from annotate.cues.counts import Verdict, by_distance, judge_counts, reps_left
from annotate.cues.parse import Phrase, hear
from annotate.cues.sides import judge_sides
from annotate.cues.words import cue_words
from annotate.review.model import Cue, Notice, Period, Review

# "N seconds" may be off by this: seconds, or a fraction of N where that is more, since far from
# the end an instructor rounds.
_SECONDS_RIGHT_S, _SECONDS_RIGHT_SHARE = 1.5, 0.15
_SECONDS_WRONG_S, _SECONDS_WRONG_SHARE = 2.5, 0.3
# More seconds than this, said without "left", may be the length of a period: no call is made as
# early as that without "left".
_BARE_SECONDS = 15
# "Halfway" may be off by this: seconds, or a fraction of the period where that is more.
_HALF_RIGHT_S, _HALF_RIGHT_SHARE = 1.5, 0.12
_HALF_WRONG_S, _HALF_WRONG_SHARE = 3.0, 0.2
# The same for a round, a block or the class, as a fraction of its length; smaller, since any moment
# is about the middle of something.
_HALF_OTHER_RIGHT, _HALF_OTHER_WRONG = 0.03, 0.05
# An announcement is about the next period if that begins within this time: a recovery's length.
_AHEAD_S = 15.0
# A movement named this close to the start of a period is about that period.
_AROUND_START_S = 2.5
# A movement found with less confidence cannot prove a cue wrong (as in compare/compare.py).
_SURE_MOVEMENT = 0.6


class Judged(NamedTuple):
    """The cues in order of time, and notices about them."""

    cues: tuple[Cue, ...]
    notices: tuple[Notice, ...]


def judge_cues(
    words: Sequence[Word],
    review: Review,
    spoken_sides: Literal["own", "viewer"] | None = None,
    language: str = "en",
) -> Judged:
    """Find the cues in what was said and compare them with the review.

    Parameters
    ----------
    words : sequence of Word
        From :func:`annotate.cues.captions.read_captions`.
    review : Review
        Of the same clip, with the same clock.
    spoken_sides : "own", "viewer" or None
        Whose left and right the instructor says; None estimates it and adds a notice.
    language : str
        A word table in ``annotate/cues/languages/``.

    Returns
    -------
    Judged
        One notice for each wrong cue, and one where no cue was found.
    """
    phrases, counts = hear(words, language)
    take = Take(review)
    cues: list[Cue] = []
    for phrase in phrases:
        judge = _JUDGES.get(phrase.kind)
        if judge is not None:
            cues += judge(phrase, take, language)
    cues += judge_counts(counts, phrases, take)
    sided, notices = judge_sides(phrases, take, spoken_sides)
    cues += sided
    cues.sort(key=lambda c: c.at_s)
    told = [*notices, *(_told(c) for c in cues if c.verdict == "wrong")]
    if not cues:
        told.append(Notice(level="info", code="no-cues", text="No cue was found in the captions."))
    return Judged(tuple(cues), tuple(told))


def _told(cue: Cue) -> Notice:
    return Notice(
        level="look", code="cue", start_s=cue.at_s,
        text=f'You said "{cue.text}": {cue.difference}.',
    )  # fmt: skip


def _cue(phrase: Phrase, kind: str, verdict: Verdict, difference: str) -> Iterator[Cue]:
    yield Cue(
        at_s=round(phrase.start_s, 2), kind=kind, text=phrase.text, verdict=verdict,
        difference=difference,
    )  # fmt: skip


def _judge_reps_left(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    period = take.at(phrase.start_s)
    if period is None or not period.reps.count or phrase.number is None:
        return
    yield from _cue(phrase, "reps-left", *reps_left(phrase.start_s, phrase.number, period, take))


def _judge_last_one(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    period = take.at(phrase.start_s)
    if period is None or period.kind != "work" or not period.reps.count:
        return  # in a recovery it means the last round
    planned = take.planned(period)
    last_round = planned is not None and planned.round == planned.rounds
    if last_round and phrase.start_s < period.start_s + 2 * _AROUND_START_S:
        yield from _cue(phrase, "last-one", "unknown", "said about the last round")
        return
    yield from _cue(phrase, "last-one", *reps_left(phrase.start_s, 1, period, take))


def _judge_seconds(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    period = take.at(phrase.start_s)
    if period is None or phrase.number is None:
        return
    left_s = period.end_s - phrase.start_s
    off_s = left_s - phrase.number
    right_s = max(_SECONDS_RIGHT_S, _SECONDS_RIGHT_SHARE * phrase.number)
    wrong_s = max(_SECONDS_WRONG_S, _SECONDS_WRONG_SHARE * phrase.number)
    bare = phrase.text.split()[-1] in ("seconds", "second") and len(phrase.text.split()) == 2
    sure = take.sure_end(period) and not (bare and phrase.number > _BARE_SECONDS)
    verdict = by_distance(off_s, right_s, wrong_s, sure)
    following = take.after(period)
    if verdict != "right" and bare and following is not None:
        # "Thirty seconds" in the recovery may be the length of the next work.
        told = abs(following.duration_s - phrase.number) <= right_s
        verdict = "unknown" if told else verdict
    yield from _cue(
        phrase, "seconds-left", verdict, "" if verdict == "right" else f"{left_s:.0f} s were left"
    )


def _judge_halfway(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    period = take.at(phrase.start_s)
    if period is None:
        return
    off_s = phrase.start_s - (period.start_s + period.end_s) / 2
    length_s = period.end_s - period.start_s
    # It may be about a longer span; then only a time close to the middle counts.
    others = [
        abs(phrase.start_s - (a + b) / 2) / max(b - a, 1.0) for a, b in take.wider_spans(period)
    ]
    right_s = max(_HALF_RIGHT_S, _HALF_RIGHT_SHARE * length_s)
    if abs(off_s) <= right_s or min(others) <= _HALF_OTHER_RIGHT:
        yield from _cue(phrase, "halfway", "right", "")
        return
    sure = period.kind == "work" and take.sure_end(period) and min(others) > _HALF_OTHER_WRONG
    verdict = by_distance(off_s, right_s, max(_HALF_WRONG_S, _HALF_WRONG_SHARE * length_s), sure)
    way = "after" if off_s > 0 else "before"
    yield from _cue(phrase, "halfway", verdict, f"{abs(off_s):.0f} s {way} the middle")


def _judge_round(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    period = _meant(phrase, take)
    planned = None if period is None else take.planned(period)
    if planned is None or not planned.round or not planned.rounds:
        yield from _cue(phrase, "round", "unknown", "no rounds are planned there")
        return
    number = planned.rounds if phrase.number is None else phrase.number
    matches = number == planned.round and phrase.of in (None, planned.rounds)
    if matches:
        yield from _cue(phrase, "round", "right", "")
        return
    # Where a round was left out or added, which one it was is not known.
    verdict: Verdict = "wrong" if take.whole_block(planned) else "unknown"
    yield from _cue(phrase, "round", verdict, f"it was round {planned.round} of {planned.rounds}")


def _judge_other_side(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    before, after = take.sides_around(phrase.start_s)
    if before is None or after is None:
        yield from _cue(phrase, "other-side", "unknown", "the sides there were not recognised")
    elif before != after:
        yield from _cue(phrase, "other-side", "right", "")
    else:
        yield from _cue(phrase, "other-side", "wrong", f"the {after} side went on")


def _judge_announce(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    yield from _judge_named(phrase, "announce", take.next_start(phrase.end_s), take, language)


def _judge_movement(phrase: Phrase, take: Take, language: str) -> Iterator[Cue]:
    """Judge a movement named as it begins; named elsewhere it may mean anything."""
    near = take.starting_near(phrase.start_s, _AROUND_START_S)
    if near is not None:
        yield from _judge_named(phrase, "movement", near, take, language)


def _judge_named(
    phrase: Phrase, kind: str, period: Period | None, take: Take, language: str
) -> Iterator[Cue]:
    if period is None or phrase.movement is None or period.start_s - phrase.end_s > _AHEAD_S:
        yield from _cue(phrase, kind, "unknown", "nothing new followed")
        return
    kin = cue_words(language).kin.get(phrase.movement, ())
    if period.movement == phrase.movement:
        yield from _cue(phrase, kind, "right", "")
    elif period.movement is None or period.movement in kin:
        yield from _cue(phrase, kind, "unknown", "could not be told apart in the footage")
    else:
        # It may be the name of the movement after this one, said early.
        later = take.after(period)
        sure = (
            period.movement_confidence >= _SURE_MOVEMENT
            and take.sure_movement(period)
            and (later is None or later.movement != phrase.movement)
        )
        verdict: Verdict = "wrong" if sure else "unknown"
        yield from _cue(phrase, kind, verdict, f"{name_of(period.movement).lower()} followed")


def _meant(phrase: Phrase, take: Take) -> Period | None:
    """Find the work period a round number is about: the one under way, or the next."""
    period = take.at(phrase.start_s)
    if period is not None and period.kind == "work":
        # Said at the end of a work period it may be about the next one.
        coming = take.next_start(phrase.end_s)
        if coming is not None and coming.kind == "work" and (
            coming.start_s - phrase.end_s < period.duration_s / 4
        ):  # fmt: skip
            return coming
        return period
    return take.next_work(phrase.start_s)


_JUDGES: dict[str, Callable[[Phrase, Take, str], Iterator[Cue]]] = {
    "reps-left": _judge_reps_left,
    "last-one": _judge_last_one,
    "seconds-left": _judge_seconds,
    "halfway": _judge_halfway,
    "round": _judge_round,
    "other-side": _judge_other_side,
    "announce": _judge_announce,
    "movement": _judge_movement,
}
