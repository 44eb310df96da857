"""A review is corrected, noted, exported, and is the same after a reload."""

from __future__ import annotations

import pytest
from playwright.sync_api import Download, Locator, Page, TimeoutError, expect

from tests.browser.acts import PLAN, opened, script_of
from tests.known import known

pytestmark = pytest.mark.slow


def downloaded(page: Page, button: Locator) -> Download:
    """The file a button gives; on a machine with more work than cores Chromium now and then drops
    a download, and a person would press again."""
    for last in (False, False, True):
        try:
            with page.expect_download(timeout=15_000) as download:
                button.click()
            return download.value
        except TimeoutError:
            if last:
                raise
    raise AssertionError


class TestCorrecting:
    def test_a_dragged_boundary_changes_table_and_script_and_can_be_undone(
        self, page: Page, review_path: str
    ) -> None:
        opened(page, review_path)
        script = script_of(page, review_path)
        page.locator("[data-key=bar-3]").click()
        page.get_by_role("button", name="Zoom in").click()
        edge = page.locator("[data-edge='4']")
        edge.scroll_into_view_if_needed()
        box = known(edge.bounding_box())
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 12, y, steps=4)
        page.mouse.move(x + 25, y, steps=4)
        page.mouse.up()
        expect(page.locator("#edit-count")).to_have_text("1 correction by hand")
        row = page.locator("#table tr", has_text="Round 2: 0:15, 7 reps")
        expect(row).not_to_contain_text("5 s too short")
        assert script_of(page, review_path) != script
        page.get_by_role("button", name="Undo").click()
        expect(row).to_contain_text("5 s too short")
        assert script_of(page, review_path) == script
        page.get_by_role("button", name="Redo").click()
        expect(page.locator("#edit-count")).to_have_text("1 correction by hand")
        page.get_by_role("button", name="Back to the analysis").click()
        expect(page.locator("#edit-count")).to_have_text("No corrections")
        assert script_of(page, review_path) == script

    def test_every_other_correction(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        bars = page.locator(".delivered .bar")
        count = bars.count()
        told = page.locator("#edit-count")
        page.locator("[data-key=bar-1]").click()
        page.fill("#edit-reps", "9")
        page.get_by_role("button", name="Set the count").click()
        expect(told).to_have_text("1 correction by hand")
        expect(page.locator("#table")).to_contain_text("9 instead of 7")
        page.evaluate("document.getElementById('video').currentTime = 24")
        page.get_by_role("button", name="Split at the playing position").click()
        expect(told).to_have_text("2 corrections by hand")
        page.get_by_role("button", name="Join with the next").click()
        expect(told).to_have_text("3 corrections by hand")
        page.select_option("#edit-kind", "recovery")
        expect(told).to_have_text("4 corrections by hand")
        page.select_option("#edit-movement", "jumping-jack")
        expect(told).to_have_text("5 corrections by hand")
        page.fill("#edit-end", "0:30.0")
        page.locator("#edit-end").blur()
        expect(told).to_have_text("6 corrections by hand")
        page.get_by_role("button", name="Not a period: delete").click()
        expect(told).to_have_text("7 corrections by hand")
        expect(bars).to_have_count(count - 1)
        page.get_by_role("button", name="Back to the analysis").click()
        expect(told).to_have_text("No corrections")
        expect(bars).to_have_count(count)

    def test_exports_come_as_files_with_rate_and_start(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        page.select_option("#rate", "25")
        page.fill("#start", "01:00:00:00")
        buttons = page.locator("#exports button[data-file]")
        names = set()
        for i in range(buttons.count()):
            download = downloaded(page, buttons.nth(i))
            names.add(download.suggested_filename)
            text = download.path().read_text(encoding="utf-8")
            assert text
            if download.suggested_filename.endswith(".edl"):
                assert "01:00:00:00" in text
        assert len(names) == buttons.count() == 13
        assert {"harbour.edl", "harbour.otio", "harbour.script.md", "review.json"} <= names
        page.select_option("#rate", "29.97df")
        page.fill("#start", "01:00:99:00")
        page.locator("[data-file=edl]").click()
        expect(page.locator("#exports [role=status]")).to_have_class("wrong")

    def test_notes_and_corrections_are_still_there_after_a_reload(
        self, page: Page, review_path: str
    ) -> None:
        opened(page, review_path)
        page.evaluate("document.getElementById('video').currentTime = 60")
        expect(page.locator("#note-add")).to_have_text("Add at 1:00")
        page.fill("#note-tag", "music")
        page.fill("#note-text", "Fade <b>earlier</b>")
        page.click("#note-add")
        expect(page.locator(".notes")).to_contain_text("Fade <b>earlier</b>")
        page.locator("[data-key=bar-3]").click()
        page.fill("#edit-reps", "7")
        page.get_by_role("button", name="Set the count").click()
        expect(page.locator("#edit-count")).to_have_text("1 correction by hand")
        page.reload()
        expect(page.locator("#edit-count")).to_have_text("1 correction by hand")
        expect(page.locator(".notes")).to_contain_text("1:00musicFade <b>earlier</b>")
        page.get_by_role("link", name="The whole script, to print").click()
        expect(page.locator("#script")).to_contain_text("music: Fade <b>earlier</b>")
        page.go_back()
        page.get_by_role("button", name="Delete the note at 1:00").click()
        expect(page.locator(".notes li")).to_have_count(0)

    def test_another_plan_is_held_against_the_same_clip(self, page: Page, review_path: str) -> None:
        opened(page, review_path)
        page.locator("#plan-part summary").click()
        expect(page.locator("#plan-text")).to_have_value(PLAN)
        page.fill("#plan-text", PLAN.replace("work: 15", "work: 10", 1))
        page.click("#plan-go")
        expect(page.locator("#table")).to_contain_text("Round 1: 0:10, 7 reps")
        page.fill("#plan-text", PLAN)
        page.click("#plan-go")
        expect(page.locator("#table")).to_contain_text("Round 1: 0:15, 7 reps")
