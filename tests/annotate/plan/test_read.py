"""Reading plan files: three formats, one meaning; every fault one line that names the fix."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook

from annotate.errors import PlanError
from annotate.plan.read import parse_plan, plan_from_bytes, read_plan, suggest_movement
from annotate.plan.unroll import unroll

HEAD = "title: Harbour intervals\nblocks:\n  - name: Squat\n    movement: squat\n"
CSV = (
    "name,kind,movement,duration,rounds,work,recovery,reps,left,right,watch\n"
    "Warm-up,warm-up,March,4:00,,,,,,,\n"
    'Squat,,Hip hinge,,3,"20, 30, 40",20,,8,9,back; depth\n'
)


def fault(text: str | bytes, name: str = "harbour.plan.yaml") -> str:
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(PlanError) as caught:
        plan_from_bytes(data, name)
    line = str(caught.value)
    assert "\n" not in line and len(line) < 300
    assert line.startswith(name)
    return line


class TestYaml:
    def test_a_plan_written_by_hand_is_read(self) -> None:
        plan = parse_plan(
            HEAD + "    work: 0:30 # half a minute\n    watch: back depth\n", "a.yaml"
        )
        assert plan.title == "Harbour intervals"
        assert plan.blocks[0].work == (30,)
        assert plan.blocks[0].watch == ("back", "depth")

    def test_movements_match_whatever_the_case_and_the_spaces(self) -> None:
        text = "blocks: [{name: 21, movement: Hip hinge, work: 30, recovery_movement: Step_Touch}]"
        block = parse_plan(text, "a.yaml").blocks[0]
        assert (block.name, block.movement) == ("21", "hip-hinge")
        assert block.recovery_movement == "step-touch"

    def test_a_movement_nobody_knows_is_no_fault(self) -> None:
        plan = parse_plan("blocks: [{name: A, movement: Seal walk, work: 30}]", "a.yaml")
        assert plan.blocks[0].movement == "seal-walk"

    @pytest.mark.parametrize(
        ("added", "expected"),
        [
            ("wrok: 30", 'line 5, block "Squat": unknown key "wrok"; did you mean "work"?'),
            ("flavour: 1", 'unknown key "flavour"; known keys: movement, work'),
            ("work: banana", '"work" is "banana"; it should be seconds (30) or minutes:seconds'),
            ("work: -3", 'line 5, block "Squat": "work" is -3; it should be above 0'),
            ("work: 4:75", '"work" is "4:75"; it should be seconds (30)'),
            ("work:", '"work" has no value'),
            ("work: 30\n    work: 40", 'line 6: "work" is given twice (first on line 5)'),
            ("work: 30\n    rounds: two", 'line 6, block "Squat": "rounds" is "two"'),
            ("work: 30\n    rounds: 0", "at least 1"),
            ("work: 30\n    reps: fourteen", "a whole number (14) or {left: 8, right: 8}"),
            ("work: 30\n    reps: -1", '"reps" is -1; it should be at least 0'),
            ("work: 30\n    reps: {left: 8, rihgt: 8}", 'did you mean "right"?'),
            ("work: 30\n    cadence: fast", "such as 28/min"),
            ("work: [20, 30]\n    rounds: 3", "work lists 2 values for 3 rounds"),
            ("kind: warmup\n    duration: 30", 'did you mean "warm-up"?'),
            ("kind: break", "a break needs duration"),
            ("rounds: 3", 'line 3, block "Squat": an exercise needs either work'),
            ("stations: [{movement: squat}]", "station 1: a station needs movement and work"),
            ("stations: [{wrok: 3}]", 'station 1: unknown key "wrok"'),
            ("last_recovery: maybe\n    work: 3", "it should be true or false"),
        ],
    )
    def test_a_fault_in_a_block_names_line_key_value_and_fix(
        self, added: str, expected: str
    ) -> None:
        assert expected in fault(HEAD + f"    {added}\n")

    @pytest.mark.parametrize(
        ("number_format", "stored", "work_s"),
        [
            ("h:mm", dt.time(0, 20), 20),  # 0:20 as typed into an empty cell
            ("h:mm", dt.time(1, 30), 90),
            ("h:mm:ss", dt.time(0, 0, 20), 20),
            ("mm:ss", dt.time(0, 4, 0), 240),
            ("[h]:mm:ss", dt.time(4, 0), 240),
        ],
    )
    def test_times_in_a_workbook_are_read_as_they_were_meant(
        self, number_format: str, stored: dt.time, work_s: float
    ) -> None:
        book = Workbook()
        sheet = book.active
        assert sheet is not None
        sheet.append(["name", "movement", "work"])
        sheet.append(["Squat", "squat", stored])
        sheet["C2"].number_format = number_format
        data = io.BytesIO()
        book.save(data)
        assert plan_from_bytes(data.getvalue(), "plan.xlsx").blocks[0].work == (work_s,)

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("", "is empty"),
            ("# only a remark\n", "is empty"),
            ("hello", "is plain text; a plan starts with title: and blocks:"),
            ("- name: Squat\n", "is a list; a plan starts with"),
            ("title: x\n", '"blocks" is missing'),
            ("blocks: []\n", '"blocks" is empty'),
            ("blocks: squat\n", '"blocks" is "squat"; it should be a list'),
            ("blocks:\n- squat\n", 'line 2, block 1: this is "squat"'),
            ("blocks:\n- {work: 30}\n", '"name" is missing'),
            ("title: x\n\tblocks: []\n", "line 2: indented with a tab; use spaces"),
            ("title: a: b\n", "line 1: not readable as YAML"),
            ("blocks: [\n", "not readable as YAML"),
            ("a: &a [1]\nb: *a\n", "line 1: references (& and *) are not used"),
            ("a: !!python/object:os.system x\n", "tags (!) are not used"),
            ("title: x\n---\ntitle: y\n", "line 2: a second plan starts here"),
            ("? [a]\n: b\n", "a key should be one plain word"),
            ("title: \x00\n", "save the plan as UTF-8 text"),
            ("blocks: " + "[" * 5000, "too long or too deeply nested"),
            ("blocks: [" + "1, " * 30_000, "too long or too deeply nested"),
            ("countdown_s: 4\ntolerence: {seconds: 2}\n", 'did you mean "tolerance"?'),
            ("tolerance: {seconds: 0}\nblocks: []\n", '"seconds" is 0; it should be above 0'),
        ],
    )
    def test_a_file_that_is_no_plan_is_refused_in_one_line(self, text: str, expected: str) -> None:
        assert expected in fault(text)

    def test_text_in_another_encoding_is_named(self) -> None:
        assert "line 1: not UTF-8 text" in fault("title: Übung".encode("latin-1"))

    def test_a_huge_file_is_refused_unread(self) -> None:
        assert "larger than 1 MB" in fault(b"#" * 1_000_001)

    def test_rounds_cannot_multiply_stations_without_bound(self) -> None:
        stations = ", ".join(["{movement: squat, work: 3}"] * 200)
        text = f"blocks: [{{name: A, rounds: 100, stations: [{stations}]}}]"
        assert "more than 2000 periods" in fault(text)

    def test_control_characters_in_names_never_reach_the_message(self) -> None:
        with pytest.raises(PlanError) as caught:
            plan_from_bytes(b"title: x", "a\n\x1b[31m.yaml")
        assert str(caught.value).isprintable()


class TestTables:
    def test_csv_means_the_same_as_yaml(self) -> None:
        plan = parse_plan(CSV, "harbour.csv")
        work = [p for p in unroll(plan).periods if p.kind == "work"]
        assert plan.title == "harbour"
        assert [p.duration_s for p in work] == [20, 30, 40]
        assert (work[0].movement, work[0].reps, work[0].left) == ("hip-hinge", 17, 8)
        assert work[0].watch == ("back", "depth")

    def test_semicolons_between_columns_are_read(self) -> None:
        text = "Name;Movement;Work;Last recovery\nSquat;squat;30;no\n"
        block = parse_plan(text, "a.csv").blocks[0]
        assert block.work == (30,) and block.last_recovery is False

    def test_a_workbook_is_read_and_typed_minutes_stay_minutes(self) -> None:
        # Typing 4:00 into a spreadsheet stores four hours; typing 30:00, a span of 30 hours.
        plan = plan_from_bytes(
            _workbook(
                ("name", "kind", "movement", "duration", "rounds", "work"),
                ("Warm-up", "warm-up", "march", dt.time(4, 0), None, None),
                (None, None, None, None, None, None),
                ("Squat", None, "squat", None, 3.0, dt.time(0, 0, 40)),
                ("Cool-down", "cool-down", None, dt.timedelta(hours=30), None, None),
            ),
            "harbour.xlsx",
        )
        assert [b.duration for b in plan.blocks] == [240, None, 1800]
        assert plan.blocks[1].work == (40,) and plan.blocks[1].rounds == 3

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("", "is empty"),
            ("name,movement\n", "no rows"),
            (
                "Squat,squat,30\n",
                'line 1: the first line should hold the column names, including "name":',
            ),
            (
                "name;movement;work\nSquat;squat;20,5\n",
                'work "20,5" is either one number or two rounds; write 20.5 or "20 5"',
            ),
            ("name,wrok\nSquat,30\n", 'line 1: unknown column "wrok"; did you mean "work"?'),
            ("name,name\nSquat,x\n", 'column "name" appears twice'),
            ("name,work\nSquat,20,30\n", "line 2: more values than columns"),
            ("name,work\n\nSquat,x\n", 'line 3, block "Squat": "work" is "x"'),
            ("name,work,left\nSquat,30,8\n", '"left" and "right" go together'),
            ("name\n" + 140_000 * "x", "line 2: not readable as CSV (field larger than"),
            ("name,work,reps,left,right\nSquat,30,8,4,4\n", 'either "reps", or "left"'),
        ],
    )
    def test_a_fault_in_a_table_names_the_line(self, text: str, expected: str) -> None:
        assert expected in fault(text, "harbour.csv")

    def test_a_fault_in_a_workbook_names_the_row(self) -> None:
        book = _workbook(("name", "work"), ("Squat", "soon"))
        assert 'row 2, block "Squat": "work" is "soon"' in fault(book, "harbour.xlsx")

    def test_a_workbook_that_unpacks_to_far_more_is_refused(self) -> None:
        data = io.BytesIO()
        with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("xl/workbook.xml", b" " * 30_000_000)
        assert "unpacks to 30 MB" in fault(data.getvalue(), "harbour.xlsx")

    def test_something_else_named_xlsx_is_refused(self) -> None:
        assert "not a readable Excel workbook" in fault(b"hello", "harbour.xlsx")


class TestFiles:
    def test_a_missing_file_is_named(self, tmp_path: Path) -> None:
        with pytest.raises(PlanError, match=r"^nowhere.yaml: no such file"):
            read_plan(tmp_path / "nowhere.yaml")

    def test_a_folder_is_no_plan(self, tmp_path: Path) -> None:
        with pytest.raises(PlanError, match="cannot be read"):
            read_plan(tmp_path)

    def test_other_kinds_of_file_are_refused(self) -> None:
        assert "a plan is a .yaml, .csv or .xlsx file, not .docx" in fault("x", "harbour.docx")

    def test_a_byte_order_mark_is_no_fault(self, tmp_path: Path) -> None:
        path = tmp_path / "a.yaml"
        path.write_bytes(b"\xef\xbb\xbf" + HEAD.encode() + b"    work: 30\n")
        assert read_plan(path).title == "Harbour intervals"


@pytest.mark.parametrize(
    ("word", "meant"),
    [("Squats", "squat"), ("jumping jacks", "jumping-jack"), ("seal walk", None)],
)
def test_the_nearest_known_movement_is_suggested(word: str, meant: str | None) -> None:
    assert suggest_movement(word, ["march", "squat", "jumping-jack"]) == meant


def _workbook(*rows: tuple[object, ...]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()
