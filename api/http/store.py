"""The reviews asked for over HTTP: one database table, one folder of files each.

The table is the only place that knows a review's state; whoever works on one holds a numbered
claim to it (`attempt`), so that a worker left over from before a restart or a deletion finds its
claim gone and stops. The database is SQLite in the data folder, or whatever a SQLAlchemy URL names.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

import sqlalchemy as sql
from sqlalchemy.pool import NullPool

from api.work.folder import ReviewFolder

State = Literal["queued", "running", "done", "failed"]

# A clip that brought the program down this often is not tried again.
MAX_TRIES = 3
STOPPED = "stopped on request; start it again when you like"

_TABLE = sql.Table(
    "reviews",
    sql.MetaData(),
    sql.Column("id", sql.String(32), primary_key=True),
    sql.Column("name", sql.String(400), nullable=False),
    sql.Column("created_at", sql.String(40), nullable=False, index=True),
    sql.Column("state", sql.String(10), nullable=False, default="queued"),
    sql.Column("stage", sql.String(200), nullable=False, default=""),
    sql.Column("progress", sql.Float, nullable=False, default=0.0),
    sql.Column("started_s", sql.Float),
    sql.Column("error", sql.Text),
    sql.Column("attempt", sql.Integer, nullable=False, default=0),
    sql.Column("tries", sql.Integer, nullable=False, default=0),
    sql.Column("sha256", sql.String(64)),
    sql.Column("title", sql.String(400)),
    sql.Column("summary", sql.String(400)),
    sql.Column("plan_id", sql.String(64)),
)


@dataclass(frozen=True)
class ReviewSummary:
    """What the list of reviews tells of a finished one.

    Attributes
    ----------
    title : str or None
        Of the plan.
    summary : str
        One line.
    plan_id : str or None
        Equal for two takes of one plan.
    """

    sha256: str
    title: str | None
    summary: str
    plan_id: str | None


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
    started_s : float or None
        When work on it began, seconds since the epoch.
    error : str or None
        One line for the user when `state` is failed.
    attempt : int
        The claim of the worker that works on it.
    tries : int
        How often work on it was begun since the user last asked.
    sha256, title, summary, plan_id
        As in :class:`ReviewSummary`; None before it is done.
    """

    id: str
    name: str
    created_at: str
    state: State
    stage: str
    progress: float
    started_s: float | None
    error: str | None
    attempt: int
    tries: int
    sha256: str | None
    title: str | None
    summary: str | None
    plan_id: str | None


class Store:
    """Reviews under one data folder. Safe to open from several threads and processes."""

    def __init__(self, data: Path, database: str | None = None) -> None:
        self.data = data
        # Held by whoever changes a finished review's folder: each reads what the one before
        # wrote, and nobody writes into a folder that is being deleted.
        self.write_lock = threading.Lock()
        data.mkdir(mode=0o700, parents=True, exist_ok=True)  # clips are for their owner only
        (data / "reviews").mkdir(exist_ok=True)
        self.database = database or f"sqlite:///{data.resolve() / 'takeproof.db'}"
        # No pool: a connection per transaction is cheap here, and free of thread affinity.
        self._engine = sql.create_engine(self.database, poolclass=NullPool)
        _TABLE.metadata.create_all(self._engine)

    def folder(self, review_id: str) -> ReviewFolder:
        """Where the files of a review lie. `review_id` must come from the store."""
        return ReviewFolder(self.data / "reviews" / review_id)

    @property
    def incoming(self) -> Path:
        """Where uploads arrive and deleted reviews leave; emptied at every start."""
        return self.data / "incoming"

    def add(self, review_id: str, name: str) -> None:
        """Queue a review whose files are in place."""
        now = datetime.now(UTC).isoformat()
        self._execute(_TABLE.insert().values(id=review_id, name=name, created_at=now))
        self.folder(review_id).arriving.unlink(missing_ok=True)

    def get(self, review_id: str) -> Entry | None:
        """One review, or None when there is none of this id."""
        found = self._entries(sql.select(_TABLE).where(_TABLE.c.id == review_id))
        return found[0] if found else None

    def all(self) -> list[Entry]:
        """Every review, the newest first."""
        return self._entries(sql.select(_TABLE).order_by(_TABLE.c.created_at.desc()))

    def queued(self) -> list[str]:
        """Ids waiting for a worker, the oldest first."""
        waiting = sql.select(_TABLE).where(_TABLE.c.state == "queued")
        return [e.id for e in self._entries(waiting.order_by(_TABLE.c.created_at))]

    def claim(self, review_id: str) -> Entry | None:
        """Start work on a queued review; None when it is not waiting any more."""
        claimed = self._execute(
            _in_state(review_id, ["queued"]).values(
                state="running",
                progress=0.0,
                stage="",
                started_s=time.time(),
                attempt=_TABLE.c.attempt + 1,
                tries=_TABLE.c.tries + 1,
            )
        )
        return self.get(review_id) if claimed else None

    def report_progress(self, entry: Entry, stage: str, progress: float) -> bool:
        """Note how far a worker is; False when its claim is gone and it should stop."""
        return self._update_claimed(entry, stage=stage, progress=progress)

    def finish(self, entry: Entry, summary: ReviewSummary) -> bool:
        """Mark a claimed review done."""
        return self._update_claimed(
            entry, state="done", stage="", progress=1.0, error=None, **_columns(summary)
        )

    def update_summary(self, review_id: str, summary: ReviewSummary) -> bool:
        """Note what a finished review says now that it was worked over."""
        return bool(
            self._execute(_in_state(review_id, ["done"]).values(error=None, **_columns(summary)))
        )

    def fail(self, entry: Entry, error: str) -> bool:
        """Mark a claimed review failed, with one line for the user."""
        return self._update_claimed(entry, state="failed", error=error)

    def cancel(self, review_id: str) -> bool:
        """Stop a review that waits or runs; its worker loses its claim."""
        stopped = _in_state(review_id, ["queued", "running"]).values(state="failed", error=STOPPED)
        return bool(self._execute(stopped))

    def retry(self, review_id: str) -> bool:
        """Queue a failed review again."""
        again = _in_state(review_id, ["failed"])
        fresh = {"state": "queued", "stage": "", "progress": 0.0, "error": None, "tries": 0}
        return bool(self._execute(again.values(**fresh)))

    def requeue_running(self, review_id: str | None = None) -> None:
        """Queue again what no worker will finish, one review or all that run; give up on what
        was tried too often."""
        running = _TABLE.update().where(_TABLE.c.state == "running")
        if review_id is not None:
            running = running.where(_TABLE.c.id == review_id)
        gone = f"the analysis stopped unexpectedly {MAX_TRIES} times; this is a fault of ours"
        self._execute(running.where(_TABLE.c.tries >= MAX_TRIES).values(state="failed", error=gone))
        self._execute(running.values(state="queued", progress=0.0))

    def release(self, review_id: str) -> None:
        """Queue a running review again without counting the try: we stopped it ourselves."""
        self._execute(
            _in_state(review_id, ["running"]).values(
                state="queued", progress=0.0, tries=_TABLE.c.tries - 1
            )
        )

    def remove(self, review_id: str) -> bool:
        """Delete a review and its files; a worker on it loses its claim."""
        leaving = self.incoming / f"leaving-{review_id}"
        if self.get(review_id) is not None and self.folder(review_id).path.exists():
            self.incoming.mkdir(exist_ok=True)
            self.folder(review_id).path.rename(leaving)  # whole: no half of it outlives a crash
        removed = self._execute(_TABLE.delete().where(_TABLE.c.id == review_id))
        shutil.rmtree(leaving, ignore_errors=True)
        return bool(removed)

    def tidy(self) -> None:
        """At the start: away with what an earlier end left half done."""
        shutil.rmtree(self.incoming, ignore_errors=True)
        known = {e.id for e in self.all()}
        for folder in (self.data / "reviews").iterdir():
            if folder.name not in known and ReviewFolder(folder).arriving.exists():
                shutil.rmtree(folder, ignore_errors=True)
            else:
                ReviewFolder(folder).tidy()
        for review_id in known:
            if not self.folder(review_id).path.exists():
                self._execute(_TABLE.delete().where(_TABLE.c.id == review_id))

    def _update_claimed(self, entry: Entry, **values: object) -> bool:
        held = _in_state(entry.id, ["running"]).where(_TABLE.c.attempt == entry.attempt)
        return bool(self._execute(held.values(**values)))

    def _entries(self, query: sql.Select[Any]) -> list[Entry]:
        with self._engine.begin() as connection:
            return [Entry(**row) for row in connection.execute(query).mappings()]

    def _execute(self, statement: sql.Insert | sql.Update | sql.Delete) -> int:
        with self._engine.begin() as connection:
            return connection.execute(statement).rowcount


def _in_state(review_id: str, states: Iterable[str]) -> sql.Update:
    return _TABLE.update().where(_TABLE.c.id == review_id, _TABLE.c.state.in_(list(states)))


def _columns(summary: ReviewSummary) -> dict[str, str | None]:
    return {
        "sha256": summary.sha256,
        "title": summary.title,
        "summary": summary.summary,
        "plan_id": summary.plan_id,
    }
