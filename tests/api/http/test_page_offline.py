"""The page loads nothing from elsewhere: nothing in its files, and the browser is told not to.

That a browser really asks nobody else is held by tests/browser (every test of it counts requests).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

import api.http
from api.http.app import create_app
from tests.api.asking import one_thread

FILES = sorted((Path(api.http.__file__).parent / "page").iterdir())
# The name of a vocabulary, which is compared and never fetched.
VOCABULARIES = {"http://www.w3.org/2000/svg"}
# An address with a protocol, or one that takes the page's protocol: `//host/...` after a quote, an
# equals sign or a bracket, where a comment cannot begin.
_ELSEWHERE = re.compile(r"""\b(?:https?|wss?|ftp):[^\s"'`)<>]+|(?<=["'`(=])\s*//[^\s"'`)<>]+""")
# Sources that are this server, or made by the page itself.
OWN_SOURCES = {"'none'", "'self'", "blob:"}


def addresses_elsewhere(text: str) -> set[str]:
    """Addresses of other places in HTML, CSS or a script."""
    return {found.strip() for found in _ELSEWHERE.findall(text)} - VOCABULARIES


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_file_of_the_page_names_no_other_place(path: Path) -> None:
    assert addresses_elsewhere(path.read_text(encoding="utf-8")) == set()


def test_the_page_has_files() -> None:
    assert {".html", ".css", ".js", ".svg"} <= {path.suffix for path in FILES}


@pytest.mark.parametrize(
    "text",
    [
        '<script src="https://cdn.example/a.js"></script>',
        "<link rel=stylesheet href=//cdn.example/a.css>",
        '<img src="//cdn.example/a.png">',
        "@import url(//cdn.example/a.css);",
        "@import url( 'http://cdn.example/a.css' );",
        'import {a} from "https://cdn.example/a.js";',
        "new WebSocket(`wss://cdn.example/`)",
        "fetch('//cdn.example/')",
    ],
)
def test_an_address_elsewhere_would_be_found(text: str) -> None:
    (found,) = addresses_elsewhere(text)
    assert "//cdn.example/" in found


@pytest.mark.parametrize(
    "text",
    ["// a comment", "a = b; // (then) a comment", 'href="/page/base.css"', "x = 4 / 2 // half"],
)
def test_what_is_not_an_address_is_not_found(text: str) -> None:
    assert addresses_elsewhere(text) == set()


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    app = create_app(tmp_path_factory.mktemp("data"), make_executor=one_thread)
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        yield client


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 200),
        ("/page/library.js", 200),
        ("/page/base.css", 200),
        ("/api/reviews", 200),
        ("/api/openapi.json", 200),
        ("/api/reviews/none", 404),
        ("/nowhere", 404),
    ],
)
def test_every_answer_tells_the_browser_to_load_nothing_from_elsewhere(
    client: TestClient, path: str, status: int
) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    policy = answer.headers["content-security-policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    # What no rule speaks of is not loaded; the last three do not fall back to it.
    assert rules["default-src"] == "'none'"
    assert {"form-action", "base-uri", "frame-ancestors"} <= rules.keys()
    sources = {source for rule in rules.values() for source in rule.split()}
    assert sources <= OWN_SOURCES
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_a_refused_request_is_told_so_as_well(client: TestClient) -> None:
    answer = client.get("/", headers={"host": "evil.example"})
    assert answer.status_code == 403
    assert "default-src 'none'" in answer.headers["content-security-policy"]
