"""Corrections by hand: a short list of edits that is applied to the result of the analysis.

Edits name places by time, not by number, so that they stay valid when an earlier edit adds or
removes a period. Everything that depends on the periods (repetitions, comparison, script, exports)
is made again from the corrected ones. Without the list the original result comes back.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError

from annotate.errors import CorrectionError
from annotate.plan.read import movement_id
from annotate.reading import FileKind, Frozen, read_text, read_yaml
from annotate.review.model import Period, PeriodKind, RepSet

# A boundary is meant when it lies this close to the given time: a time read off a player is good to
# a second or two (common practice, no source).
NEAR_S = 3.0
# No corrected period is shorter than this: the boundaries found are good to about as much
# (docs/measurements.md).
LEAST_S = 0.5
# Confidence of what was set by hand.
CERTAIN = 1.0

# An empty file is a list without corrections: the original comes back.
EDIT_FILE = FileKind(
    CorrectionError,
    noun="list of corrections",
    max_bytes=1_000_000,
    hint="give a list such as - {do: split, at_s: 12.5}",
)


class Move(Frozen):
    """Put the boundary nearest `at_s` at `to_s`."""

    do: Literal["move"]
    at_s: float = Field(ge=0)
    to_s: float = Field(ge=0)


class Split(Frozen):
    """Cut the period that runs at `at_s` in two there."""

    do: Literal["split"]
    at_s: float = Field(ge=0)


class Merge(Frozen):
    """Remove the boundary nearest `at_s`; the longer of the two periods gives the label."""

    do: Literal["merge"]
    at_s: float = Field(ge=0)


class Relabel(Frozen):
    """Set the kind or the movement of the period that runs at `at_s`."""

    do: Literal["relabel"]
    at_s: float = Field(ge=0)
    kind: PeriodKind | None = None
    movement: str | None = None


class Delete(Frozen):
    """Remove the period that runs at `at_s`; its time then belongs to no period."""

    do: Literal["delete"]
    at_s: float = Field(ge=0)


class SetCount(Frozen):
    """Set the number of repetitions of the period that runs at `at_s`."""

    do: Literal["count"]
    at_s: float = Field(ge=0)
    reps: int = Field(ge=0)
    left: int | None = Field(default=None, ge=0)
    right: int | None = Field(default=None, ge=0)


Edit = Annotated[Move | Split | Merge | Relabel | Delete | SetCount, Field(discriminator="do")]
_EDITS: TypeAdapter[tuple[Edit, ...]] = TypeAdapter(tuple[Edit, ...])


def read_edits(path: Path) -> tuple[Edit, ...]:
    """Read a YAML (or JSON) list of edits.

    Raises
    ------
    CorrectionError
        The file cannot be read, or an edit is wrong; one line: which edit, what, how to fix it.
    """
    name = str(path)
    return check_edits(read_yaml(read_text(path, EDIT_FILE), name, EDIT_FILE).data, name)


def check_edits(given: Any, name: str = "corrections") -> tuple[Edit, ...]:
    """Check a list of edits that came as plain data.

    Parameters
    ----------
    given : object
        A list of dicts, or a dict with such a list under ``edits``; None is an empty list.
    name : str
        What messages call the list.

    Raises
    ------
    CorrectionError
        Not such a list, or an edit is wrong.
    """
    if isinstance(given, dict) and set(given) == {"edits"}:
        given = given["edits"]
    if given is None:
        return ()
    if not isinstance(given, list | tuple):
        raise CorrectionError(f"{name}: should be a list, each entry with do: and at_s:")
    try:
        return _EDITS.validate_python(given)
    except ValidationError as error:
        first = error.errors()[0]
        where = first["loc"]
        number = f"entry {int(where[0]) + 1}" if where else "the list"
        key = ".".join(str(part) for part in first["loc"][2:])
        if first["type"] in ("union_tag_not_found", "union_tag_invalid"):
            what = "do: should be move, split, merge, relabel, delete or count"
        elif first["type"] == "extra_forbidden":
            what = f'"{key}" is not a key of this correction; remove it'
        elif first["type"] == "missing":
            what = f'"{key}" is missing; add it'
        else:
            what = f'"{key}": {first["msg"][0].lower()}{first["msg"][1:]}'
        raise CorrectionError(f"{name}, {number}: {what}") from error


def corrected(periods: Sequence[Period], edits: Sequence[Edit]) -> tuple[Period, ...]:
    """Apply edits one after the other.

    Periods come back in time order, numbered from 0 again; ``Period.corrected`` says what was set
    by hand. Counts set by hand are in ``reps.count`` with full confidence.

    Raises
    ------
    CorrectionError
        An edit matches no period or boundary, or would leave a period too short.
    """
    now = list(periods)
    for number, edit in enumerate(edits, start=1):
        name = f"correction {number} ({edit.do} at {edit.at_s:g} s)"
        if isinstance(edit, Move):
            _move(now, edit, name)
        elif isinstance(edit, Split):
            _split(now, edit, name)
        elif isinstance(edit, Merge):
            _merge(now, edit, name)
        elif isinstance(edit, Relabel):
            _relabel(now, edit, name)
        elif isinstance(edit, Delete):
            del now[_at(now, edit.at_s, name)]
        else:
            _set_count(now, edit, name)
    index = count()
    return tuple(p.model_copy(update={"index": next(index)}) for p in now)


def _at(periods: Sequence[Period], at_s: float, name: str) -> int:
    for i, p in enumerate(periods):
        if p.start_s <= at_s < p.end_s:
            return i
    raise CorrectionError(f"{name}: no period runs then; give a time inside one")


def _boundary(periods: Sequence[Period], at_s: float, name: str) -> int:
    """Index of the period that starts at the boundary nearest a time; their number for the end."""
    starts = [(abs(p.start_s - at_s), i) for i, p in enumerate(periods)]
    if periods:
        starts.append((abs(periods[-1].end_s - at_s), len(periods)))
    distance, i = min(starts, default=(float("inf"), 0))
    if distance > NEAR_S:
        raise CorrectionError(
            f"{name}: no boundary within {NEAR_S:g} s of that time; give a time closer to one"
        )
    return i


def _set(period: Period, *by_hand: str, **update: Any) -> Period:
    changed = period.model_copy(update=update)
    return changed.model_copy(
        update={
            "duration_s": round(changed.end_s - changed.start_s, 2),
            "corrected": tuple(dict.fromkeys((*period.corrected, *by_hand))),
        }
    )


def _move(now: list[Period], edit: Move, name: str) -> None:
    i = _boundary(now, edit.at_s, name)
    to_s = round(edit.to_s, 2)
    before = now[i - 1] if i > 0 else None
    after = now[i] if i < len(now) else None
    # A gap between neighbours stays: only the start of the later one moves.
    if before is not None and after is not None and after.start_s - before.end_s > 1e-6:
        before = None
    low = before.start_s + LEAST_S if before else (now[i - 1].end_s if i > 0 else 0.0)
    high = after.end_s - LEAST_S if after else float("inf")
    if not low <= to_s <= high:
        raise CorrectionError(
            f"{name}: {edit.to_s:g} s is out of range; give a time between {low:.1f} and "
            f"{high:.1f} s"
        )
    if before is not None:
        now[i - 1] = _set(before, "end", end_s=to_s)
    if after is not None:
        now[i] = _set(after, "start", start_s=to_s)


def _split(now: list[Period], edit: Split, name: str) -> None:
    i = _at(now, edit.at_s, name)
    whole, at_s = now[i], round(edit.at_s, 2)
    if at_s - whole.start_s < LEAST_S or whole.end_s - at_s < LEAST_S:
        raise CorrectionError(
            f"{name}: too close to the period's start or end; give a time at least {LEAST_S:g} s "
            "from both"
        )
    now[i : i + 1] = [_set(whole, "end", end_s=at_s), _set(whole, "start", start_s=at_s)]


def _merge(now: list[Period], edit: Merge, name: str) -> None:
    i = _boundary(now, edit.at_s, name)
    if not 0 < i < len(now):
        raise CorrectionError(
            f"{name}: no two periods to join there; give the time of a boundary between two"
        )
    before, after = now[i - 1], now[i]
    longer = max(before, after, key=lambda p: p.duration_s)
    now[i - 1 : i + 1] = [_set(longer, "start", "end", start_s=before.start_s, end_s=after.end_s)]


def _relabel(now: list[Period], edit: Relabel, name: str) -> None:
    if edit.kind is None and edit.movement is None:
        raise CorrectionError(f"{name}: give kind, movement or both")
    i = _at(now, edit.at_s, name)
    if edit.kind is not None:
        now[i] = _set(now[i], "kind", kind=edit.kind, confidence=CERTAIN)
    if edit.movement is not None:
        now[i] = _set(
            now[i],
            "movement",
            movement=movement_id(edit.movement),
            movement_confidence=CERTAIN,
        )


def _set_count(now: list[Period], edit: SetCount, name: str) -> None:
    if edit.left is not None and edit.right is not None and edit.left + edit.right != edit.reps:
        raise CorrectionError(
            f"{name}: left {edit.left} and right {edit.right} do not add up to {edit.reps}"
        )
    i = _at(now, edit.at_s, name)
    reps = RepSet(count=edit.reps, left=edit.left, right=edit.right, confidence=CERTAIN)
    now[i] = _set(now[i], "count", reps=reps)
