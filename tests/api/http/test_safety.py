"""What the service lets in, how much, and what is left after a crash."""

from __future__ import annotations

import io
import os
import signal
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import httpx
import pytest
from fastapi.testclient import TestClient

from annotate import pipeline
from annotate.pipeline import Take
from api.http.app import create_app
from api.http.media import media_type
from api.http.store import Store
from pose.track import ClipInfo
from pose.video.source import Source
from tests.api.asking import CLIP, ask, ended, one_thread, problem
from tests.api.conftest import Progress, fake_read_take
from tests.api.served import served
from tests.own_cache import own_cache

TOKEN = "a-token-nobody-guesses"
SHORT = Path(__file__).parents[3] / "clips" / "short" / "squat-side.mp4"


@pytest.fixture
def client(tmp_path: Path, no_video: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    found = SimpleNamespace(info=ClipInfo("take.mp4"))
    monkeypatch.setattr("api.http.routes.reviews.probe", lambda path: found)
    app = create_app(tmp_path / "data", make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


class TestToken:
    @pytest.fixture
    def client(self, tmp_path: Path) -> Iterator[TestClient]:
        app = create_app(tmp_path, host="0.0.0.0", token=TOKEN, make_executor=one_thread)
        with TestClient(app, base_url="http://192.0.2.7:8000", follow_redirects=False) as client:
            yield client

    def test_without_it_nobody_gets_in(self, client: TestClient) -> None:
        assert "token" in problem(client.get("/api/reviews"), 401)
        assert "token" in problem(client.get("/api/openapi.json"), 401)
        assert client.get("/").headers["location"] == "/login"
        for wrong in ("x", TOKEN[:-1], "ü"):
            headers = {"authorization": f"Bearer {wrong}".encode()}
            problem(client.get("/api/reviews", headers=headers), 401)
            assert client.post("/login", content=f"token={wrong}").status_code == 401
        client.cookies.set("takeproof", TOKEN)
        problem(client.get("/api/reviews"), 401)

    def test_a_program_sends_it(self, client: TestClient) -> None:
        headers = {"authorization": f"Bearer {TOKEN}"}
        assert client.get("/api/reviews", headers=headers).json() == []

    def test_a_browser_gives_it_once(self, client: TestClient) -> None:
        entered = client.post("/login", content=f"token={TOKEN}")
        assert (entered.status_code, entered.headers["location"]) == (303, "/")
        cookie = entered.headers["set-cookie"]
        assert "HttpOnly" in cookie and "SameSite=strict" in cookie and TOKEN not in cookie
        assert client.get("/").status_code == 200
        assert client.get("/api/reviews").json() == []

    @pytest.mark.slow
    def test_another_host_makes_one_by_itself(self, tmp_path: Path) -> None:
        with served(tmp_path, "--host", "0.0.0.0", TAKEPROOF_TOKEN=TOKEN) as server:
            assert f"Token to enter: {TOKEN}" in server.said
            assert httpx.get(f"{server.url}/api/reviews").status_code == 401


class TestForeigners:
    @pytest.mark.parametrize(
        "headers",
        [
            {"origin": "http://127.0.0.1:9999"},
            {"origin": "http://localhost:8000"},
            {"sec-fetch-site": "cross-site"},
            {"sec-fetch-site": "same-site"},
        ],
    )
    def test_a_page_of_another_port_or_name_changes_nothing(
        self, client: TestClient, headers: dict[str, str]
    ) -> None:
        problem(client.post("/api/reviews", files={"clip": CLIP}, headers=headers), 403)
        problem(client.post("/api/plans/check", json={"text": "x"}, headers=headers), 403)

    def test_only_the_pages_own_files_are_served(self, client: TestClient) -> None:
        for path in ("/page/..%2Fapp.py", "/page/library.html", "/page/%2Fetc%2Fpasswd"):
            problem(client.get(path), 404)


class TestLimits:
    def test_a_large_body_is_refused_unread(self, client: TestClient) -> None:
        text = "x" * 2_100_000
        assert "larger than 2 MB" in problem(
            client.post("/api/plans/check", json={"text": text}), 413
        )
        pieces = iter([b"{", b"}"])
        problem(client.post("/api/plans/check", content=pieces), 411)

    def test_a_table_of_ten_megabytes_is_no_plan(self, client: TestClient) -> None:
        refused = ask(client, plan=("plan.csv", b"name,work\n" + b"a,30\n" * 2_000_000))
        assert 'field "plan" is larger than' in problem(refused, 413)

    def test_a_workbook_that_unpacks_to_too_much_is_refused(self, client: TestClient) -> None:
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("xl/workbook.xml", b"\0" * 50_000_000)
        assert "unpacks to" in problem(ask(client, plan=("plan.xlsx", packed.getvalue())), 422)

    def test_a_clip_too_long_is_refused(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        found = SimpleNamespace(info=ClipInfo("take.mp4", duration_s=4 * 3600))
        monkeypatch.setattr("api.http.routes.reviews.probe", lambda path: found)
        assert "lasts 4:00:00; at most 3:00:00 are reviewed" in problem(ask(client), 422)

    def test_no_more_than_so_many_wait(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("api.http.limits.MAX_WAITING", 0)
        assert "are waiting" in problem(ask(client), 429)

    def test_the_disk_is_not_filled(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("api.http.limits.MIN_FREE_BYTES", 10**18)
        assert "not enough room" in problem(ask(client), 507)

    def test_work_without_end_is_given_up(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("api.http.queue.MAX_WORK_S", -1)
        status = ended(client, ask(client).json()["id"])
        assert "took longer than" in status["error"]


class TestStopping:
    def test_what_was_stopped_can_be_started_again(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        started, stopped, go_on = (threading.Event() for _ in range(3))

        def slow(clip: Source, *rest: object, progress: Progress, **more: object) -> Take:
            started.set()
            go_on.wait(5)
            try:
                progress("looking at the pictures", 0.5)
            except BaseException:
                stopped.set()
                raise
            return fake_read_take(clip)

        monkeypatch.setattr(pipeline, "read_take", slow)
        at = f"/api/reviews/{ask(client).json()['id']}"
        assert started.wait(5)
        assert "stopped on request" in client.post(f"{at}/cancel").json()["error"]
        go_on.set()
        assert stopped.wait(5)
        assert client.get(at).json()["state"] == "failed"
        assert client.post(f"{at}/retry").status_code == 202
        assert ended(client, at.rsplit("/", 1)[1])["state"] == "done"


@pytest.mark.slow
class TestCrash:
    def test_after_kill_9_all_work_is_taken_up_and_no_halves_are_left(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        data, cache = tmp_path / "data", str(own_cache(monkeypatch, tmp_path / "cache"))
        with served(data, TAKEPROOF_CACHE=cache) as server:
            with SHORT.open("rb") as clip:
                asked = httpx.post(f"{server.url}/api/reviews", files={"clip": clip}, timeout=60)
            at = f"/api/reviews/{asked.json()['id']}"
            _until(server.url, at, "running")
            os.kill(server.process.pid, signal.SIGKILL)
            server.process.wait()
        folder = data / "reviews" / asked.json()["id"]
        (folder / ".review.json.half").write_text("{")
        (folder / "track.parquet.part").write_text("half")
        (data / "incoming" / "half").mkdir(parents=True)
        lost = data / "reviews" / "lost"
        lost.mkdir()
        (lost / ".arriving").touch()
        with served(data, TAKEPROOF_CACHE=cache) as server:
            assert not lost.exists() and not (data / "incoming" / "half").exists()
            assert sorted(p.name for p in folder.iterdir()) == ["clip.bin"]
            _until(server.url, at, "done")
            part = httpx.get(f"{server.url}{at}/clip", headers={"range": "bytes=4-7"})
            assert (part.status_code, part.content) == (206, b"ftyp")
            assert part.headers["content-type"] == "video/mp4"
            assert list((tmp_path / "cache" / "tracks").iterdir())
            assert httpx.delete(f"{server.url}{at}").status_code == 204
            # Deleted means deleted: what was remembered of the body too.
            assert not list((tmp_path / "cache" / "tracks").iterdir())

    def test_ctrl_c_ends_at_once_and_quietly_with_a_page_watching(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        cache = str(own_cache(monkeypatch, tmp_path / "cache"))
        with served(tmp_path / "data", TAKEPROOF_CACHE=cache) as server:
            with SHORT.open("rb") as clip:
                asked = httpx.post(f"{server.url}/api/reviews", files={"clip": clip}, timeout=60)
            at = f"/api/reviews/{asked.json()['id']}"
            _until(server.url, at, "running")
            with httpx.stream("GET", f"{server.url}{at}/events", timeout=30) as stream:
                next(stream.iter_lines())
                server.process.send_signal(signal.SIGINT)
                server.process.wait(20)
            assert server.process.stderr is not None
            assert server.process.stderr.read() == ""
        store = Store(tmp_path / "data")
        assert [(e.state, e.tries) for e in store.all()] == [("queued", 0)]

    def test_a_second_server_keeps_off_the_first_ones_data(self, tmp_path: Path) -> None:
        refused = pytest.raises(AssertionError, match="another takeproof serve")
        with served(tmp_path), refused, served(tmp_path):
            pass

    def test_a_row_without_its_folder_goes_at_the_start(self, tmp_path: Path) -> None:
        store = Store(tmp_path)
        store.folder("gone").path.mkdir()
        store.add("gone", "take.mp4")
        store.folder("gone").path.rmdir()
        store.tidy()
        assert store.all() == []


def test_the_media_type_follows_the_content(tmp_path: Path) -> None:
    named = tmp_path / "clip.html"
    named.write_bytes(SHORT.read_bytes())
    assert media_type(named) == "video/mp4"
    page = tmp_path / "clip.mp4"
    page.write_text("<script>alert(1)</script>")
    assert media_type(page) == "application/octet-stream"


def _until(url: str, at: str, state: str) -> None:
    end = time.monotonic() + 120
    while (now := httpx.get(f"{url}{at}").json())["state"] != state:
        assert now["state"] != "failed", now["error"]
        assert time.monotonic() < end, now
        time.sleep(0.05)
