"""Left and right as said, compared with the side that moved.

An instructor who faces the class is mirrored by it and usually says the viewer's side. Whose side
is said is a setting of the plan. Without it the reading that fits most often is used, and a notice
says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from annotate.cues.context import Take
from annotate.cues.parse import Phrase
from annotate.review.model import Cue, Notice

# Sides that must be named before the reading is estimated, and the fraction that must agree: three
# of four. With so few that can happen by chance, so a notice says how the words were taken. Common
# practice, no source.
_LEAST_MENTIONS = 4
_AGREEMENT = 0.75
_OTHER = {"left": "right", "right": "left"}


def judge_sides(
    phrases: Sequence[Phrase],
    take: Take,
    spoken_sides: Literal["own", "viewer"] | None = None,
) -> tuple[list[Cue], tuple[Notice, ...]]:
    """Judge every side that was named while a side was being worked.

    Parameters
    ----------
    phrases : sequence of Phrase
    take : Take
    spoken_sides : "own", "viewer" or None
        Whose left and right is said; None estimates it.

    Returns
    -------
    list of Cue
    tuple of Notice
        How left and right were taken, or why they could not be.
    """
    said = [(phrase, _moving(phrase, take)) for phrase in phrases if phrase.kind == "side"]
    seen = [(p.side, moved) for p, moved in said if moved is not None]
    whose, notices = _guess(seen) if spoken_sides is None else (spoken_sides, ())
    return [_judge(p, moved, whose) for p, moved in said], notices


def _moving(phrase: Phrase, take: Take) -> str | None:
    """Find the side that moves while or just after it is named; None where sides alternate."""
    period = take.at(phrase.start_s)
    _, after = take.sides_around(phrase.start_s)
    if after is not None:
        return after
    # Slow alternating repetitions are called one by one.
    rep = take.rep_at(phrase.end_s)
    slow = period is not None and (take.rep_s(period) or 0.0) >= 1.5
    return rep.side if rep is not None and slow and rep.side != "both" else None


def _guess(
    seen: Sequence[tuple[str | None, str]],
) -> tuple[Literal["own", "viewer"] | None, tuple[Notice, ...]]:
    if len(seen) < _LEAST_MENTIONS:
        return None, ()
    own = sum(side == moved for side, moved in seen) / len(seen)
    if max(own, 1 - own) < _AGREEMENT:
        return None, (
            Notice(
                level="look", code="spoken-sides",
                text="Left and right were said sometimes for your own side, sometimes for the "
                "viewer's; keep to one of them.",
            ),
        )  # fmt: skip
    whose: Literal["own", "viewer"] = "own" if own >= 0.5 else "viewer"
    words = "your own" if whose == "own" else "the viewer's"
    return whose, (
        Notice(
            level="info", code="spoken-sides",
            text=f"Left and right are taken as {words}, which fits most of what was said; "
            "set spoken_sides in the plan to be sure.",
        ),
    )  # fmt: skip


def _judge(phrase: Phrase, moved: str | None, whose: Literal["own", "viewer"] | None) -> Cue:
    verdict: Literal["right", "wrong", "unknown"] = "unknown"
    difference = "the side there was not recognised" if moved is None else ""
    if moved is not None and whose is not None:
        meant = moved if whose == "own" else _OTHER[moved]
        verdict = "right" if phrase.side == meant else "wrong"
        difference = "" if verdict == "right" else f"the {moved} side moved (your own {moved})"
    elif moved is not None:
        difference = "it is not known whose left and right you say; set spoken_sides in the plan"
    return Cue(
        at_s=round(phrase.start_s, 2), kind="side", text=phrase.text, verdict=verdict,
        difference=difference,
    )  # fmt: skip
