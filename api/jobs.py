"""The queue: reviews waiting in the store, worked on one at a time in the background."""

from __future__ import annotations

import multiprocessing
import shutil
import threading
import time
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from contextlib import suppress
from pathlib import Path

from av import FFmpegError

from api.executors import stay_with_parent
from api.faults import tell_fault
from api.limits import LONGEST_WORK_S
from api.outcome import outcome_of
from api.preview import every_browser_plays, write_preview
from api.store import Entry, Outcome, Store
from api.workroom import CLIP, PREVIEW, captions_of, keep_track, named_as_sent, plan_of
from pose.errors import Cancelled, ClipError, InputError

_TELL_EVERY_S = 0.3
# Of the running time, where a copy for the browser is made as well.
_REVIEW_SHARE = 0.6


def run_job(data: Path, database: str, review_id: str) -> None:
    """Work on one queued review; what comes of it is in the store and its folder."""
    store = Store(data, database)
    entry = store.claim(review_id)
    if entry is None:
        return
    try:
        store.finish(entry, _review(store, entry))
    except Cancelled:
        pass
    except InputError as error:
        store.fail(entry, str(error).replace(str(store.folder(review_id) / CLIP), entry.name))
    except Exception as error:  # the user must see an end, whatever happened
        store.fail(entry, tell_fault(error))
    if store.get(review_id) is None:  # deleted while we wrote
        shutil.rmtree(store.folder(review_id), ignore_errors=True)


def _review(store: Store, entry: Entry) -> Outcome:
    from annotate import review_clip
    from annotate.script import make_script
    from api.output import write_review

    folder = store.folder(entry.id)
    tell = _teller(store, entry)
    copied = not every_browser_plays(folder / CLIP)
    share = _REVIEW_SHARE if copied else 1.0
    review = review_clip(
        folder / CLIP,
        plan_of(folder),
        captions_of(folder),
        progress=lambda stage, part: tell(stage, share * part),
        on_track=lambda track: keep_track(track, entry.name, folder),
    )
    review = named_as_sent(review, entry.name)
    if copied:
        # Without it the review is still whole; only its picture may not be seen.
        with suppress(ClipError, FFmpegError, OSError):
            write_preview(
                folder / CLIP, folder / PREVIEW, review.clip.duration_s,
                lambda part: tell("making a copy for the browser", share + (1 - share) * part),
            )  # fmt: skip
    if not store.tell(entry, "writing the review", 1.0):
        raise Cancelled
    write_review(review, make_script(review), folder)
    return outcome_of(review)


def _teller(store: Store, entry: Entry) -> Callable[[str, float], None]:
    """Pass progress on to the store, not more often than anyone looks."""
    last = -_TELL_EVERY_S
    began = time.monotonic()

    def tell(stage: str, fraction: float) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last < _TELL_EVERY_S:
            return
        last = now
        if now - began > LONGEST_WORK_S:
            raise ClipError(f"{entry.name}: took longer than 6 hours; cut the clip in two")
        if not store.tell(entry, stage, min(max(fraction, 0.0), 1.0)):
            raise Cancelled

    return tell


def one_process() -> Executor:
    """One worker process: the analysis neither holds up the HTTP door nor brings it down."""
    return ProcessPoolExecutor(
        1, mp_context=multiprocessing.get_context("spawn"), initializer=stay_with_parent
    )


class JobQueue:
    """Feeds the store's waiting reviews to an executor."""

    def __init__(self, store: Store, make_executor: Callable[[], Executor] = one_process) -> None:
        self._store = store
        self._make_executor = make_executor
        self._executor = make_executor()
        self._lock = threading.Lock()
        self._closing = False

    def start(self) -> None:
        """Take up what was waiting or under way when the program last ended."""
        self._store.tidy()
        self._store.requeue_running()
        for review_id in self._store.queued():
            self.submit(review_id)

    def submit(self, review_id: str) -> None:
        """Have a queued review worked on when its turn comes."""
        with self._lock:
            if self._closing:
                return
            executor = self._executor
            try:
                future = executor.submit(run_job, self._store.data, self._store.database, review_id)
            except BrokenExecutor:
                executor = self._replaced(executor)
                future = executor.submit(run_job, self._store.data, self._store.database, review_id)
        future.add_done_callback(lambda done: self._after(done, executor, review_id))

    def close(self) -> None:
        """Stop; what is under way goes back into the queue for the next start."""
        with self._lock:
            self._closing = True
        for entry in self._store.all():
            if entry.state == "running":
                self._store.release(entry.id)
        self._executor.shutdown(wait=True, cancel_futures=True)

    def _after(self, done: Future[None], executor: Executor, review_id: str) -> None:
        """When the worker died under a job, put the job back and go on with a new worker."""
        if done.cancelled() or not isinstance(done.exception(), BrokenExecutor):
            return
        with self._lock:
            if self._closing:
                return
            if executor is self._executor:  # the first of the broken batch to get here
                self._store.requeue_running()
                self._replaced(executor)
        if review_id in self._store.queued():
            self.submit(review_id)

    def _replaced(self, broken: Executor) -> Executor:
        if broken is self._executor:
            broken.shutdown(wait=False)
            self._executor = self._make_executor()
        return self._executor
