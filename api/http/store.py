"""The reviews requested over HTTP: one database table, and a folder for each review.

The table is the only place that knows a review's state. A worker holds a numbered claim to the
review it works on (`attempt`), so that a worker from before a restart or a deletion finds its claim
gone and stops. The database is SQLite in the data folder, or the one a SQLAlchemy URL names.
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

# A clip whose worker died this often is not tried again.
MAX_TRIES = 3
STOPPED = "stopped on request; you can start it again"

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
    """What the list of reviews shows of a finished one.

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
    """One requested review.

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
        How often work on it was started since the user last requested it.
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
        # Held while the folder of a finished review changes: each request reads what the one
        # before wrote, and none writes into a folder that is being deleted.
        self.write_lock = threading.Lock()
        data.mkdir(mode=0o700, parents=True, exist_ok=True)  # readable by the owner only
        (data / "reviews").mkdir(exist_ok=True)
        self.database = database or f"sqlite:///{data.resolve() / 'takeproof.db'}"
        # No pool: a connection per transaction is cheap here, and free of thread affinity.
        self._engine = sql.create_engine(self.database, poolclass=NullPool)
        _TABLE.metadata.create_all(self._engine)

    def folder(self, review_id: str) -> ReviewFolder:
        """The folder of a review. `review_id` must come from the store."""
        return ReviewFolder(self.data / "reviews" / review_id)

    @property
    def incoming(self) -> Path:
        """Folder for uploads and for reviews being deleted; emptied at every start."""
        return self.data / "incoming"

    def add(self, review_id: str, name: str) -> None:
        """Queue a review whose files are complete."""
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
        """Start work on a queued review; None when it is no longer waiting."""
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
        """Write the progress of a worker; False when its claim is gone and it should stop."""
        return self._update_claimed(entry, stage=stage, progress=progress)

    def finish(self, entry: Entry, summary: ReviewSummary) -> bool:
        """Mark a claimed review done."""
        return self._update_claimed(
            entry, state="done", stage="", progress=1.0, error=None, **_columns(summary)
        )

    def update_summary(self, review_id: str, summary: ReviewSummary) -> bool:
        """Replace the summary of a finished review that was changed."""
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
        return self._queue_again(review_id, ["failed"])

    def restart(self, review_id: str) -> bool:
        """Queue a review again that has ended, whether well or not."""
        return self._queue_again(review_id, ["failed", "done"])

    def _queue_again(self, review_id: str, states: list[State]) -> bool:
        again = _in_state(review_id, states)
        fresh = {"state": "queued", "stage": "", "progress": 0.0, "error": None, "tries": 0}
        return bool(self._execute(again.values(**fresh)))

    def requeue_running(self, review_id: str | None = None) -> None:
        """Queue running reviews again that no worker will finish.

        One review, or all that run. Those that were tried too often fail.
        """
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
            self.folder(review_id).path.rename(leaving)  # in one step: a crash leaves no half of it
        removed = self._execute(_TABLE.delete().where(_TABLE.c.id == review_id))
        shutil.rmtree(leaving, ignore_errors=True)
        return bool(removed)

    def tidy(self) -> None:
        """At the start: delete incomplete uploads and rows without a folder."""
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
