"""The queue: reviews waiting in the store, worked on in the background, a few at once."""

from __future__ import annotations

import shutil
import threading
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from av import FFmpegError

from api.faults import tell_fault
from api.http.limits import LONGEST_WORK_S
from api.http.preview import every_browser_plays, write_preview
from api.http.store import Entry, Outcome, Store
from api.http.summary import outcome_of
from api.work.folder import CLIP, PREVIEW, captions_of, keep_track, named_as_sent, plan_of
from api.work.pool import clips_at_once, one_process
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
    from annotate.script.build import make_script
    from api.work.output import write_review

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


@dataclass(eq=False)
class _Lane:
    """A worker, and whether it is at something."""

    executor: Executor
    busy: bool = False


class JobQueue:
    """Feeds the store's waiting reviews to workers, one review each at a time.

    Every worker uses all cores, so those at work share them evenly, and a short clip does not
    wait for a long one to end. A worker that dies takes only its own review with it.
    """

    def __init__(
        self,
        store: Store,
        make_executor: Callable[[], Executor] = one_process,
        at_once: int | None = None,
    ) -> None:
        self._store = store
        self._make_executor = make_executor
        self._lanes = [_Lane(make_executor()) for _ in range(at_once or clips_at_once())]
        self._waiting: deque[str] = deque()
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
            self._waiting.append(review_id)
        self._go_on()

    def close(self) -> None:
        """Stop; what is under way goes back into the queue for the next start."""
        with self._lock:
            self._closing = True
        for entry in self._store.all():
            if entry.state == "running":
                self._store.release(entry.id)
        for lane in self._lanes:
            lane.executor.shutdown(wait=True, cancel_futures=True)

    def _go_on(self) -> None:
        """Give every idle worker the next review."""
        begun = []
        with self._lock:
            for lane in self._lanes:
                if lane.busy or not self._waiting or self._closing:
                    continue
                review_id = self._waiting.popleft()
                job = partial(run_job, self._store.data, self._store.database, review_id)
                try:
                    future = lane.executor.submit(job)
                except BrokenExecutor:  # while it had nothing to do
                    self._replace(lane)
                    future = lane.executor.submit(job)
                lane.busy = True
                begun.append((future, lane, review_id))
        # Outside the lock: a job that has already ended calls back at once.
        for future, lane, review_id in begun:
            future.add_done_callback(partial(self._after, lane, review_id))

    def _after(self, lane: _Lane, review_id: str, done: Future[None]) -> None:
        """Free the worker; when it died under the job, put the job back and have a new one."""
        died = not done.cancelled() and isinstance(done.exception(), BrokenExecutor)
        with self._lock:
            lane.busy = False
            if self._closing:
                return
            if died:
                self._replace(lane)
                self._store.requeue_running(review_id)
        if died and review_id in self._store.queued():
            self.submit(review_id)
        else:
            self._go_on()

    def _replace(self, lane: _Lane) -> None:
        lane.executor.shutdown(wait=False)
        lane.executor = self._make_executor()
