"""Every text file a user gives, with every fault a file can have: one line, of its own class."""

from __future__ import annotations

import codecs
import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from annotate.cues.captions import CAPTION_FILE, read_captions
from annotate.errors import CaptionError, CorrectionError, ExportError, PhraseError, PlanError
from annotate.plan.read import PLAN_FILE, plan_from_bytes, read_plan
from annotate.reading import FileKind, read_text, read_yaml, text_of
from annotate.review.edits import EDIT_FILE, read_edits
from annotate.review.queries import labelled
from annotate.review.read import REVIEW_FILE, read_review
from annotate.script.phrases import PHRASE_FILE, read_phrases
from pose.errors import InputError
from tests.annotate.reviews import period, review


@dataclass(frozen=True)
class Reader:
    """One kind of file: how it is read, and a sound one of several lines, not in plain ASCII."""

    read: Callable[[Path], Any]
    kind: FileKind
    error: type[InputError]
    name: str
    text: str
    empty_is_fine: bool = False
    yaml: bool = False


REVIEW = review([period(0, "work", 0, 30, "Bücken")]).to_json()
READERS = {
    "plan": Reader(
        read_plan, PLAN_FILE, PlanError, "plan.yaml",
        "title: Übung\nblocks:\n  - {name: Kniebeuge ↓, movement: squat, work: 30}\n", yaml=True,
    ),
    "table": Reader(
        read_plan, PLAN_FILE, PlanError, "übung.csv",
        "name,movement,work\nÜbung,squat,30\nNächste,march,30\n",
    ),
    "captions": Reader(
        read_captions, CAPTION_FILE, CaptionError, "said.vtt",
        "WEBVTT\n\n00:01.000 --> 00:02.000\nnächste Übung\n",
    ),
    "phrases": Reader(
        read_phrases, PHRASE_FILE, PhraseError, "mine.yaml",
        "halfway: Hälfte!\nwater: Trinkt einen Schluck.\npause: Müde?\n", yaml=True,
    ),
    "edits": Reader(
        read_edits, EDIT_FILE, CorrectionError, "edits.yaml",
        "- {do: split, at_s: 12.5}\n- do: relabel\n  at_s: 3\n  movement: Bücken\n",
        empty_is_fine=True, yaml=True,
    ),
    "review": Reader(read_review, REVIEW_FILE, ExportError, "review.json", REVIEW),
}  # fmt: skip


@pytest.fixture(params=list(READERS))
def reader(request: pytest.FixtureRequest) -> Reader:
    return READERS[request.param]


def line_of(reader: Reader, path: Path) -> str:
    """The message of a file at fault; it names the file and is one line."""
    with pytest.raises(reader.error) as caught:
        reader.read(path)
    line = str(caught.value)
    assert type(caught.value) is reader.error
    assert line.isprintable() and path.name in line and len(line) < 500
    return line


def test_every_encoding_says_the_same(reader: Reader, tmp_path: Path) -> None:
    path = tmp_path / reader.name
    path.write_text(reader.text, encoding="utf-8")
    plain = reader.read(path)
    for content in (
        codecs.BOM_UTF8 + reader.text.encode("utf-8"),
        codecs.BOM_UTF16_LE + reader.text.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + reader.text.encode("utf-16-be"),
        reader.text.replace("\n", "\r\n").encode("utf-8"),
    ):
        path.write_bytes(content)
        assert reader.read(path) == plain


def test_a_missing_file(reader: Reader, tmp_path: Path) -> None:
    assert f"{reader.name}: no such file; " in line_of(reader, tmp_path / "none" / reader.name)


def test_a_folder(reader: Reader, tmp_path: Path) -> None:
    path = tmp_path / reader.name
    path.mkdir()
    line = line_of(reader, path)
    assert line.endswith(f"{reader.name}: cannot be read: it is a folder; {reader.kind.hint}")


def test_a_file_in_the_place_of_its_folder(reader: Reader, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    line = line_of(reader, tmp_path / "file" / reader.name)
    assert "cannot be read (not a directory); " in line


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_of_somebody_else(reader: Reader, tmp_path: Path) -> None:
    path = tmp_path / reader.name
    path.write_text(reader.text)
    path.chmod(0)
    assert "cannot be read (permission denied); " in line_of(reader, path)


def test_a_disk_that_fails(reader: Reader, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / reader.name
    path.write_text(reader.text)
    monkeypatch.setattr(Path, "open", broken)
    assert "cannot be read (permission denied); " in line_of(reader, path)


def test_a_name_no_file_can_have(reader: Reader, tmp_path: Path) -> None:
    with pytest.raises(reader.error, match="cannot be read"):
        reader.read(tmp_path / f"\0{reader.name}")


def test_a_name_with_line_breaks_stays_one_line(reader: Reader, tmp_path: Path) -> None:
    with pytest.raises(reader.error) as caught:
        reader.read(tmp_path / f"a\n\x1b[1m{reader.name}")
    assert str(caught.value).isprintable()


def test_a_file_beyond_the_limit_is_not_read_to_its_end(reader: Reader, tmp_path: Path) -> None:
    path = tmp_path / reader.name
    with path.open("wb") as file:
        file.truncate(reader.kind.max_bytes + 1)
    size = {100_000: "100 kB", 1_000_000: "1 MB", 10_000_000: "10 MB", 100_000_000: "100 MB"}
    told = f"larger than {size[reader.kind.max_bytes]}; {reader.kind.hint}"
    assert line_of(reader, path).endswith(told)


def test_the_limit_itself_is_allowed(reader: Reader, tmp_path: Path) -> None:
    small = replace(reader.kind, max_bytes=10)
    path = tmp_path / reader.name
    path.write_bytes(b"0123456789")
    assert read_text(path, small) == "0123456789"
    path.write_bytes(b"0123456789a")
    with pytest.raises(reader.error, match="larger than"):
        read_text(path, small)


def test_a_file_without_end(reader: Reader) -> None:
    endless = Path("/dev/zero")
    if not endless.exists():
        pytest.skip("needs a device without end")
    with pytest.raises(reader.error, match="zero: larger than"):
        reader.read(endless)


def test_text_in_another_encoding_is_told_with_its_line(reader: Reader, tmp_path: Path) -> None:
    path = tmp_path / reader.name
    lines = reader.text.encode().split(b"\n")
    lines[1] += "ü".encode("latin-1")
    path.write_bytes(b"\n".join(lines))
    told = f", line 2: not UTF-8 text; save the {reader.kind.noun} as UTF-8 text"
    assert line_of(reader, path).endswith(told)
    # A byte-order mark is no part of the first line.
    path.write_bytes(codecs.BOM_UTF8 + b"\n".join(lines))
    assert line_of(reader, path).endswith(told)


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [("utf-16-le", codecs.BOM_UTF16_LE), ("utf-16-be", codecs.BOM_UTF16_BE)],
)
def test_utf_16_that_breaks_off(reader: Reader, tmp_path: Path, encoding: str, mark: bytes) -> None:
    path = tmp_path / reader.name
    path.write_bytes(mark + "a\nb\n".encode(encoding) + b"\x00")
    assert line_of(reader, path).endswith(
        f", line 3: not text; save the {reader.kind.noun} as UTF-8 text"
    )


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-32"])
def test_two_or_four_bytes_a_letter_without_a_mark_that_is_known(
    reader: Reader, tmp_path: Path, encoding: str
) -> None:
    path = tmp_path / reader.name
    path.write_bytes("halfway\nx".encode(encoding))
    assert "not text; save the" in line_of(reader, path)


@pytest.mark.parametrize("content", [b"", b" \n\t\n ", codecs.BOM_UTF8, codecs.BOM_UTF16_LE])
def test_an_empty_file(reader: Reader, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / reader.name
    path.write_bytes(content)
    if reader.empty_is_fine:
        path.write_bytes(content.replace(b"\t", b""))
        assert reader.read(path) == ()
    else:
        assert f"{reader.name}: is empty; " in line_of(reader, path)


YAML_FAULTS = [
    ("a: b: c\n", ", line 1: not readable as YAML (mapping values are not allowed here); check"),
    ("a: 1\nb: ]\n", ", line 2: not readable as YAML ("),
    ("a:\n\tb: 1\n", ", line 2: indented with a tab; use spaces instead"),
    ("a: 1\nb: \x07\n", ", line 2: not readable as YAML; keep the"),
    ('a: "\\U99999999"\n', ": not readable as YAML; keep the"),
    ("%YAML 1.9\n---\na: 1\n", ": not readable as YAML; keep the"),
    ("a: &x [1]\nb: *x\n", ", line 1: references (& and *) are not used in a "),
    ("a: 1\nb: *x\n", ", line 2: references (& and *) are not used in a "),
    ("a: !!python/object:os.system x\n", ", line 1: tags (!) are not used in a "),
    ("a: 1\n---\na: 2\n", ", line 2: a second "),
    ("a: 1\nb: 2\na: 3\n", ', line 3: "a" is given twice (first on line 1); keep one'),
    ("? [a]\n: b\n", ", line 1: a key should be one plain word"),
    ("a: " + "[" * 5000, ", line 1: too long or too deeply nested for a "),
    ("a: " + "[" * 8 + "]" * 8, ", line 1: too long or too deeply nested for a "),
    ("a: [" + "1, " * 20_000 + "]", ", line 1: too long or too deeply nested for a "),
]


@pytest.mark.parametrize("name", [name for name, reader in READERS.items() if reader.yaml])
@pytest.mark.parametrize(("text", "told"), YAML_FAULTS)
def test_yaml_at_fault(name: str, text: str, told: str, tmp_path: Path) -> None:
    reader = READERS[name]
    path = tmp_path / reader.name
    path.write_text(text)
    assert f"{reader.name}{told}" in line_of(reader, path)


def test_values_know_their_lines() -> None:
    text = "title: 21\nrows:\n  - a: 1\n    b: yes\n  - [x, -2.5, '3', true, ~, 0:30]\n"
    found = read_yaml(text, "a.yaml", PLAN_FILE, text_keys=("title",))
    assert found.data == {
        "title": "21",
        "rows": [{"a": 1, "b": "yes"}, ["x", -2.5, "3", True, None, "0:30"]],
    }
    assert found.line_of(("rows", 0, "b")) == 4
    assert found.line_of(("rows", 1, 4)) == 5
    assert found.line_of(("rows", 0, "nowhere")) == 3
    assert found.deepest(("rows", 7)) == ("rows",)


def test_nesting_and_length_up_to_the_bound_are_read() -> None:
    deep = "[" * 8 + "1" + "]" * 8
    assert read_yaml(deep, "a", PLAN_FILE).data == [[[[[[[[1]]]]]]]]
    wide = "[" + "1, " * 19_999 + "]"
    assert len(read_yaml(wide, "a", PLAN_FILE).data) == 19_999


def test_json_may_be_indented_with_tabs(tmp_path: Path) -> None:
    path = tmp_path / "edits.json"
    path.write_text('{"edits": [\n\t{"do": "split",\n\t "at_s": 12.5}\n]}')
    assert [edit.at_s for edit in read_edits(path)] == [12.5]


def test_an_unknown_phrase_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("halfway: Half.\nwatre: Drink.\n")
    with pytest.raises(PhraseError, match=r'mine.yaml, line 2: unknown phrase "watre"; did you'):
        read_phrases(path)


def test_text_typed_into_a_form_passes_the_same_checks() -> None:
    assert text_of("\ufefftitle: Übung\n", "plan.yaml", PLAN_FILE) == "title: Übung\n"
    for typed, told in (("", "is empty"), ("a\0", "not text"), ("x" * 1_000_001, "larger than")):
        with pytest.raises(PlanError, match=told):
            text_of(typed, "plan.yaml", PLAN_FILE)


def test_a_workbook_has_the_same_limit() -> None:
    with pytest.raises(PlanError, match="larger than 1 MB"):
        plan_from_bytes(b"x" * 1_000_001, "plan.xlsx")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[" * 100_000, ", line 1: not JSON; give the review.json of a review"),
        ('{"schema": 1, "edits": [' + '{"a": ' * 300, ", line 1: not JSON"),
        ('{"schema":\n' + "9" * 5000 + "}", ", line 2: not JSON"),
        ('{"schema": "\\ud800"}', ", line 1: not JSON"),
        ('{"schema": 1\n', "line 2: not JSON"),
        ("[1]", ": not a review; give the review.json that takeproof review wrote"),
        ('{"periods": []}', ": not a review; give the review.json that takeproof review wrote"),
        ('{"schema": 2}', ': not a review of this version ("schema": input should be 1); review'),
        ('{"schema": 1}', ': not a review of this version ("clip": field required); review the'),
        (REVIEW.replace('"work"', '"wrok"'), '("periods.0.kind": input should be'),
    ],
)
def test_a_file_that_is_no_review(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "review.json"
    path.write_text(text, encoding="utf-8")
    assert told in line_of(READERS["review"], path)


def test_a_review_is_read_as_it_was_written(tmp_path: Path) -> None:
    made = review(labelled([period(0, "work", 0, 30, "squat")], ()))
    path = tmp_path / "review.json"
    path.write_text(made.to_json(), encoding="utf-8")
    assert read_review(path) == made
