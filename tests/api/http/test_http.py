"""The HTTP service: request, follow, fetch and refuse."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from fastapi.testclient import TestClient

from annotate import pipeline
from annotate.pipeline import Take
from annotate.review.model import Review
from annotate.script.build import Script
from api.http.app import create_app
from api.http.limits import MAX_PART_BYTES
from api.http.routes.results import preferred
from pose.errors import ClipError
from pose.track import ClipInfo
from pose.video.source import Source
from tests.api.asking import CLIP, ask, ended, one_thread, problem
from tests.api.conftest import PLAN, Progress, fake_read_take


@pytest.fixture
def client(tmp_path: Path, no_video: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    monkeypatch.setattr(
        "api.http.routes.reviews.probe", lambda path: SimpleNamespace(info=ClipInfo("take.mp4"))
    )
    app = create_app(tmp_path / "data", make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


class TestAReview:
    def test_goes_from_upload_to_result(self, client: TestClient) -> None:
        accepted = ask(client, plan=("harbour.plan.yaml", PLAN))
        assert accepted.status_code == 202
        review_id = accepted.json()["id"]
        assert accepted.headers["location"] == f"/api/reviews/{review_id}"
        status = ended(client, review_id)
        assert (status["state"], status["progress"], status["error"]) == ("done", 1, None)
        review = Review.model_validate(client.get(status["result"]).json())
        assert review.clip.name == "take.mp4"
        assert review.plan is not None and review.plan.total_s == 75
        assert [r["id"] for r in client.get("/api/reviews").json()] == [review_id]

    def test_needs_no_plan(self, client: TestClient) -> None:
        review_id = ask(client).json()["id"]
        assert ended(client, review_id)["state"] == "done"

    def test_takes_an_empty_form_field_for_no_plan(self, client: TestClient) -> None:
        body = (
            b'--b\r\nContent-Disposition: form-data; name="clip"; filename="a.mp4"\r\n\r\nx\r\n'
            b'--b\r\nContent-Disposition: form-data; name="plan"; filename=""\r\n\r\n\r\n--b--\r\n'
        )
        headers = {"content-type": "multipart/form-data; boundary=b"}
        accepted = client.post("/api/reviews", content=body, headers=headers)
        assert accepted.status_code == 202

    def test_script_comes_as_json_or_markdown(self, client: TestClient) -> None:
        status = ended(client, ask(client, plan=("p.yaml", PLAN)).json()["id"])
        Script.model_validate(client.get(status["script"]).json())
        markdown = client.get(status["script"], headers={"accept": "text/markdown"})
        assert markdown.headers["content-type"].startswith("text/markdown")
        assert "Harbour intervals" in markdown.text
        refused = client.get(status["script"], headers={"accept": "image/png"})
        assert "application/json or text/markdown" in problem(refused, 406)

    def test_that_fails_says_why_in_one_line(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refuse(clip: Source, *_: object, **__: object) -> None:
            raise ClipError(f"{clip}: nobody is in the picture")

        monkeypatch.setattr(pipeline, "read_take", refuse)
        status = ended(client, ask(client).json()["id"])
        assert status["error"] == "take.mp4: nobody is in the picture"
        result = client.get(f"/api/reviews/{status['id']}/review.json")
        assert "nobody is in the picture" in problem(result, 409)

    def test_that_meets_a_fault_of_ours_ends_too(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(pipeline, "read_take", lambda *a, **k: 1 / 0)
        status = ended(client, ask(client).json()["id"])
        assert status["state"] == "failed" and "fault of its own" in status["error"]

    def test_under_way_is_stopped_by_deletion(
        self, client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        started, deleted, stopped = (threading.Event() for _ in range(3))

        def slow(clip: Source, *_: object, progress: Progress, **__: object) -> Take:
            started.set()
            deleted.wait(5)
            try:
                progress("Finding the body", 0.5)
            except BaseException:
                stopped.set()
                raise
            return fake_read_take(clip)

        monkeypatch.setattr(pipeline, "read_take", slow)
        review_id = ask(client).json()["id"]
        assert started.wait(5)
        assert client.get(f"/api/reviews/{review_id}").json()["state"] == "running"
        early = client.get(f"/api/reviews/{review_id}/review.json")
        assert "is running" in problem(early, 409)
        assert client.delete(f"/api/reviews/{review_id}").status_code == 204
        deleted.set()
        assert stopped.wait(5)
        problem(client.get(f"/api/reviews/{review_id}"), 404)
        problem(client.delete(f"/api/reviews/{review_id}"), 404)
        assert not (tmp_path / "data" / "reviews" / review_id).exists()


class TestRefusals:
    def test_a_bad_plan_is_refused_at_once(self, client: TestClient, tmp_path: Path) -> None:
        refused = ask(client, plan=("harbour.plan.yaml", "blocks:\n- {name: A, wrok: 3}\n"))
        assert problem(refused, 422) == (
            'harbour.plan.yaml, line 2, block "A": unknown key "wrok"; did you mean "work"?'
        )
        assert client.get("/api/reviews").json() == []
        assert list((tmp_path / "data").glob("*/*")) == []

    def test_a_clip_that_is_no_video_is_refused_at_once_under_its_own_name(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refuse(path: Path) -> None:
            raise ClipError(f"{path}: not a video that can be opened")

        monkeypatch.setattr("api.http.routes.reviews.probe", refuse)
        assert problem(ask(client), 422) == "take.mp4: not a video that can be opened"

    def test_names_from_the_request_never_become_paths(
        self, client: TestClient, tmp_path: Path
    ) -> None:
        client.post("/api/reviews", files={"clip": ("../../etc\\..\\evil\n.mp4", b"x")})
        (status,) = client.get("/api/reviews").json()
        ended(client, status["id"])
        assert "/" not in status["name"] and "\\" not in status["name"]
        names = {p.name for p in tmp_path.rglob("*") if p.is_file()}
        assert "clip.bin" in names
        assert not any("evil" in name or "etc" in name for name in names)
        assert {p.parent for p in tmp_path.rglob("clip.bin")} == {
            tmp_path / "data" / "reviews" / status["id"]
        }

    def test_a_clip_too_large_is_refused_and_not_kept(
        self, client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setitem(MAX_PART_BYTES, "clip", 10)
        assert 'field "clip" is larger than' in problem(ask(client), 413)
        assert list((tmp_path / "data" / "incoming").iterdir()) == []

    def test_an_announced_size_too_large_is_refused_unread(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setitem(MAX_PART_BYTES, "clip", 10)
        big = client.post("/api/reviews", files={"clip": ("a.mp4", b"x" * 3_000_000)})
        assert "the upload is larger than" in problem(big, 413)

    @pytest.mark.parametrize(
        ("files", "status", "line"),
        [
            ({"plan": ("p.yaml", PLAN)}, 422, '"clip" is missing or empty'),
            ({"clip": ("a.mp4", b"")}, 422, '"clip" is missing or empty'),
            ({"clip": CLIP, "film": CLIP}, 422, 'unknown field "film"; known fields: clip'),
            ([("clip", CLIP), ("clip", CLIP)], 422, '"clip" is there twice'),
        ],
    )
    def test_a_form_that_does_not_fit_is_refused(
        self, client: TestClient, files: Any, status: int, line: str
    ) -> None:
        assert line in problem(client.post("/api/reviews", files=files), status)

    @pytest.mark.parametrize(
        ("content", "kind", "status"),
        [
            (b"{}", "application/json", 415),
            (b"x", "multipart/form-data", 415),
            (b"nonsense", "multipart/form-data; boundary=b", 400),
            (
                b'--b\r\nContent-Disposition: form-data; name="clip"\r\n\r\ncut off',
                "multipart/form-data; boundary=b",
                400,
            ),
        ],
    )
    def test_a_body_that_is_no_form_is_refused(
        self, client: TestClient, content: bytes, kind: str, status: int
    ) -> None:
        headers = {"content-type": kind}
        problem(client.post("/api/reviews", content=content, headers=headers), status)

    @pytest.mark.parametrize("host", ["evil.example", "evil.example:8000", "", "127.0.0.1.evil"])
    def test_a_foreign_host_is_refused(self, client: TestClient, host: str) -> None:
        problem(client.get("/api/reviews", headers={"host": host}), 403)

    @pytest.mark.parametrize("host", ["localhost:8000", "127.0.0.1", "[::1]:8000"])
    def test_this_machine_by_any_name_is_let_in(self, client: TestClient, host: str) -> None:
        assert client.get("/api/reviews", headers={"host": host}).status_code == 200

    def test_a_page_of_another_site_cannot_send_a_clip(self, client: TestClient) -> None:
        for origin in ("https://evil.example", "null"):
            sent = client.post("/api/reviews", files={"clip": CLIP}, headers={"origin": origin})
            problem(sent, 403)
        own = {"origin": "http://127.0.0.1:8000"}
        sent = client.post("/api/reviews", files={"clip": CLIP}, headers=own)
        assert sent.status_code == 202

    def test_what_is_not_there_is_a_problem_too(self, client: TestClient) -> None:
        problem(client.get("/api/reviews/none"), 404)
        problem(client.get("/api/nothing"), 404)
        problem(client.put("/api/reviews"), 405)


class TestDescription:
    def test_names_every_operation_and_the_true_error_shape(self, client: TestClient) -> None:
        schema = client.get("/api/openapi.json").json()
        operations = {
            (method, path) for path, methods in schema["paths"].items() for method in methods
        }
        assert operations == {
            ("post", "/api/reviews"),
            ("get", "/api/reviews"),
            ("get", "/api/reviews/{review_id}"),
            ("delete", "/api/reviews/{review_id}"),
            ("get", "/api/reviews/{review_id}/people"),
            ("post", "/api/reviews/{review_id}/person"),
            ("get", "/api/reviews/{review_id}/review.json"),
            ("get", "/api/reviews/{review_id}/script"),
            ("get", "/api/reviews/{review_id}/events"),
            ("post", "/api/reviews/{review_id}/cancel"),
            ("post", "/api/reviews/{review_id}/retry"),
            ("get", "/api/reviews/{review_id}/downloads/{file}"),
            ("get", "/api/reviews/{review_id}/exports/{format}"),
            ("get", "/api/reviews/{review_id}/clip"),
            ("get", "/api/reviews/{review_id}/preview"),
            ("get", "/api/reviews/{review_id}/overlay"),
            ("get", "/api/reviews/{review_id}/stills/{file}"),
            ("patch", "/api/reviews/{review_id}/periods"),
            ("put", "/api/reviews/{review_id}/notes"),
            ("get", "/api/reviews/{review_id}/plan"),
            ("put", "/api/reviews/{review_id}/plan"),
            ("post", "/api/plans/check"),
            ("get", "/api/movements"),
            ("get", "/api/takes"),
        }
        text = str(schema)
        assert "HTTPValidationError" not in text
        for name in ("Review", "Script", "ReviewStatus", "Accepted", "ProblemBody"):
            assert name in schema["components"]["schemas"]
        for reference in _references(schema):
            assert (
                reference.removeprefix("#/components/schemas/") in schema["components"]["schemas"]
            )


@pytest.mark.parametrize(
    ("accept", "expected"),
    [
        ("*/*", "application/json"),
        ("text/markdown", "text/markdown"),
        ("text/*", "text/markdown"),
        ("text/markdown;q=0.5, application/json", "application/json"),
        ("application/json;q=0, */*;q=0.1", "text/markdown"),
        ("image/png", None),
        ("text/markdown;q=much", None),
    ],
)
def test_the_accept_header_chooses(accept: str, expected: str | None) -> None:
    assert preferred(accept, "application/json", "text/markdown") == expected


def _references(node: Any) -> Iterator[str]:
    if isinstance(node, dict):
        if isinstance(node.get("$ref"), str):
            yield node["$ref"]
        for value in node.values():
            yield from _references(value)
    elif isinstance(node, list):
        for value in node:
            yield from _references(value)
