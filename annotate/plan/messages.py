"""Error messages for plans: one line that names the place, the fault and the fix."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel, ValidationError

from annotate.errors import PlanError
from annotate.plan.model import Block, ClassPlan, SideReps, Station, Tolerance
from annotate.reading import Located, Where
from annotate.text import nearest, shown


def place(located: Located, name: str, where: Where) -> str:
    """The place of a fault: ``harbour.plan.yaml, line 7, block "Squat"``."""
    parts = [name]
    line = located.line_of(where)
    if line is not None:
        parts.append(f"{located.row_word} {line}")
    if len(where) >= 2 and where[0] == "blocks" and isinstance(where[1], int):
        block = _dig(located.data, where[:2])
        title = block.get("name") if isinstance(block, dict) else None
        parts.append(f"block {shown(str(title)) if title else where[1] + 1}")
        if len(where) >= 4 and where[2] == "stations" and isinstance(where[3], int):
            parts.append(f"station {where[3] + 1}")
    return ", ".join(parts)


def refuse_unknown_and_empty_keys(located: Located, name: str) -> None:
    """Check the keys before the values: a mistyped key explains why another seems missing.

    Raises
    ------
    PlanError
        An unknown key, or a key without a value.
    """
    for where in located.lines:
        if not where or not isinstance(where[-1], str):
            continue
        known = _keys_at(where[:-1])
        key = where[-1]
        if known and key not in known:
            guess = nearest(key, known)
            fix = f'did you mean "{guess}"?' if guess else f"known keys: {', '.join(known)}"
            raise PlanError(f"{place(located, name, where)}: unknown key {shown(key)}; {fix}")
        if _dig(located.data, where) is None:
            raise PlanError(
                f'{place(located, name, where)}: "{key}" has no value; give one or remove the key'
            )


def fault_line(error: ValidationError, located: Located, name: str) -> str:
    """The fault that comes first in the file, as one line."""
    faults = [(tuple(e["loc"]), e) for e in error.errors(include_url=False)]
    # A list whose items are all faulty is itself reported as empty: the items say more.
    faults = [
        (loc, e)
        for loc, e in faults
        if not any(len(other) > len(loc) and other[: len(loc)] == loc for other, _ in faults)
    ]
    loc, first = min(faults, key=lambda fault: located.line_of(fault[0]) or 0)
    where = located.deepest(loc)
    value = _dig(located.data, where)
    return f"{place(located, name, where)}: {_words(first, loc, where, value)}"


def _words(error: Any, loc: Where, where: Where, value: object) -> str:
    kind: str = error["type"]
    context: dict[str, Any] = error.get("ctx", {})
    if kind == "missing":
        return f'"{loc[-1]}" is missing; add it'
    if kind == "value_error" and where and where == loc and isinstance(value, dict):
        return str(context["error"])
    key = next((k for k in reversed(where) if isinstance(k, str)), None)
    subject = f'"{key}" is {shown(value)}'
    if key in ("blocks", "stations") and isinstance(where[-1], int):
        subject = f"this is {shown(value)}"
    if key == "reps" and kind != "greater_than_equal":
        return f"{subject}; it should be a whole number (14) or {{left: 8, right: 8}}"
    if kind == "value_error":
        return f"{subject}; it {context['error']}"
    if kind == "literal_error":
        expected = str(context["expected"]).replace("'", "")
        guess = nearest(str(value), re.split(r", | or ", expected))
        hint = f'; did you mean "{guess}"?' if guess else ""
        return f"{subject}; it should be {expected}{hint}"
    if kind in _EXPECTED:
        return f"{subject}; it should be {_EXPECTED[kind].format(**context)}"
    return f"{subject}; {error['msg']}"


_EXPECTED = {
    "greater_than": "above {gt:g}",
    "greater_than_equal": "at least {ge:g}",
    "less_than_equal": "at most {le:g}",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_type": "text",
    "tuple_type": "a list, each item starting with -",
    "model_type": "a group of keys, such as name: ...",
    "too_short": "a list of at least one, each starting with -",
}


def _dig(data: Any, where: Where) -> Any:
    """The value at a path; None where there is none."""
    for step in where:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _keys_at(where: Where) -> tuple[str, ...]:
    """The keys allowed in the group at a path; empty where keys are not checked."""
    names = tuple("*" if isinstance(step, int) else step for step in where)
    models: dict[tuple[str, ...], type[BaseModel]] = {
        (): ClassPlan,
        ("tolerance",): Tolerance,
        ("blocks", "*"): Block,
        ("blocks", "*", "stations", "*"): Station,
    }
    if names and "reps" in names[-2:]:
        return tuple(SideReps.model_fields)
    model = models.get(names)
    return tuple(model.model_fields) if model else ()
