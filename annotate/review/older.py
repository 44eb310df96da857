"""Reviews written by earlier versions, converted to the current form when they are read.

Before ``station`` was a field of its own, ``block`` was "block: station" for the stations of a
circuit. The two parts can be told apart where a block has several stations: they share the name of
the block.
"""

from __future__ import annotations

from collections.abc import Iterator
from os.path import commonprefix
from typing import Any

_BETWEEN = ": "


def up_to_date(values: dict[str, Any]) -> dict[str, Any]:
    """The values of a ``review.json`` with stations in their own field.

    Data that is not a review comes back unchanged: the check of the model says what is wrong.
    """
    try:
        if any("station" in period for period in _planned(values)):
            return values
        return _with_stations(values)
    except (KeyError, TypeError, AttributeError):
        return values


def _planned(values: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield from (values["plan"] or {}).get("periods", ())
    yield from (row["planned"] for row in values["comparison"] if row["planned"])


def _with_stations(values: dict[str, Any]) -> dict[str, Any]:
    names: dict[int, dict[str, None]] = {}
    for period in _planned(values):
        names.setdefault(period["block_index"], {})[period["block"]] = None
    blocks = {
        index: _BETWEEN.join(commonprefix([name.split(_BETWEEN) for name in of_block]))
        for index, of_block in names.items()
    }

    def split(period: dict[str, Any]) -> dict[str, Any]:
        block = blocks[period["block_index"]]
        station = period["block"].removeprefix(block).removeprefix(_BETWEEN) or None
        return {**period, "block": block, "station": station}

    plan = values["plan"] and {
        **values["plan"],
        "periods": [split(period) for period in values["plan"]["periods"]],
    }
    comparison = [
        {**row, "planned": split(row["planned"]) if row["planned"] else None}
        for row in values["comparison"]
    ]
    return {**values, "plan": plan, "comparison": comparison}
