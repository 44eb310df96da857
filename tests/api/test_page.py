"""The page in a real browser: upload, look, correct, note, export, come back; also on a phone."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.api.old_camera import write_old_avi
from tests.api.served import served

CHROMIUM = shutil.which("chromium")
DEMO = Path(__file__).parents[2] / "clips" / "demo"
PLAN = (DEMO / "harbour.plan.yaml").read_text(encoding="utf-8")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
# The first review on a machine looks at every picture; later ones find the track in the cache.
FIRST_REVIEW_MS = 300_000

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium")


@pytest.fixture(scope="module")
def url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("data")) as server:
        yield server.url


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def review_path(browser: Browser, url: str) -> str:
    """The demo class, sent through the page and reviewed."""
    page = browser.new_page()
    page.goto(url)
    page.set_input_files("#clip", DEMO / "harbour.mp4")
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


class TestBeforeSending:
    def test_a_mistake_in_the_plan_is_told_while_typing(self, page: Page) -> None:
        page.goto("/")
        page.set_input_files("#clip", DEMO / "harbour.mp4")
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


class TestReview:
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
        wide = page.locator(".field").bounding_box()
        page.keyboard.press("+")
        assert page.locator(".field").bounding_box()["width"] > wide["width"]

    def test_a_dragged_boundary_changes_table_and_script_and_can_be_undone(
        self, page: Page, review_path: str
    ) -> None:
        opened(page, review_path)
        script = script_of(page, review_path)
        page.locator("[data-key=bar-3]").click()
        page.get_by_role("button", name="Zoom in").click()
        edge = page.locator("[data-edge='4']")
        edge.scroll_into_view_if_needed()
        box = edge.bounding_box()
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
            with page.expect_download() as download:
                buttons.nth(i).click()
            names.add(download.value.suggested_filename)
            text = download.value.path().read_text(encoding="utf-8")
            assert text
            if download.value.suggested_filename.endswith(".edl"):
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
        files = {
            "clip": {"name": "take 2.mp4", "mimeType": "video/mp4",
                     "buffer": (DEMO / "harbour.mp4").read_bytes()},
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
