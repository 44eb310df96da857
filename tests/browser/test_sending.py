"""Before a clip is sent: the plan while it is typed, the clip as it is dropped."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.api.old_camera import DEMO

pytestmark = pytest.mark.slow


class TestBeforeSending:
    def test_a_mistake_in_the_plan_is_told_while_typing(self, page: Page) -> None:
        page.goto("/")
        page.set_input_files("#clip", DEMO)
        page.fill("#plan-text", "blocks:\n  - {name: A, wrok: 3}\n")
        expect(page.locator("#plan")).to_contain_text('unknown key "wrok"; did you mean "work"?')
        expect(page.locator("#go")).to_be_disabled()
        page.fill("#plan-text", "blocks:\n  - {name: A, work: 30, rounds: 4}\n")
        expect(page.locator("#unrolled")).to_contain_text("2:00 in 4 periods")
        expect(page.locator("#go")).to_be_enabled()

    def test_blocks_can_be_put_together(self, page: Page) -> None:
        page.goto("/")
        for name in ("Warm-up", "Exercise", "Left and right", "Circuit", "Break", "Cool-down"):
            page.get_by_role("button", name=f"+ {name}").click()
        expect(page.locator("#unrolled")).to_contain_text("21:40 in")

    def test_a_clip_can_be_dropped(self, page: Page) -> None:
        page.goto("/")
        page.evaluate(
            """() => {
              const data = new DataTransfer();
              data.items.add(new File(["x"], "take <2>.mp4"));
              const drop = new DragEvent("drop", {dataTransfer: data, bubbles: true});
              document.getElementById("drop").dispatchEvent(drop);
            }"""
        )
        expect(page.locator("#chosen")).to_contain_text("take <2>.mp4")
        page.click("#go")
        expect(page.locator("#told")).to_contain_text("not a video that can be opened")
