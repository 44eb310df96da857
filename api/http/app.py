"""The HTTP service: a page for people, an API for programs, over one data folder."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from concurrent.futures import Executor
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool

from api.http.host_guard import HostGuard
from api.http.limits import BodyLimit
from api.http.openapi import describe
from api.http.problems import add_problem_handlers
from api.http.queue import JobQueue
from api.http.routes import corrections, pages, people, plans, results, reviews
from api.http.store import Store
from api.http.token_guard import TokenGuard
from api.work.pool import one_process


def create_app(
    data: Path,
    *,
    host: str = "127.0.0.1",
    token: str | None = None,
    database: str | None = None,
    make_executor: Callable[[], Executor] = one_process,
) -> FastAPI:
    """The application over one data folder.

    Parameters
    ----------
    host : str
        Address it listens on; requests addressed to other hosts are refused.
    token : str or None
        Needed for every request, where given.
    database : str or None
        A SQLAlchemy URL; by default a file in the data folder.
    """
    store = Store(data, database)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        queue = JobQueue(store, make_executor)
        await run_in_threadpool(queue.start)
        app.state.queue = queue
        yield
        app.state.closing = True
        await run_in_threadpool(queue.close)

    app = FastAPI(
        title="takeproof",
        summary="Proof-reads a filmed rehearsal of an interval class against the class plan.",
        version="1",
        openapi_url="/api/openapi.json",
        docs_url=None,  # the framework's pages load scripts from elsewhere
        redoc_url=None,
        lifespan=lifespan,
    )
    app.state.store, app.state.token, app.state.closing = store, token, False
    # The last one added runs first.
    app.add_middleware(BodyLimit)
    app.add_middleware(TokenGuard, token=token)
    app.add_middleware(HostGuard, bound_to=host)
    add_problem_handlers(app)
    for routes in (reviews, results, people, corrections, plans, pages):
        app.include_router(routes.router)
    app.openapi = lambda: describe(app)  # type: ignore[method-assign]
    return app
