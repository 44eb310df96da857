"""A review is looked at: what differed, stills, overlay, keyboard, two takes."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, FilePayload, Page, expect

from tests.api.old_camera import DEMO, write_old_avi
from tests.browser.acts import PLAN, opened, time_of, until
from tests.known import known

pytestmark = pytest.mark.slow


class TestLooking:
    def test_tells_what_differed_and_goes_there(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        expect(page.locator("#looks")).to_contain_text("Hip hinge, round 3: left out")
        page.locator("#looks [data-kind=short]").click()
        assert time_of(page) == pytest.approx(39, abs=1.5)
        expect(page.locator("#chosen")).to_contain_text("squat, work")
        look = page.locator("#looks [data-kind=look]").first
        look.click()
        expect(page.locator(".looping")).to_contain_text("Looping 2:1")
        until(page, "document.getElementById('video').currentTime > 132")

    def test_shows_stills_and_the_overlay(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        image = page.locator("#stills img").first
        image.scroll_into_view_if_needed()
        until(page, "document.querySelector('#stills img').naturalWidth > 0")
        page.evaluate("document.getElementById('video').currentTime = 136")
        page.check("#skeleton")
        page.check("#back")
        until(
            page,
            """() => {
              const canvas = document.querySelector(".picture canvas");
              const {width, height} = canvas;
              const pixels = canvas.getContext("2d").getImageData(0, 0, width, height).data;
              let drawn = 0;
              for (let i = 3; i < pixels.length; i += 4) drawn += pixels[i] > 200;
              return drawn > 500;
            }""",
        )

    def test_is_worked_with_the_keyboard_alone(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        page.locator("[data-key=bar-0]").focus()
        page.keyboard.press("ArrowDown")
        expect(page.locator("[data-key=bar-1]")).to_be_focused()
        page.keyboard.press("ArrowDown")
        expect(page.locator("[data-key=bar-2]")).to_be_focused()
        before = time_of(page)
        page.keyboard.press("Shift+ArrowRight")
        assert time_of(page) == pytest.approx(before + 5, abs=0.2)
        page.keyboard.press(" ")
        until(page, "!document.getElementById('video').paused")
        page.keyboard.press(" ")
        page.keyboard.press("l")
        expect(page.locator(".looping")).to_be_visible()
        wide = known(page.locator(".field").bounding_box())
        page.keyboard.press("+")
        assert known(page.locator(".field").bounding_box())["width"] > wide["width"]

    def test_a_clip_no_browser_plays_is_shown_all_the_same(
        self, page: Page, tmp_path: Path, review_path: str
    ) -> None:
        write_old_avi(tmp_path / "old.avi")
        page.goto("/")
        page.set_input_files("#clip", tmp_path / "old.avi")
        page.click("#go")
        page.wait_for_url("**/reviews/*")
        expect(page.locator("#table table")).to_be_visible(timeout=60_000)
        until(page, "document.getElementById('video').readyState >= 1")
        assert page.evaluate("document.getElementById('video').duration") > 1.8
        page.request.delete(f"/api{page.url.removeprefix(page.url.split('/reviews')[0])}")

    def test_two_takes_stand_side_by_side(
        self, page: Page, browser: Browser, review_path: str, url: str
    ) -> None:
        files: dict[str, str | float | bool | bytes | FilePayload] = {
            "clip": {"name": "take 2.mp4", "mimeType": "video/mp4",
                     "buffer": DEMO.read_bytes()},
            "plan": {"name": "p.yaml", "mimeType": "text/plain", "buffer": PLAN.encode()},
        }  # fmt: skip
        second = page.request.post("/api/reviews", multipart=files).json()["id"]
        page.goto("/")
        expect(page.locator("article").first).to_contain_text("as planned", timeout=60_000)
        opened(page, review_path, {"do": "count", "at_s": 45, "reps": 7})
        page.goto("/")
        page.get_by_role("link", name="Compare with the take before").click()
        expect(page.locator("h1")).to_contain_text("two takes")
        expect(page.locator("#takes")).to_contain_text("Take 1 is closer")
        page.goto("/")
        page.locator("article", has_text="take 2.mp4").get_by_role("button", name="Delete").click()
        page.get_by_role("dialog").get_by_role("button", name="Delete").click()
        expect(page.locator("article")).to_have_count(1)
        assert page.request.get(f"/api/reviews/{second}").status == 404
