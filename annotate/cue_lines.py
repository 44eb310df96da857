"""The lines of the next take: what one would like to say, placed so that no two collide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.frozen import Frozen
from annotate.movements import catalogue, name_of
from annotate.plan import PlannedPeriod
from annotate.review import Comparison, Period, Review

LineKind = Literal[
    "announce",
    "countdown",
    "change",
    "halfway",
    "left",
    "reps",
    "form",
    "ease",
    "safety",
    "direction",
]

# Speaking while exercising; common practice, no source.
WORDS_PER_S = 2.5
GAP_S = 0.3
COUNTS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


class ScriptLine(Frozen):
    """One thing to say, or (kind ``direction``) to keep in mind."""

    at_s: float
    kind: LineKind
    text: str


@dataclass(frozen=True)
class _Wish:
    """A line that would like to be said at a time; lower rank matters more."""

    at_s: float
    kind: LineKind
    text: str
    rank: int
    may_shift_s: float = 0.0
    lasts_s: float | None = None

    @property
    def spoken_s(self) -> float:
        if self.kind == "direction":
            return 0.0
        return self.lasts_s or spoken_s(self.text)


def spoken_s(text: str) -> float:
    """Seconds it takes to say a line while exercising."""
    return len(text.split()) / WORDS_PER_S


# --- what one would like to say ---------------------------------------------------------------


def wishes_of(
    review: Review, planned: Sequence[PlannedPeriod], rows: dict[int, Comparison]
) -> list[_Wish]:
    assert review.plan is not None
    wishes: list[_Wish] = []
    for i, period in enumerate(planned):
        following = planned[i + 1] if i + 1 < len(planned) else None
        wishes += _opening(period)
        wishes += _during_work(period)
        if following is not None:
            wishes += _towards(period, following, review.plan.countdown_s)
        row = rows.get(period.index)
        if row is not None:
            wishes += _corrections(period, row, review)
    return wishes


def _opening(period: PlannedPeriod) -> list[_Wish]:
    what = name_of(period.movement) if period.movement else period.kind.capitalize()
    asked = ""
    if period.left is not None and period.right is not None:
        asked = f", {period.left} left and {period.right} right"
    elif period.reps:
        asked = f", {period.reps} times"
    side = f", {period.side} side" if period.side else ""
    wishes = [_Wish(period.start_s, "change", f"{what}{side}{asked}.", rank=1)]
    known = catalogue().get(period.movement or "")
    first = period.round in (None, 1)
    if known and first and period.kind == "work" and known.bent_over:
        wishes.append(_Wish(period.start_s + 3, "safety", "Bend from the hips, back long.", 4, 3.0))
    if known and first and period.kind == "work" and known.jump:
        wishes.append(_Wish(period.start_s + 3, "safety", "Land softly, or step instead.", 4, 3.0))
    if period.kind == "recovery":
        wishes.append(_Wish(period.start_s + 2, "ease", "Easy now, keep moving, breathe.", 6, 1.0))
    return wishes


def _during_work(period: PlannedPeriod) -> list[_Wish]:
    wishes: list[_Wish] = []
    if period.kind != "work":
        return wishes
    if period.duration_s >= 12:
        wishes.append(_Wish(period.start_s + period.duration_s / 2, "halfway", "Halfway.", 3, 1.0))
    for left, least in ((10, 25), (5, 12)):
        if period.duration_s >= least:
            wishes.append(
                _Wish(
                    period.end_s - left, "left", f"{COUNTS[left - 1].capitalize()} seconds.", 5, 0.8
                )
            )
    return wishes


def _towards(period: PlannedPeriod, following: PlannedPeriod, countdown_s: float) -> list[_Wish]:
    """Say what comes, then count down so that the last count falls just before the change."""
    count = min(int(countdown_s), len(COUNTS), int(period.duration_s / 2))
    wishes = []
    if count > 0:
        words = ", ".join(reversed(COUNTS[:count]))
        wishes.append(
            _Wish(following.start_s - count, "countdown", words.capitalize() + ".", 0,
                  lasts_s=float(count))
        )  # fmt: skip
    what = name_of(following.movement) if following.movement else following.kind
    text = f"Next: {what.lower()}."
    if following.kind == "work" and following.rounds and following.rounds > 1:
        text = f"Next: {what.lower()}, round {following.round} of {following.rounds}."
        if following.round == following.rounds:
            text = f"Next: {what.lower()}, last round."
    at = following.start_s - count - spoken_s(text) - GAP_S
    wishes.append(_Wish(max(at, period.start_s), "announce", text, 2, 4.0))
    return wishes


def _corrections(period: PlannedPeriod, row: Comparison, review: Review) -> list[_Wish]:
    """Where the rehearsal slipped, and what to do about it."""
    wishes: list[_Wish] = []
    if row.status == "skipped":
        text = f"Last take left this out: {period.label}."
        return [_Wish(period.start_s, "direction", text, 0)]
    if row.text:
        wishes.append(_Wish(period.start_s, "direction", f"Last take: {row.text}.", 0))
    tolerance = review.plan.tolerance if review.plan else None
    if tolerance and row.duration_diff_s is not None:
        early = -row.duration_diff_s
        if early > tolerance.seconds:
            at = max(period.start_s, period.end_s - early - 1)
            wishes.append(_Wish(at, "direction", f"Keep going to {clock(period.end_s)}.", 0))
    for side, diff, asked in (
        ("left", row.left_diff, period.left), ("right", row.right_diff, period.right)
    ):  # fmt: skip
        if tolerance and diff is not None and diff < -tolerance.reps:
            at = period.start_s + period.duration_s * 0.3
            wishes.append(_Wish(at, "reps", f"{asked} on the {side}, count them.", 4, 3.0))
    if row.delivered is not None:
        wishes += _form_reminder(period, review.periods[row.delivered])
    return wishes


def _form_reminder(period: PlannedPeriod, delivered: Period) -> list[_Wish]:
    """Before the repetition at which the back line changed last time."""
    for rep in delivered.reps.each:
        if rep.back.assessable and rep.back.rounded and delivered.duration_s > 0:
            share = (rep.start_s - delivered.start_s) / delivered.duration_s
            at = period.start_s + max(0.0, share) * period.duration_s
            text = "Back long, chest proud, hips back."
            return [
                _Wish(max(period.start_s + 1.0, at - spoken_s(text) - GAP_S), "form", text, 3, 3.0)
            ]
    return []


# --- placing ----------------------------------------------------------------------------------


def placed(wishes: Sequence[_Wish]) -> list[ScriptLine]:
    """Place lines by rank so that no two are spoken at once; directions are not spoken."""
    taken: list[tuple[float, float]] = []
    lines: list[ScriptLine] = []
    for wish in sorted(wishes, key=lambda w: (w.rank, w.at_s)):
        at = wish.at_s if wish.kind == "direction" else _free_time(wish, taken)
        if at is None:
            continue
        if wish.kind != "direction":
            taken.append((at, at + wish.spoken_s))
        lines.append(ScriptLine(at_s=round(at, 1), kind=wish.kind, text=wish.text))
    return sorted(lines, key=lambda x: (x.at_s, x.kind != "direction"))


def _free_time(wish: _Wish, taken: Sequence[tuple[float, float]]) -> float | None:
    """The wished time, or the nearest free one within the allowed shift."""
    steps = int(wish.may_shift_s / 0.1)
    for k in range(steps + 1):
        for at in (wish.at_s - 0.1 * k, wish.at_s + 0.1 * k):
            free = all(
                at + wish.spoken_s + GAP_S <= a or at >= b + GAP_S * (wish.rank > 1)
                for a, b in taken
            )
            if free and at >= 0:
                return at
    return None


def clock(time_s: float) -> str:
    """Seconds as m:ss."""
    total = round(time_s)
    return f"{total // 60}:{total % 60:02d}"
