"""Seeded classes with known departures from their plan, and whether a review tells them.

A class of a few blocks is planned at random, then delivered with one or two departures. The
review must name each departure at its place and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from annotate.plan.model import ClassPlan, SideReps
from annotate.plan.unroll import PlannedPeriod, Timeline, unroll
from annotate.review.model import Comparison, Review
from clips.motions import MOVEMENTS
from clips.session import LEAD_S, TAIL_S, Period
from tests.annotate.reviews import block
from tests.known import known

WORK = ("squat", "hip-hinge", "knee-lift", "jumping-jack", "hamstring-curl", "side-lunge",
        "reverse-lunge", "lateral-leap")  # fmt: skip
RECOVERY = ("step-touch", "march", "quarter-squat-tap", "low-jack")


@dataclass(frozen=True)
class Departure:
    """What was done otherwise than planned.

    Attributes
    ----------
    name : str
    expected : dict of int to frozenset of str
        Planned period index to the statuses that tell it.
    added : int
        How many unplanned periods the review must show.
    one_of : tuple of frozenset of int
        Two exercises that changed places: either may be the one told as out of order.
    """

    name: str
    expected: dict[int, frozenset[str]]
    added: int = 0
    one_of: tuple[frozenset[int], ...] = ()


@dataclass(frozen=True)
class Delivered:
    """What is performed for each planned period, in order; extras sit between them."""

    planned: PlannedPeriod | None
    period: Period
    unseen: bool = False


Seeded = tuple[list[Delivered], Departure]
Maker = Callable[[list[Delivered], Timeline, np.random.Generator], Seeded | None]


def random_plan(rng: np.random.Generator) -> ClassPlan:
    """Warm-up, two or three exercises of two or three rounds, cool-down."""
    blocks = [block(name="Warm-up", kind="warm-up", movement="march", duration=20)]
    chosen = rng.choice(len(WORK), size=int(rng.integers(2, 4)), replace=False)
    for k in chosen:
        movement = WORK[k]
        work = float(rng.choice([20, 25, 30]))
        count = max(4, round((work - LEAD_S - TAIL_S) / MOVEMENTS[movement].rep_s))
        if MOVEMENTS[movement].alternating:
            count -= count % 2
        sided = MOVEMENTS[movement].alternating
        blocks.append(
            block(
                name=movement.capitalize(),
                movement=movement,
                rounds=int(rng.integers(2, 4)),
                work=work,
                recovery=float(rng.choice([12, 15, 20])),
                recovery_movement=str(rng.choice(RECOVERY)),
                reps=SideReps(left=count // 2, right=count // 2) if sided else count,
            )
        )
    blocks.append(block(name="Cool-down", kind="cool-down", movement="reach", duration=20))
    return ClassPlan(title="Seeded class", blocks=tuple(blocks))


def as_planned(timeline: Timeline) -> list[Delivered]:
    """Everything delivered as asked."""
    return [
        Delivered(p, Period(p.kind, p.movement or "march", p.duration_s, reps=p.reps))
        for p in timeline.periods
    ]


def _pick(
    delivered: list[Delivered], rng: np.random.Generator, kind: str, **having: object
) -> int | None:
    """Position of a random untouched planned period of a kind."""
    options = [
        i
        for i, d in enumerate(delivered)
        if d.planned is not None
        and d.planned.kind == kind
        and d.period.duration_s == d.planned.duration_s
        and d.period.movement == d.planned.movement
        and d.period.reps == d.planned.reps
        and not d.period.sides
        and not d.unseen
        and all(getattr(MOVEMENTS[d.period.movement], k) == v for k, v in having.items())
    ]
    return int(rng.choice(options)) if options else None


def _stretched(d: Delivered, change_s: float) -> Delivered:
    """Longer or shorter at the same tempo."""
    length = d.period.duration_s + change_s
    reps = d.period.reps
    if reps is not None:
        room = d.period.duration_s - LEAD_S - TAIL_S
        reps = max(1, round(reps * (length - LEAD_S - TAIL_S) / room))
    return replace(d, period=replace(d.period, duration_s=length, reps=reps))


def round_skipped(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """A work period and its recovery are left out."""
    i = _pick(delivered, rng, "work")
    if i is None or i + 1 >= len(delivered):
        return None
    gone = [d.planned.index for d in delivered[i : i + 2] if d.planned]
    rest = delivered[:i] + delivered[i + 2 :]
    return rest, Departure("round skipped", dict.fromkeys(gone, frozenset({"skipped"})))


def extra_round(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """A round more than planned, of an exercise that is done in full.

    Where its last rounds are cut off, one more is the next of the planned ones.
    """
    i = _pick(delivered, rng, "work")
    if i is None or i + 1 >= len(delivered):
        return None
    block = known(delivered[i].planned).block_index
    done = {d.planned.index for d in delivered if d.planned}
    if any(p.index not in done for p in timeline.periods if p.block_index == block):
        return None
    extra = [replace(d, planned=None) for d in delivered[i : i + 2]]
    return delivered[: i + 2] + extra + delivered[i + 2 :], Departure("extra round", {}, added=2)


def work_short(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Work stopped 4-8 s early."""
    return _longer(delivered, rng, "work", -rng.uniform(4, 8), "work short", "short")


def work_long(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Work went on 4-8 s."""
    return _longer(delivered, rng, "work", rng.uniform(4, 8), "work long", "long")


def recovery_short(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Recovery cut by 4-6 s."""
    return _longer(delivered, rng, "recovery", -rng.uniform(4, 6), "recovery short", "short")


def recovery_long(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Recovery 4-8 s too long."""
    return _longer(delivered, rng, "recovery", rng.uniform(4, 8), "recovery long", "long")


def _longer(
    delivered: list[Delivered],
    rng: np.random.Generator,
    kind: str,
    change_s: float,
    name: str,
    status: str,
) -> Seeded | None:
    i = _pick(delivered, rng, kind)
    if i is None:
        return None
    changed = list(delivered)
    changed[i] = _stretched(delivered[i], change_s)
    planned = known(delivered[i].planned)
    return changed, Departure(name, {planned.index: frozenset({status})})


def reps_short(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Fewer repetitions in the same time, both sides alike where there are sides.

    Not of an exercise with a round too many: that one could as well be the short one.
    """
    i = _pick(delivered, rng, "work", alternating=False)
    if i is None or known(delivered[i].period.reps) < 6:
        return None
    if any(d.planned is None and d.period.movement == delivered[i].period.movement
           for d in delivered):  # fmt: skip
        return None
    changed = list(delivered)
    period = delivered[i].period
    count = known(period.reps)
    fewer = max(2, round(0.25 * count))
    changed[i] = replace(delivered[i], period=replace(period, reps=count - fewer))
    return changed, Departure(
        "reps short", {known(delivered[i].planned).index: frozenset({"partial"})}
    )


def one_side(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """All repetitions on one side."""
    i = _pick(delivered, rng, "work", alternating=True)
    if i is None or delivered[i].period.movement == "lateral-leap":
        return None
    changed = list(delivered)
    period = delivered[i].period
    sides = (str(rng.choice(["left", "right"])),) * (period.reps or 8)
    changed[i] = replace(delivered[i], period=replace(period, sides=sides))
    told = frozenset({"partial", "long"})
    return changed, Departure("one side only", {known(delivered[i].planned).index: told})


def other_movement(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Another exercise than planned, same length."""
    i = _pick(delivered, rng, "work")
    if i is None:
        return None
    planned = known(delivered[i].planned)
    used = {p.movement for p in timeline.periods}
    other = str(rng.choice([m for m in WORK if m not in used and m != "reverse-lunge"]))
    changed = list(delivered)
    changed[i] = replace(delivered[i], period=Period("work", other, planned.duration_s))
    return changed, Departure("other movement", {planned.index: frozenset({"swapped"})})


def water_break(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """An unplanned stop."""
    i = _pick(delivered, rng, "recovery")
    if i is None:
        return None
    stop = Delivered(None, Period("still", "stand", float(rng.uniform(12, 25))))
    return delivered[: i + 1] + [stop] + delivered[i + 1 :], Departure("water break", {}, added=1)


def late_start(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Standing about before the warm-up."""
    stop = Delivered(None, Period("still", "talk", float(rng.uniform(8, 20))))
    return [stop, *delivered], Departure("late start", {}, added=1)


def cut_off(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """The recording ends after a recovery; the rest is missing."""
    i = _pick(delivered, rng, "recovery")
    if i is None or i + 1 >= len(delivered):
        return None
    gone = [d.planned.index for d in delivered[i + 1 :] if d.planned]
    return delivered[: i + 1], Departure("cut off", dict.fromkeys(gone, frozenset({"skipped"})))


def exercises_swapped(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """The first two exercises exchange their places."""
    blocks = sorted({p.block_index for p in timeline.periods if p.kind == "work"})[:2]
    if len(blocks) < 2 or [d.planned for d in delivered] != list(timeline.periods):
        return None
    first, second = ([d for d in delivered if known(d.planned).block_index == b] for b in blocks)
    at = delivered.index(first[0])
    order = delivered[:at] + second + first + delivered[at + len(first) + len(second) :]
    work = tuple(
        frozenset(p.index for p in (known(d.planned) for d in block) if p.kind == "work")
        for block in (first, second)
    )
    return order, Departure("exercises exchanged", {}, one_of=work)


def second_start(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """The warm-up is begun, broken off after a while, and begun again."""
    if delivered[0].planned is None:
        return None
    begun = replace(delivered[0].period, duration_s=float(rng.uniform(11, 15)), reps=None)
    stop = Period("still", "stand", float(rng.uniform(10, 18)))
    extra = [Delivered(None, begun), Delivered(None, stop)]
    return extra + delivered, Departure("second start", {}, added=2)


def out_of_frame(
    delivered: list[Delivered], timeline: Timeline, rng: np.random.Generator
) -> Seeded | None:
    """Out of the picture for the middle of a work period."""
    i = _pick(delivered, rng, "work")
    if i is None:
        return None
    changed = list(delivered)
    changed[i] = replace(delivered[i], unseen=True)
    told = frozenset({"partial"})
    return changed, Departure("out of frame", {known(delivered[i].planned).index: told})


DEPARTURES: dict[str, Maker] = {
    f.__name__: f
    for f in (
        round_skipped, extra_round, work_short, work_long, recovery_short, recovery_long,
        reps_short, one_side, other_movement, water_break, late_start, cut_off,
        exercises_swapped, second_start, out_of_frame,
    )
}  # fmt: skip


@dataclass(frozen=True)
class Told:
    """How a review told the departures of one class."""

    missed: tuple[str, ...]
    invented: tuple[str, ...]


_OUT_OF_ORDER = "done out of order"
# What else a row of a moved exercise says, by the status it would have in its place.
_SAID = {"short": ("too short",), "long": ("too long", "more"),
         "partial": ("fewer", "not assessable"), "swapped": ("instead of",)}  # fmt: skip


def _tells(row: Comparison, statuses: frozenset[str]) -> bool:
    """Whether a row says so, by its status or, out of order, in words."""
    if _OUT_OF_ORDER not in row.text:
        return row.status in statuses
    return any(words in row.text for status in statuses for words in _SAID.get(status, ()))


def judge(review: Review, timeline: Timeline, departures: list[Departure]) -> Told:
    """Which departures the review misses, and which of its findings are not true.

    A round skipped and another done too often may be told as one instead of the other.
    Equal rounds of one block cannot be told apart from the footage: a skipped round may be told
    for any round of its block.
    """
    rows = {c.planned.index: c for c in review.comparison if c.planned is not None}
    added = [c for c in review.comparison if c.planned is None]
    missed: list[str] = []
    explained: set[int] = set()
    names = {d.name for d in departures}
    # A round left out and one too many beside it are, seen from the floor, a round exchanged.
    exchanged = {"round skipped", "extra round"} <= names
    for departure in departures:
        for index, statuses in departure.expected.items():
            if exchanged:
                statuses = statuses | {"swapped"}
            here = timeline.periods[index]
            same = [
                p.index
                for p in timeline.periods
                if (p.block_index, p.kind) == (here.block_index, here.kind)
            ]
            candidates = [i for i in same if _tells(rows[i], statuses) and i not in explained]
            if candidates:
                explained.add(index if index in candidates else candidates[0])
            else:
                missed.append(f"{departure.name} at {here.label}: {rows[index].status}")
    moved: set[int] = set()
    for departure in departures:
        told = [
            work
            for work in departure.one_of
            if all(rows[i].status in ("swapped", "skipped") for i in work)
        ]
        if departure.one_of and not told:
            missed.append(f"{departure.name} at {departure.one_of}")
        moved |= {i for work in told for i in work if _OUT_OF_ORDER in rows[i].text}
    wanted = sum(d.added for d in departures)
    wanted -= sum(rows[i].status == "swapped" for i in explained) if exchanged else 0
    if len(added) < wanted:
        missed.append(f"{wanted} added, found {len(added)}")
    invented = [
        f"{known(rows[i].planned).label}: {rows[i].status} ({rows[i].text})"
        for i in rows
        if rows[i].status != "as planned"
        and i not in explained
        # Of a moved exercise nothing but its place.
        and not (i in moved and ";" not in rows[i].text)
    ]
    invented += [f"added: {c.text}" for c in added[wanted:]]
    return Told(tuple(missed), tuple(invented))


def seeded_class(
    seed: int, names: tuple[str, ...]
) -> tuple[ClassPlan, tuple[Period, ...], list[Departure], tuple[tuple[float, float], ...]]:
    """A random plan delivered with these departures (those that fit).

    The last value: from when to when nobody is in the picture.
    """
    rng = np.random.default_rng(seed)
    plan = random_plan(rng)
    timeline = unroll(plan)
    delivered = as_planned(timeline)
    departures = []
    # The order first, the end next: a departure behind it could not be seen.
    first = ("exercises_swapped", "cut_off")
    for name in sorted(names, key=lambda n: first.index(n) if n in first else len(first)):
        made = DEPARTURES[name](delivered, timeline, rng)
        if made is not None:
            delivered, departure = made
            departures.append(departure)
    starts = np.cumsum([0.0, *(d.period.duration_s for d in delivered)])
    unseen = tuple(
        (float(start + d.period.duration_s / 3), float(start + 2 * d.period.duration_s / 3))
        for start, d in zip(starts, delivered, strict=False)
        if d.unseen
    )
    return plan, tuple(d.period for d in delivered), departures, unseen
