"""The queue and the store: nothing is lost or done twice."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest

from api.http.queue import JobQueue
from api.http.store import MAX_TRIES, Entry, ReviewSummary, Store
from api.work.pool import one_process


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = Store(tmp_path)
    for review_id in ("a", "b"):
        store.folder(review_id).path.mkdir()
        store.folder(review_id).clip.write_bytes(b"no video")
        store.add(review_id, f"take {review_id}.mp4")
    return store


def entry(store: Store, review_id: str) -> Entry:
    found = store.get(review_id)
    assert found is not None
    return found


def until_ended(store: Store, *ids: str, seconds: float = 30) -> None:
    end = time.monotonic() + seconds
    while any(entry(store, i).state not in ("done", "failed") for i in ids):
        assert time.monotonic() < end, "the jobs never ended"
        time.sleep(0.02)


DONE = ReviewSummary("0" * 64, "Harbour", "all as planned", None)


class DyingExecutor(Executor):
    """A worker process that dies under every job after taking it up."""

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        data, database, review_id = args
        Store(data, database).claim(review_id)
        future: Future[Any] = Future()
        future.set_exception(BrokenProcessPool())
        return future


def two_at_once(
    store: Store, work: Callable[[str], None], monkeypatch: pytest.MonkeyPatch
) -> JobQueue:
    """A queue under way whose two workers do this for the reviews they claim."""

    def run_job(data: Path, database: str, review_id: str) -> None:
        own = Store(data, database)
        claimed = own.claim(review_id)
        assert claimed is not None
        work(review_id)
        own.finish(claimed, DONE)

    monkeypatch.setattr("api.http.queue.run_job", run_job)
    queue = JobQueue(store, lambda: ThreadPoolExecutor(1), at_once=2)
    queue.start()
    return queue


class TestStore:
    def test_a_job_is_claimed_once(self, store: Store) -> None:
        assert store.claim("a") is not None
        assert store.claim("a") is None

    def test_a_worker_from_before_a_restart_has_lost_its_claim(self, store: Store) -> None:
        old = store.claim("a")
        store.requeue_running()
        new = store.claim("a")
        assert old is not None and new is not None
        assert not store.report_progress(old, "Finding the body", 0.5)
        assert not store.finish(old, DONE)
        assert store.finish(new, DONE)

    def test_deleting_takes_files_and_claim(self, store: Store) -> None:
        claimed = store.claim("a")
        assert claimed is not None and store.remove("a")
        assert not store.folder("a").path.exists()
        assert not store.fail(claimed, "late")
        assert not store.remove("a")

    def test_the_newest_is_listed_first_and_the_oldest_waits_least(self, store: Store) -> None:
        assert [e.id for e in store.all()] == ["b", "a"]
        assert store.queued() == ["a", "b"]

    def test_the_table_may_be_in_another_database(self, tmp_path: Path) -> None:
        url = f"sqlite:///{tmp_path / 'elsewhere.db'}"
        store = Store(tmp_path / "data", url)
        store.folder("c").path.mkdir()
        store.add("c", "take.mp4")
        assert Store(tmp_path / "data", url).queued() == ["c"]
        assert not (tmp_path / "data" / "takeproof.db").exists()


class TestQueue:
    @pytest.mark.usefixtures("no_video")
    def test_what_ran_at_a_crash_is_done_after_the_restart(self, store: Store) -> None:
        store.claim("a")  # and the program dies here
        queue = JobQueue(Store(store.data), lambda: ThreadPoolExecutor(1))
        queue.start()
        until_ended(store, "a", "b")
        queue.close()
        assert [entry(store, i).state for i in "ab"] == ["done", "done"]
        assert store.folder("a").review_file.exists()

    def test_stopping_puts_the_job_back_without_counting_it(self, store: Store) -> None:
        store.claim("a")
        JobQueue(store, lambda: ThreadPoolExecutor(1)).close()
        assert (entry(store, "a").state, entry(store, "a").tries) == ("queued", 0)

    def test_a_clip_that_kills_the_worker_is_given_up_after_some_tries(self, store: Store) -> None:
        made: list[Executor] = []

        def make() -> Executor:
            made.append(DyingExecutor())
            return made[-1]

        JobQueue(store, make, at_once=1).start()
        until_ended(store, "a", "b", seconds=5)
        assert entry(store, "a").attempt == MAX_TRIES
        assert "fault of ours" in str(entry(store, "a").error)
        assert len(made) == 2 * MAX_TRIES + 1

    def test_a_short_clip_does_not_wait_for_a_long_one(
        self, store: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        long_began, long_may_end = threading.Event(), threading.Event()

        def work(review_id: str) -> None:
            if review_id == "a":
                long_began.set()
                assert long_may_end.wait(10)

        queue = two_at_once(store, work, monkeypatch)
        until_ended(store, "b", seconds=5)
        assert long_began.wait(5) and entry(store, "a").state == "running"
        long_may_end.set()
        until_ended(store, "a", seconds=5)
        queue.close()

    def test_a_worker_that_dies_takes_only_its_own_review_with_it(
        self, store: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        other_may_end = threading.Event()

        def work(review_id: str) -> None:
            if review_id == "a":
                raise BrokenProcessPool
            assert other_may_end.wait(10)

        queue = two_at_once(store, work, monkeypatch)
        until_ended(store, "a", seconds=5)
        assert (entry(store, "a").state, entry(store, "a").tries) == ("failed", MAX_TRIES)
        other_may_end.set()
        until_ended(store, "b", seconds=5)
        assert (entry(store, "b").state, entry(store, "b").tries) == ("done", 1)
        queue.close()

    @pytest.mark.slow
    def test_the_worker_process_does_the_work_and_names_the_clip_as_sent(
        self, store: Store
    ) -> None:
        queue = JobQueue(store, one_process)
        queue.start()
        until_ended(store, "a", "b")
        queue.close()
        error = str(entry(store, "b").error)
        assert error.startswith("take b.mp4: ") and str(store.data) not in error
