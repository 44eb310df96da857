"""Who is in the picture, and the review made again for somebody else."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from fastapi.testclient import TestClient

from api.http.app import create_app
from pose.track import ClipInfo
from tests.api.asking import CLIP, ask, ended, one_thread, problem


@pytest.fixture
def client(tmp_path: Path, no_video: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    monkeypatch.setattr(
        "api.http.routes.reviews.probe", lambda path: SimpleNamespace(info=ClipInfo("take.mp4"))
    )
    app = create_app(tmp_path / "data", make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


def followed(client: TestClient, review_id: str) -> list[bool]:
    people: list[dict[str, Any]] = client.get(f"/api/reviews/{review_id}/people").json()["people"]
    return [p["followed"] for p in people]


def test_everybody_is_listed_with_the_places_where_they_were_seen(client: TestClient) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    (large, small) = client.get(f"/api/reviews/{review_id}/people").json()["people"]
    assert (large["followed"], small["followed"]) == (True, False)
    assert (large["number"], small["number"]) == (0, 1)
    assert large["sightings"] == [
        {"time_s": t, "box": pytest.approx([0.2, 0.2, 0.4, 0.8])} for t in (0.0, 3.0)
    ]


def test_a_review_may_be_asked_for_somebody_at_once(client: TestClient) -> None:
    answer = client.post("/api/reviews", files={"clip": CLIP, "person": (None, "0.8,0.5@0:03")})
    review_id = answer.json()["id"]
    assert ended(client, review_id)["state"] == "done"
    assert followed(client, review_id) == [False, True]


def test_somebody_written_in_another_way_is_refused_at_once(client: TestClient) -> None:
    answer = client.post("/api/reviews", files={"clip": CLIP, "person": (None, "the left one")})
    assert "should be X,Y or X,Y@TIME" in problem(answer, 422)


def test_a_review_is_made_again_for_somebody_else(client: TestClient, tmp_path: Path) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    folder = tmp_path / "data" / "reviews" / review_id
    before = (folder / "review.json").read_bytes()
    answer = client.post(f"/api/reviews/{review_id}/person", json={"x": 0.8, "y": 0.5, "time_s": 3})
    assert answer.status_code == 202 and answer.json()["state"] in ("queued", "running", "done")
    assert ended(client, review_id)["state"] == "done"
    assert followed(client, review_id) == [False, True]
    assert (folder / "review.before.json").read_bytes() == before


def test_every_review_of_another_person_is_kept(client: TestClient, tmp_path: Path) -> None:
    review_id = ask(client).json()["id"]
    folder = tmp_path / "data" / "reviews" / review_id
    made: list[bytes] = []
    # In the second of the places nobody is found: the review before it is not kept twice.
    for x, y in ((0.8, 0.5), (0.8, 0.95), (0.3, 0.5)):
        state = ended(client, review_id)["state"]
        marked = (folder / "review.json").read_bytes() + b" " * (len(made) + 1)
        if state == "done":
            (folder / "review.json").write_bytes(marked)
            made.append(marked)
        client.post(f"/api/reviews/{review_id}/person", json={"x": x, "y": y})
    ended(client, review_id)
    assert (folder / "review.before.json").read_bytes() == made[0]
    assert (folder / "review.before.2.json").read_bytes() == made[1]
    assert not (folder / "review.before.3.json").exists()


def test_what_is_accepted_can_be_read_by_the_worker(client: TestClient) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    at = f"/api/reviews/{review_id}/person"
    client.post(at, json={"x": 0.00001, "y": 0.5, "time_s": 0.00001})
    assert ended(client, review_id)["state"] == "done"
    problem(client.post(at, json={"x": 0.5, "y": 0.5, "time_s": 30000}), 422)


def test_a_review_that_was_started_meanwhile_is_not_said_to_be_made_again(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    monkeypatch.setattr("api.http.store.Store.restart", lambda store, review_id: False)
    answer = client.post(f"/api/reviews/{review_id}/person", json={"x": 0.8, "y": 0.5})
    assert "started meanwhile" in problem(answer, 409)


def test_where_nobody_is_the_review_fails_with_one_line_and_another_try_is_free(
    client: TestClient,
) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    at = f"/api/reviews/{review_id}/person"
    assert client.post(at, json={"x": 0.8, "y": 0.95}).status_code == 202
    status = ended(client, review_id)
    assert status["state"] == "failed" and "nobody is there" in status["error"]
    assert client.post(at, json={"x": 0.8, "y": 0.5}).status_code == 202
    assert ended(client, review_id)["state"] == "done"


@pytest.mark.parametrize("chosen", [{"x": 1.2, "y": 0.5}, {"x": 0.5}, {"x": 0.5, "y": 0.5, "z": 1}])
def test_a_point_outside_of_the_picture_is_refused(
    client: TestClient, chosen: dict[str, float]
) -> None:
    review_id = ask(client).json()["id"]
    ended(client, review_id)
    problem(client.post(f"/api/reviews/{review_id}/person", json=chosen), 422)


def test_what_does_not_exist_has_no_people(client: TestClient) -> None:
    problem(client.get("/api/reviews/nothing/people"), 404)
    problem(client.post("/api/reviews/nothing/person", json={"x": 0.5, "y": 0.5}), 404)
