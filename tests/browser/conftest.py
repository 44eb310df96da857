"""The page in Debian's Chromium, and one reviewed class to look at."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.api.old_camera import DEMO
from tests.api.served import served
from tests.browser.acts import PLAN

CHROMIUM = shutil.which("chromium")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
# The first review on a machine looks at every picture; later ones find the track in the cache.
FIRST_REVIEW_MS = 300_000


@pytest.fixture(scope="package")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("data")) as server:
        yield server.url


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("needs Debian's chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="package")
def review_path(browser: Browser, url: str) -> str:
    """The demo class, sent through the page and reviewed."""
    page = browser.new_page()
    page.goto(url)
    page.set_input_files("#clip", DEMO)
    page.fill("#plan-text", PLAN)
    expect(page.locator("#unrolled")).to_contain_text("3:57")
    page.click("#go")
    page.wait_for_url("**/reviews/*")
    expect(page.locator("#verdict")).to_contain_text("periods as planned", timeout=FIRST_REVIEW_MS)
    path = page.url.removeprefix(url)
    page.close()
    return path


@pytest.fixture
def page(browser: Browser, url: str) -> Iterator[Page]:
    """A fresh page at the width of a desk, that may complain of nothing and ask nobody else."""
    page = browser.new_page(viewport={"width": 1280, "height": 900}, base_url=url)
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    strangers: list[str] = []
    page.on("request", lambda r: strangers.append(r.url) if not _own(r.url, url) else None)
    yield page
    page.close()
    assert strangers == []
    # A refused plan or correction is answered with 422, which the console notes.
    assert [c for c in complaints if "422" not in c] == []


def _own(address: str, url: str) -> bool:
    return address.startswith((url, f"blob:{url}"))
