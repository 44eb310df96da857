"""The reviews asked for over HTTP: one SQLite table, one folder of files each.

The table is the only place that knows a review's state; whoever works on one holds a numbered
claim to it (`attempt`), so that a worker left over from before a restart or a deletion finds its
claim gone and stops.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

State = Literal["queued", "running", "done", "failed"]

# A clip that brought the program down this often is not tried again.
MOST_ATTEMPTS = 3

_SCHEMA = """
CREATE TABLE IF NOT EXISTS reviews (
    id TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    created_at TEXT NOT NULL,
    state TEXT NOT NULL DEFAULT 'queued',
    stage TEXT NOT NULL DEFAULT '',
    progress REAL NOT NULL DEFAULT 0,
    error TEXT,
    attempt INTEGER NOT NULL DEFAULT 0
)
"""


@dataclass(frozen=True)
class Entry:
    """One review asked for.

    Attributes
    ----------
    name : str
        The clip's name as uploaded; shown, never used as a path.
    stage : str
        What is being done, in plain words.
    progress : float
        0 to 1.
    error : str or None
        One line for the user when `state` is failed.
    attempt : int
        The claim of the worker that works on it.
    """

    id: str
    name: str
    created_at: str
    state: State
    stage: str
    progress: float
    error: str | None
    attempt: int


class Store:
    """Reviews under one data folder. Safe to open from several threads and processes."""

    def __init__(self, data: Path) -> None:
        self.data = data
        data.mkdir(mode=0o700, parents=True, exist_ok=True)  # clips are for their owner only
        (data / "reviews").mkdir(exist_ok=True)
        with self._database() as database:
            database.execute(_SCHEMA)

    def folder(self, review_id: str) -> Path:
        """Where the files of a review lie. `review_id` must come from the store."""
        return self.data / "reviews" / review_id

    def add(self, review_id: str, name: str) -> None:
        """Queue a review whose files are in place."""
        now = datetime.now(UTC).isoformat()
        self._change(
            "INSERT INTO reviews (id, name, created_at) VALUES (?, ?, ?)", review_id, name, now
        )

    def get(self, review_id: str) -> Entry | None:
        """One review, or None when there is none of this id."""
        found = self._rows("WHERE id = ?", review_id)
        return found[0] if found else None

    def all(self) -> list[Entry]:
        """Every review, the newest first."""
        return self._rows("ORDER BY created_at DESC")

    def queued(self) -> list[str]:
        """Ids waiting for a worker, the oldest first."""
        return [e.id for e in self._rows("WHERE state = 'queued' ORDER BY created_at")]

    def claim(self, review_id: str) -> Entry | None:
        """Start work on a queued review; None when it is not waiting any more."""
        claimed = self._change(
            "UPDATE reviews SET state = 'running', progress = 0, stage = '', attempt = attempt + 1"
            " WHERE id = ? AND state = 'queued'",
            review_id,
        )
        return self.get(review_id) if claimed else None

    def tell(self, entry: Entry, stage: str, progress: float) -> bool:
        """Note how far a worker is; False when its claim is gone and it should stop."""
        return self._as_holder(entry, "stage = ?, progress = ?", stage, progress)

    def finish(self, entry: Entry) -> bool:
        """Mark a claimed review done."""
        return self._as_holder(entry, "state = 'done', stage = '', progress = 1")

    def fail(self, entry: Entry, error: str) -> bool:
        """Mark a claimed review failed, with one line for the user."""
        return self._as_holder(entry, "state = 'failed', error = ?", error)

    def requeue_running(self) -> None:
        """Queue again what no worker will finish; give up on what was tried too often."""
        self._change(
            "UPDATE reviews SET state = 'failed', error = ? WHERE state = 'running'"
            " AND attempt >= ?",
            f"the analysis stopped unexpectedly {MOST_ATTEMPTS} times; this is a fault of ours",
            MOST_ATTEMPTS,
        )
        self._change("UPDATE reviews SET state = 'queued', progress = 0 WHERE state = 'running'")

    def release(self, entry_id: str) -> None:
        """Queue a running review again without counting the attempt: we stopped it ourselves."""
        self._change(
            "UPDATE reviews SET state = 'queued', progress = 0, attempt = attempt - 1"
            " WHERE id = ? AND state = 'running'",
            entry_id,
        )

    def remove(self, review_id: str) -> bool:
        """Delete a review and its files; a worker on it loses its claim."""
        removed = self._change("DELETE FROM reviews WHERE id = ?", review_id)
        if removed:
            shutil.rmtree(self.folder(review_id), ignore_errors=True)
        return bool(removed)

    def _as_holder(self, entry: Entry, assignment: str, *values: object) -> bool:
        changed = self._change(
            f"UPDATE reviews SET {assignment} WHERE id = ? AND attempt = ? AND state = 'running'",
            *values, entry.id, entry.attempt,
        )  # fmt: skip
        return bool(changed)

    def _rows(self, clause: str, *values: object) -> list[Entry]:
        with self._database() as database:
            rows = database.execute(
                "SELECT id, name, created_at, state, stage, progress, error, attempt"
                f" FROM reviews {clause}",
                values,
            ).fetchall()
        return [Entry(*row) for row in rows]

    def _change(self, statement: str, *values: object) -> int:
        with self._database() as database:
            return database.execute(statement, values).rowcount

    @contextmanager
    def _database(self) -> Iterator[sqlite3.Connection]:
        """A connection for one transaction: cheap, and free of thread affinity."""
        database = sqlite3.connect(self.data / "reviews.db", timeout=30)
        try:
            with database:
                yield database
        finally:
            database.close()
