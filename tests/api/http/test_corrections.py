"""Corrections, notes, another plan, exports, and two takes side by side, over HTTP."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from api.http.app import create_app
from tests.api.asking import ask, ended, one_thread, problem
from tests.api.conftest import PLAN


@pytest.fixture
def client(tmp_path: Path, squats_analysed: None) -> Iterator[TestClient]:
    app = create_app(tmp_path / "data", make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


@pytest.fixture
def at(client: TestClient) -> str:
    """Where a finished review is."""
    review_id = ask(client, plan=("harbour.plan.yaml", PLAN)).json()["id"]
    assert ended(client, review_id)["state"] == "done"
    return f"/api/reviews/{review_id}"


def corrected(client: TestClient, at: str, *edits: dict[str, Any]) -> dict[str, Any]:
    answer = client.patch(f"{at}/periods", json={"edits": list(edits)})
    assert answer.status_code == 200, answer.text
    shown: dict[str, Any] = answer.json()
    return shown


class TestCorrections:
    def test_everything_follows_and_the_original_comes_back(
        self, client: TestClient, at: str
    ) -> None:
        original = client.get(f"{at}/review.json").json()
        assert original["comparison"][2]["status"] == "short"
        before = client.get(f"{at}/script").json()
        count = {"do": "count", "at_s": 10, "reps": 5}
        review = corrected(client, at, count)
        assert review["periods"][0]["reps"]["count"] == 5
        assert "fewer (5 instead of 14)" in review["comparison"][0]["text"]
        assert review["edits"] == [count]
        assert client.get(f"{at}/review.json").json() == review
        assert client.get(f"{at}/script").json() != before
        assert "fewer (5" in client.get(f"{at}/exports/csv").text
        assert "1 of 3 as planned" in client.get(at).json()["summary"]
        assert corrected(client, at) == original

    def test_a_correction_that_points_at_nothing_changes_nothing(
        self, client: TestClient, at: str
    ) -> None:
        kept = corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        refused = client.patch(f"{at}/periods", json={"edits": [{"do": "split", "at_s": 900}]})
        assert "no period runs then" in problem(refused, 422)
        unknown = client.patch(f"{at}/periods", json={"edits": [{"do": "sing", "at_s": 1}]})
        problem(unknown, 422)
        assert client.get(f"{at}/review.json").json() == kept


class TestPhrases:
    def test_are_given_with_the_clip_and_stay_through_corrections(self, client: TestClient) -> None:
        own = ("mine.yaml", "halfway: Half the harbour is behind you.\n")
        review_id = ask(client, plan=("p.yaml", PLAN), phrases=own).json()["id"]
        assert ended(client, review_id)["state"] == "done"
        at = f"/api/reviews/{review_id}"
        assert "Half the harbour" in client.get(f"{at}/script").text
        corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        assert "Half the harbour" in client.get(f"{at}/script").text

    def test_with_a_mistake_are_refused_at_once(self, client: TestClient) -> None:
        refused = ask(client, phrases=("mine.yaml", "halfwy: Half.\n"))
        line = problem(refused, 422)
        assert line.startswith(
            'mine.yaml, line 1: unknown phrase "halfwy"; did you mean "halfway"?'
        )

    def test_texts_in_another_encoding_are_kept_as_text(self, client: TestClient) -> None:
        utf_16 = {
            "plan": ("p.yaml", PLAN.encode("utf-16")),
            "captions": ("s.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\nfür\n".encode("utf-16")),
            "phrases": ("mine.yaml", "halfway: Hälfte der Übung!\n".encode("utf-16")),
        }
        review_id = ask(client, **utf_16).json()["id"]
        assert ended(client, review_id)["state"] == "done"
        at = f"/api/reviews/{review_id}"
        assert client.get(f"{at}/plan").json() == {"text": PLAN, "drafted": False}
        corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        assert "Hälfte der Übung!" in client.get(f"{at}/script").text

    def test_captions_without_a_time_are_refused_by_their_own_name(
        self, client: TestClient
    ) -> None:
        refused = ask(client, captions=("said.vtt", "halfway\n"))
        assert problem(refused, 422).startswith("said.vtt: no captions found")


class TestKill:
    def test_a_script_of_an_older_review_is_made_again_before_it_is_handed_out(
        self, client: TestClient, at: str, tmp_path: Path
    ) -> None:
        before = client.get(f"{at}/script").text
        (folder,) = (tmp_path / "data" / "reviews").iterdir()
        old = {p.name: p.read_bytes() for p in folder.iterdir() if p.name != "review.json"}
        corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        after = client.get(f"{at}/script").text
        for name, data in old.items():  # as if killed when only the review was in place
            (folder / name).write_bytes(data)
        assert client.get(f"{at}/script").text == after != before
        assert "5 instead of 14" in client.get(f"{at}/downloads/sheet.csv").text


class TestEarlierReviews:
    def test_are_answered_with_the_labels_the_page_shows(
        self, client: TestClient, at: str, tmp_path: Path
    ) -> None:
        original = client.get(f"{at}/review.json").json()
        labels = [p["label"] for p in original["periods"]]
        assert labels == [row["planned"]["label"] for row in original["comparison"]]
        assert labels[0].endswith(", round 1")
        (file,) = tmp_path.rglob("review.json")
        values = json.loads(file.read_text(encoding="utf-8"))
        for p in values["periods"]:
            del p["label"]
        for p in [*values["plan"]["periods"], *(row["planned"] for row in values["comparison"])]:
            for key in ("station", "label", "label_in_block", "short_label"):
                del p[key]
        file.write_text(json.dumps(values), encoding="utf-8")
        assert client.get(f"{at}/review.json").json() == original


class TestNotes:
    def test_are_kept_in_order_of_time_and_carried_on(self, client: TestClient, at: str) -> None:
        notes = [{"at_s": 50, "tag": "music", "text": "fade"}, {"at_s": 5, "tag": "", "text": "hi"}]
        assert client.put(f"{at}/notes", json={"notes": notes}).status_code == 200
        corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        kept = client.get(f"{at}/review.json").json()["notes"]
        assert [n["text"] for n in kept] == ["hi", "fade"]
        assert "music: fade" in client.get(f"{at}/exports/srt").text


class TestPlans:
    def test_another_plan_is_answered_from_the_kept_track(
        self, client: TestClient, at: str
    ) -> None:
        shorter = PLAN.replace("work: 30", "work: [30, 25]").replace("reps: 14", "reps: [14, 11]")
        review = client.put(f"{at}/plan", json={"text": shorter}).json()
        assert [row["status"] for row in review["comparison"]] == ["as planned"] * 3
        assert client.get(f"{at}/plan").json() == {"text": shorter, "drafted": False}
        none = client.put(f"{at}/plan", json={"text": None}).json()
        assert none["plan"] is None
        drafted = client.get(f"{at}/plan").json()
        assert drafted["drafted"] and "squat" in drafted["text"]

    def test_a_plan_is_checked_while_it_is_typed(self, client: TestClient) -> None:
        checked = client.post("/api/plans/check", json={"text": PLAN}).json()
        assert checked["total"] == "1:15" and len(checked["timeline"]["periods"]) == 3
        odd = PLAN.replace("movement: squat", "movement: sqat")
        (remark,) = client.post("/api/plans/check", json={"text": odd}).json()["remarks"]
        assert 'did you mean "squat"?' in remark
        wrong = client.post("/api/plans/check", json={"text": PLAN.replace("work", "wrok")})
        assert problem(wrong, 422).startswith("plan.yaml, line 6")

    def test_a_bomb_of_aliases_is_refused(self, client: TestClient) -> None:
        lines = ["a0: &a0 [x,x,x,x,x,x,x,x,x]"]
        lines += [f"a{i}: &a{i} [{','.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 12)]
        problem(client.post("/api/plans/check", json={"text": "\n".join(lines)}), 422)

    def test_two_takes_of_one_plan(self, client: TestClient, at: str) -> None:
        second = ask(client, plan=("p.yaml", PLAN)).json()["id"]
        assert ended(client, second)["state"] == "done"
        ids = {"first": at.rsplit("/", 1)[1], "second": second}
        (block,) = client.get("/api/takes", params=ids).json()["blocks"]
        assert block["better"] == "equal"
        corrected(client, at, {"do": "count", "at_s": 10, "reps": 5})
        (block,) = client.get("/api/takes", params=ids).json()["blocks"]
        assert (block["better"], block["why"]) == (
            "second", "3 repetitions off the plan, against 12 repetitions"
        )  # fmt: skip
        client.put(f"{at}/plan", json={"text": None})
        assert "same plan" in problem(client.get("/api/takes", params=ids), 409)


class TestFiles:
    def test_every_export_comes_as_a_download(self, client: TestClient, at: str) -> None:
        for format in ("webvtt", "webvtt-metadata", "srt", "edl", "otio", "chapters", "csv"):
            answer = client.get(f"{at}/exports/{format}", params={"rate": "25"})
            assert answer.status_code == 200 and answer.text
            assert answer.headers["content-disposition"].startswith("attachment; filename*=UTF-8''")
        started = client.get(f"{at}/exports/edl", params={"rate": "25", "start": "01:00:00:00"})
        assert "01:00:00:00" in started.text
        assert "is not a rate" in problem(client.get(f"{at}/exports/edl?rate=7"), 422)
        assert "is not a format" in problem(client.get(f"{at}/exports/exe"), 422)

    def test_script_and_sheet_come_as_files(self, client: TestClient, at: str) -> None:
        for file in ("script.md", "script.vtt", "script.srt", "sheet.md", "sheet.csv"):
            assert client.get(f"{at}/downloads/{file}").status_code == 200
        problem(client.get(f"{at}/downloads/clip.bin"), 422)

    def test_the_clip_answers_ranges(self, client: TestClient, at: str) -> None:
        part = client.get(f"{at}/clip", headers={"range": "bytes=2-5"})
        assert (part.status_code, part.content) == (206, b"ving")
        assert client.get(f"{at}/clip").headers["accept-ranges"] == "bytes"
        assert client.get(f"{at}/preview").content == client.get(f"{at}/clip").content
        for wrong, status in (("bytes=900-", 416), ("bytes=x", 400)):
            problem(client.get(f"{at}/clip", headers={"range": wrong}), status)

    def test_the_overlay_comes_compact_and_in_stretches(self, client: TestClient, at: str) -> None:
        minute = client.get(f"{at}/overlay", params={"start_s": 5, "end_s": 500}).json()
        assert (minute["times_s"][0], minute["times_s"][-1]) == (5, pytest.approx(64.93, abs=0.1))
        assert len(minute["positions"]) == len(minute["times_s"]) == len(minute["back"])

    def test_a_still_needs_a_name_the_review_gives(self, client: TestClient, at: str) -> None:
        problem(client.get(f"{at}/stills/..%2Freview.json"), 404)
        problem(client.get(f"{at}/stills/review.json"), 404)


class TestEnds:
    def test_the_stream_sends_the_end_and_closes(self, client: TestClient, at: str) -> None:
        sent = client.get(f"{at}/events")
        assert sent.headers["content-type"].startswith("text/event-stream")
        assert sent.text.startswith("data: {") and '"state":"done"' in sent.text

    def test_what_is_done_can_neither_be_stopped_nor_started_again(
        self, client: TestClient, at: str
    ) -> None:
        assert "nothing to stop" in problem(client.post(f"{at}/cancel"), 409)
        assert "only a failed one" in problem(client.post(f"{at}/retry"), 409)

    def test_deleting_takes_everything(self, client: TestClient, at: str, tmp_path: Path) -> None:
        assert client.delete(at).status_code == 204
        assert list((tmp_path / "data" / "reviews").iterdir()) == []
        assert list((tmp_path / "data" / "incoming").iterdir()) == []
        problem(client.get(f"{at}/clip"), 404)
