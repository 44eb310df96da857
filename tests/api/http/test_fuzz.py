"""The service fuzzed against its own OpenAPI description: no answer is a fault of ours."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
import schemathesis
import uvicorn
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from api.http.app import create_app
from tests.api.asking import one_thread
from tests.api.conftest import PLAN

pytestmark = pytest.mark.slow

CHECKS = (
    not_a_server_error, content_type_conformance, response_schema_conformance,
    status_code_conformance,
)  # fmt: skip
EXAMPLES = 12


class _Fuzzed:
    """The server under test and the one review it holds."""

    url = ""
    review_id = ""


@pytest.fixture
def api(tmp_path: Path, squats_analysed: None) -> Iterator[Any]:
    app = create_app(tmp_path / "data", make_executor=one_thread)
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error"))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            assert thread.is_alive()
        port = server.servers[0].sockets[0].getsockname()[1]
        _Fuzzed.url = f"http://127.0.0.1:{port}"
        _a_review()
        yield schemathesis.openapi.from_url(f"{_Fuzzed.url}/api/openapi.json")
    finally:
        server.should_exit = True
        thread.join()


def _a_review() -> None:
    files: dict[str, tuple[str, bytes | str]] = {
        "clip": ("take.mp4", b"x"),
        "plan": ("p.yaml", PLAN),
    }
    _Fuzzed.review_id = httpx.post(f"{_Fuzzed.url}/api/reviews", files=files).json()["id"]
    at = f"{_Fuzzed.url}/api/reviews/{_Fuzzed.review_id}"
    while httpx.get(at).json()["state"] not in ("done", "failed"):
        pass


def test_no_answer_is_a_fault_and_all_are_as_described(api: Any) -> None:
    count = 0
    for found in api.get_all_operations():
        operation = found.ok()

        @settings(
            max_examples=EXAMPLES,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def fuzz(case: schemathesis.Case[Any]) -> None:
            # Made-up ids lead nowhere: mostly the review that is there is asked for.
            if "review_id" in (case.path_parameters or {}) and case.method != "DELETE":
                case.path_parameters["review_id"] = _Fuzzed.review_id
            case.call_and_validate(checks=list(CHECKS))

        fuzz()
        count += 1
    assert count >= 20
