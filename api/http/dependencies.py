"""What the application gives its routes: the store and the queue."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from api.http.queue import JobQueue
from api.http.store import Store


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _queue(request: Request) -> JobQueue:
    queue: JobQueue = request.app.state.queue
    return queue


StoreOf = Annotated[Store, Depends(_store)]
QueueOf = Annotated[JobQueue, Depends(_queue)]
