"""Clips of hardly anything and of odd shapes, through every way in: one clear end, no fault."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import av
import pytest
from fastapi.testclient import TestClient

from annotate import review_clip
from annotate.exports import FORMATS
from api.cli.run import run
from api.http.app import create_app
from pose.errors import ClipError
from tests.api.asking import ended, one_thread, problem
from tests.made_clip import Picture, quadrants, write_clip

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("error::RuntimeWarning")]

SHORT = Path(__file__).parents[2] / "clips" / "short" / "squat-side.mp4"
LOSSLESS: dict[str, Any] = {"codec": "ffv1", "kind": "bgr0"}


def somebody(count: int) -> list[Picture]:
    """The first pictures of a rendered squat."""
    with av.open(str(SHORT)) as film:
        shown = zip(range(count), film.decode(video=0), strict=False)
        return [picture.to_ndarray(format="rgb24") for _, picture in shown]


def every_33_ms(count: int) -> list[int]:
    return [33 * i for i in range(count)]


def odd(width: int, height: int, **how: Any) -> Callable[[Path], Path]:
    """Two seconds with nobody in them."""
    pictures = [quadrants(width, height)] * 60
    return lambda path: write_clip(path, every_33_ms(60), pictures, **how)


def few(count: int) -> Callable[[Path], Path]:
    return lambda path: write_clip(path, every_33_ms(count), somebody(count))


# Name of the clip -> how it is made, and the notices of its footage that a review ends with.
REVIEWED: dict[str, tuple[Callable[[Path], Path], set[str]]] = {
    "one.mp4": (few(1), {"too-short"}),
    "two.mp4": (few(2), {"too-short"}),
    "empty-one.mp4": (lambda path: write_clip(path, [0]), {"nobody"}),
    "1x1.mp4": (odd(1, 1), {"nobody"}),
    "1x1.mkv": (odd(1, 1, **LOSSLESS), {"nobody"}),
    "2x2.mp4": (odd(2, 2), {"nobody"}),
    "16x16.mp4": (odd(16, 16), {"nobody"}),
    "641x359.mkv": (odd(641, 359, **LOSSLESS), {"nobody"}),
    "641x359.mp4": (odd(641, 359), {"nobody"}),
    "tall.mp4": (odd(100, 2000), {"nobody"}),
    "wide.mkv": (odd(2000, 100, **LOSSLESS), {"nobody"}),
    "thread.mp4": (odd(1, 700), {"nobody"}),
}
# Only a header.
REFUSED = ("none.mp4", "none.mkv", "none.avi")


def made(folder: Path, name: str) -> Path:
    if name in REFUSED:
        return write_clip(folder / name, [])
    return REVIEWED[name][0](folder / name)


def codes(review: dict[str, Any]) -> set[str]:
    return {n["code"] for n in review["notices"]}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(tmp_path / "data", make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


@pytest.mark.parametrize("name", REVIEWED)
def test_the_command_reviews_it(
    tmp_path: Path, name: str, capfd: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert run(["review", str(made(tmp_path, name)), "--out", str(out)]) == 0
    review = json.loads((out / "review.json").read_text())
    assert codes(review) == REVIEWED[name][1]
    assert {p["kind"] for p in review["periods"]} <= {"absent"}
    said = capfd.readouterr()
    assert "Traceback" not in said.err and "Warning" not in said.err
    exports = [["export", str(out / "review.json"), "--format", kind] for kind in FORMATS]
    assert {run(export) for export in exports} <= {0, 2}


@pytest.mark.parametrize("name", REFUSED)
def test_the_command_refuses_a_clip_without_pictures(
    tmp_path: Path, name: str, capfd: pytest.CaptureFixture[str]
) -> None:
    clip = made(tmp_path, name)
    capfd.readouterr()  # what the encoder said
    assert run(["review", str(clip), "--out", str(tmp_path / "out")]) == 2
    *progress, line = capfd.readouterr().err.strip().splitlines()
    assert progress == ["Reading the clip ..."]
    assert line.startswith(f"takeproof: {clip}: ")
    assert not (tmp_path / "out").exists()
    with pytest.raises(ClipError):
        review_clip(clip)


@pytest.mark.parametrize("name", REVIEWED)
def test_the_service_reviews_it(tmp_path: Path, name: str, client: TestClient) -> None:
    content = made(tmp_path, name).read_bytes()
    accepted = client.post("/api/reviews", files={"clip": (name, content, "video/mp4")})
    assert accepted.status_code == 202, accepted.text
    status = ended(client, accepted.json()["id"])
    assert (status["state"], status["error"]) == ("done", None)
    assert codes(client.get(status["result"]).json()) == REVIEWED[name][1]
    at = f"/api/reviews/{status['id']}"
    assert client.get(status["script"]).status_code == 200
    for kind in FORMATS:
        assert client.get(f"{at}/exports/{kind}").status_code in (200, 422), kind
    # Either a browser plays the clip itself, or there is a copy that it does.
    assert client.get(f"{at}/preview").status_code in (200, 404)


@pytest.mark.parametrize("name", REFUSED)
def test_the_service_refuses_a_clip_without_pictures(
    tmp_path: Path, name: str, client: TestClient
) -> None:
    content = made(tmp_path, name).read_bytes()
    refused = client.post("/api/reviews", files={"clip": (name, content, "video/mp4")})
    assert name in problem(refused, 422)


@pytest.mark.parametrize("hole_s", [3, 9])
def test_a_hole_in_the_pictures_is_an_absence_that_is_told(tmp_path: Path, hole_s: int) -> None:
    before = every_33_ms(60)
    stamps_ms = [*before, *(before[-1] + 1000 * hole_s + t for t in before)]
    clip = write_clip(tmp_path / "hole.mp4", stamps_ms, somebody(120))
    review = review_clip(clip)
    (absent,) = [p for p in review.periods if p.kind == "absent"]
    assert absent.start_s == pytest.approx(1.95, abs=0.1)
    assert absent.duration_s == pytest.approx(hole_s, abs=0.2)
    assert "hole" in [n.code for n in review.notices]
    assert all(n.code != "nobody" for n in review.notices)
