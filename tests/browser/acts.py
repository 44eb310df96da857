"""What the tests do with a page again and again."""

from __future__ import annotations

import time

from playwright.sync_api import Page, expect

from tests.api.old_camera import DEMO

PLAN = DEMO.with_name("harbour.plan.yaml").read_text(encoding="utf-8")


def opened(page: Page, path: str, *edits: dict[str, object]) -> Page:
    """The review with these corrections and no others."""
    page.request.patch(f"/api{path}/periods", data={"edits": list(edits)})
    page.goto(path)
    expect(page.locator("#table table")).to_be_visible()
    until(page, "document.getElementById('video').readyState >= 1")
    return page


def until(page: Page, script: str, seconds: float = 10) -> None:
    """Wait for a script to be true; the browser's own way needs eval, which the page forbids."""
    end = time.monotonic() + seconds
    while not page.evaluate(script):
        assert time.monotonic() < end, script
        page.wait_for_timeout(100)


def time_of(page: Page) -> float:
    value: float = page.evaluate("document.getElementById('video').currentTime")
    return value


def script_of(page: Page, path: str) -> str:
    script: str = page.request.get(f"/api{path}/script").text()
    return script
