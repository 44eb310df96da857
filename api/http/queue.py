"""The queue: reviews wait in the store and are worked on in the background, a few at once."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future
from contextlib import suppress
from functools import partial
from pathlib import Path

from av import FFmpegError

from annotate.review.model import Note
from api.faults import report_fault
from api.http.limits import MAX_WORK_S
from api.http.preview import every_browser_plays, write_preview
from api.http.store import Entry, ReviewSummary, Store
from api.http.summary import summary_of
from api.work.folder import ReviewFolder
from api.work.person import read_person
from api.work.pool import LocalPool, WorkerLost, clips_at_once, one_process
from api.work.produce import produce
from pose.errors import Cancelled, ClipError, InputError
from pose.video.source import StoredClip

_REPORT_EVERY_S = 0.3
# Fraction of the running time for the review, where a copy for the browser is made as well.
_REVIEW_FRACTION = 0.6


def run_job(data: Path, database: str, review_id: str) -> None:
    """Work on one queued review; the result goes to the store and the review folder."""
    store = Store(data, database)
    entry = store.claim(review_id)
    if entry is None:
        return
    try:
        store.finish(entry, _review(store, entry))
    except Cancelled:
        pass
    except InputError as error:
        store.fail(entry, str(error))
    except Exception as error:  # a review must end for the user, also on a fault of ours
        store.fail(entry, report_fault(error))
    if store.get(review_id) is None:  # deleted while we were writing
        shutil.rmtree(store.folder(review_id).path, ignore_errors=True)


def _review(store: Store, entry: Entry) -> ReviewSummary:
    from annotate import pipeline

    folder = store.folder(entry.id)
    clip = StoredClip(folder.clip, entry.name)
    report = _progress_reporter(store, entry)
    copied = not every_browser_plays(folder.clip)
    fraction = _REVIEW_FRACTION if copied else 1.0
    person = folder.person()
    take = pipeline.read_take(
        clip,
        folder.captions,
        person=None if person is None else read_person(person),
        progress=lambda stage, done: report(stage, fraction * done),
    )
    review = pipeline.review_take(take, folder.plan(), notes=_notes(folder))
    if copied:
        # Without the copy the review is still complete; some browsers just show no picture.
        with suppress(ClipError, FFmpegError, OSError):
            write_preview(
                folder.clip, folder.preview_to_make, review.clip.duration_s,
                lambda done: report(
                    "making a copy for the browser", fraction + (1 - fraction) * done
                ),
            )  # fmt: skip
    if not store.report_progress(entry, "writing the review", 1.0):
        raise Cancelled
    return summary_of(produce(folder, review, track=take.track, clip=clip).review)


def _notes(folder: ReviewFolder) -> tuple[Note, ...]:
    """Notes of a review made of this clip before; they are about the clip, not a person."""
    try:
        return folder.review().notes if folder.review_file.exists() else ()
    except InputError:
        return ()


def _progress_reporter(store: Store, entry: Entry) -> Callable[[str, float], None]:
    """A function that writes progress to the store, not more often than the page shows it."""
    last = -_REPORT_EVERY_S
    began = time.monotonic()

    def report(stage: str, fraction: float) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last < _REPORT_EVERY_S:
            return
        last = now
        if now - began > MAX_WORK_S:
            raise ClipError(f"{entry.name}: took longer than 6 hours; cut the clip in two")
        if not store.report_progress(entry, stage, min(max(fraction, 0.0), 1.0)):
            raise Cancelled

    return report


class JobQueue:
    """Feeds the store's waiting reviews to a worker pool, one review each at a time.

    Every worker uses all cores, so running workers share them evenly, and a short clip does not
    wait for a long one to end. A worker that dies takes only its own review with it.
    """

    def __init__(
        self,
        store: Store,
        make_worker: Callable[[], Executor] = one_process,
        at_once: int | None = None,
    ) -> None:
        self._store = store
        # The store counts the tries: the count must survive a restart of the program.
        self._pool = LocalPool(at_once or clips_at_once(), make_worker)
        self._closing = threading.Event()

    def start(self) -> None:
        """Queue what was waiting or running when the program last ended."""
        self._store.tidy()
        self._store.requeue_running()
        for review_id in self._store.queued():
            self.submit(review_id)

    def submit(self, review_id: str) -> None:
        """Queue the job of a waiting review."""
        job = self._pool.submit(run_job, self._store.data, self._store.database, review_id)
        job.add_done_callback(partial(self._job_ended, review_id))

    def close(self) -> None:
        """Stop; running reviews go back into the queue for the next start."""
        self._closing.set()
        for entry in self._store.all():
            if entry.state == "running":
                self._store.release(entry.id)
        self._pool.close()

    def _job_ended(self, review_id: str, done: Future[None]) -> None:
        """Queue a review again whose worker died."""
        if self._closing.is_set() or not isinstance(done.exception(), WorkerLost):
            return
        self._store.requeue_running(review_id)
        if review_id in self._store.queued():
            self.submit(review_id)
