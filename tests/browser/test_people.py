"""Two people in the picture: the page shows both and reviews the other one on demand."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest
from playwright.sync_api import Page, Route, expect

from pose.video.decode import frames
from tests.made_clip import write_clip

pytestmark = pytest.mark.slow

SHORT = Path(__file__).parents[2] / "clips" / "short"
RATE_HZ, SECONDS = 10, 4


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two figures beside each other: squats from the front, jacks from the front."""
    films = [
        list(frames(SHORT / f"{name}.mp4", sample_rate_hz=RATE_HZ, end_s=SECONDS))
        for name in ("squat-front", "jack-front")
    ]
    pictures = [
        np.concatenate([a.rgb[:, 160:480], b.rgb[:, 160:480]], axis=1)
        for a, b in zip(*films, strict=False)
    ]
    stamps_ms = [1000 * i // RATE_HZ for i in range(len(pictures))]
    path = tmp_path_factory.mktemp("two") / "two.mp4"
    return write_clip(path, stamps_ms, pictures=pictures, key_every=10)


def people(url: str, review_id: str) -> list[bool]:
    """Who is followed; nobody while the review is being made."""
    answer = httpx.get(f"{url}/api/reviews/{review_id}/people").json()
    return [person["followed"] for person in answer.get("people", ())]


@pytest.fixture
def review_id(url: str, two: Path) -> Iterator[str]:
    with two.open("rb") as clip:
        asked: str = httpx.post(f"{url}/api/reviews", files={"clip": clip}).json()["id"]
    yield asked
    # The service is shared with other tests, which look at all reviews there are.
    httpx.delete(f"{url}/api/reviews/{asked}")


def test_the_other_one_is_reviewed_on_demand(page: Page, url: str, review_id: str) -> None:
    page.goto(f"/reviews/{review_id}")
    button = page.get_by_role("button", name="2 people in the picture: review somebody else")
    button.wait_for(timeout=60_000)
    assert people(url, review_id) == [True, False]
    # With the keyboard alone, on a narrow screen.
    page.set_viewport_size({"width": 390, "height": 800})
    button.focus()
    page.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "true")
    expect(page.locator(".people .followed")).to_have_text("this review")
    other = page.get_by_role("button", name="Review person 2")
    box, picture = other.bounding_box(), page.locator("#screen .picture").bounding_box()
    assert box is not None and picture is not None
    assert picture["x"] <= box["x"] and box["x"] + box["width"] <= picture["x"] + picture["width"]
    other.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Review again", exact=True).click()
    # The page waits, then shows the new review.
    until = time.monotonic() + 60
    while people(url, review_id) != [False, True]:
        assert time.monotonic() < until
        time.sleep(0.3)
    expect(page.locator("#someone-else")).to_be_visible(timeout=60_000)


def person(followed: bool, *sightings: tuple[float, list[float]]) -> dict[str, Any]:
    seen = [{"time_s": time_s, "box": box} for time_s, box in sightings]
    return {"followed": followed, "presence": 0.5, "sightings": seen}


# Three at the start, among them a large one behind a small one whose box holds the middle of the
# large one's; later one more, who is never in a picture with the other two.
FOLLOWED = person(True, (0.0, [0.1, 0.3, 0.2, 0.9]), (3.0, [0.1, 0.3, 0.2, 0.9]))
LARGE = person(False, (0.0, [0.3, 0.05, 0.9, 0.95]))
SMALL = person(False, (0.0, [0.5, 0.4, 0.7, 0.9]))
LATER = person(False, (3.0, [0.6, 0.3, 0.7, 0.9]))


@pytest.fixture
def chosen(page: Page, url: str, review_id: str) -> list[dict[str, float]]:
    """The page of a film in which four people are said to be; what it asks for is kept."""
    asked: list[dict[str, float]] = []
    told = {"people": [FOLLOWED, SMALL, LARGE, LATER]}
    page.route("**/people", lambda route: route.fulfill(json=told))

    def keep(route: Route) -> None:
        asked.append(json.loads(route.request.post_data or ""))
        route.fulfill(status=202, json={})

    page.route("**/person", keep)
    page.goto(f"/reviews/{review_id}")
    page.locator("#someone-else").click(timeout=60_000)
    return asked


def choose(page: Page, name: str, chosen: list[dict[str, float]]) -> dict[str, float]:
    page.get_by_role("button", name=name).focus()
    page.keyboard.press("Enter")
    with page.expect_response("**/person"):
        page.get_by_role("button", name="Review again", exact=True).click()
    (asked,) = chosen
    return asked


def test_somebody_behind_a_smaller_one_is_meant_when_chosen(
    page: Page, chosen: list[dict[str, float]]
) -> None:
    asked = choose(page, "Review person 3", chosen)
    (left, top, right, bottom) = SMALL["sightings"][0]["box"]
    assert not (left <= asked["x"] <= right and top <= asked["y"] <= bottom)
    (left, top, right, bottom) = LARGE["sightings"][0]["box"]
    assert left < asked["x"] < right and top < asked["y"] < bottom


def test_somebody_smaller_in_front_can_be_clicked(
    page: Page, chosen: list[dict[str, float]]
) -> None:
    page.get_by_role("button", name="Review person 2").click(timeout=5_000)
    with page.expect_response("**/person"):
        page.get_by_role("button", name="Review again", exact=True).click()
    (left, top, right, bottom) = SMALL["sightings"][0]["box"]
    assert left < chosen[0]["x"] < right and top < chosen[0]["y"] < bottom


def test_somebody_who_comes_later_is_a_button_away(
    page: Page, chosen: list[dict[str, float]]
) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.locator("#someone-else").click(timeout=5_000)
    there = page.get_by_role("button", name="Show person 4, seen at 0:03")
    there.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Review person 4")).to_be_focused()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert choose(page, "Review person 4", chosen)["time_s"] == 3.0


def test_somebody_alone_has_no_such_button(page: Page, review_path: str) -> None:
    page.goto(review_path)
    expect(page.locator("#skeleton")).to_be_visible()
    page.wait_for_load_state("networkidle")
    assert page.locator("#someone-else").count() == 0
