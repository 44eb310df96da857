"""Every page at a desk and on a phone: it fits, and has no serious barrier."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has none
from playwright.sync_api import Browser, expect

from tests.browser.acts import PLAN, opened

pytestmark = pytest.mark.slow

PLACES = ("/", "{review}", "{review}/script", "/takes?first={id}&second={id}")


class TestEverybody:
    @pytest.mark.parametrize("width", [1280, 390])
    @pytest.mark.parametrize("place", PLACES)
    def test_every_page_fits_and_has_no_serious_barrier(
        self, browser: Browser, url: str, review_path: str, place: str, width: int
    ) -> None:
        page = browser.new_page(viewport={"width": width, "height": 844}, base_url=url)
        page.goto(place.format(review=review_path, id=review_path.rsplit("/", 1)[1]))
        page.wait_for_load_state("networkidle")
        if place == "/":
            page.fill("#plan-text", PLAN)
            expect(page.locator("#unrolled")).to_be_visible()
        if place == "{review}":
            page.locator("[data-key=bar-3]").click()
            page.locator("#drift summary").click()
            page.locator("#plan-part summary").click()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = Axe().run(page).response["violations"]
        serious = [v for v in found if v["impact"] in ("serious", "critical")]
        assert [(v["id"], v["nodes"][0]["html"]) for v in serious] == []
        expect(page.locator("footer")).to_contain_text("see a doctor first")
        page.close()

    def test_a_phone_corrects_by_touch(self, browser: Browser, url: str, review_path: str) -> None:
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, base_url=url, has_touch=True, is_mobile=True
        )
        page = opened(context.new_page(), review_path)
        page.locator("[data-key=bar-3]").tap()
        page.fill("#edit-end", "0:54")
        page.locator("#edit-end").blur()
        expect(page.locator("#edit-count")).to_have_text("1 correction by hand")
        page.get_by_role("button", name="Undo").tap()
        expect(page.locator("#edit-count")).to_have_text("No corrections")
        context.close()
