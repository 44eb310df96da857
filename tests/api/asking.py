"""Requests to the HTTP service in tests."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
from fastapi.testclient import TestClient

CLIP = ("take.mp4", b"moving pictures", "video/mp4")


def one_thread() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(1)


def ask(client: TestClient, **files: Any) -> httpx.Response:
    answer: httpx.Response = client.post("/api/reviews", files={"clip": CLIP, **files})
    return answer


def ended(client: TestClient, review_id: str) -> dict[str, Any]:
    for _ in range(500):
        status: dict[str, Any] = client.get(f"/api/reviews/{review_id}").json()
        if status["state"] in ("done", "failed"):
            return status
        time.sleep(0.02)
    raise AssertionError("the review never ended")


def problem(response: httpx.Response, status: int) -> str:
    """The one line of a problem."""
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/problem+json"
    body = response.json()
    assert body["status"] == status and body["title"]
    detail: str = body["detail"]
    assert "\n" not in detail
    return detail
