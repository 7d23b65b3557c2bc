"""The class list, as schools export it, and tables in which no cell runs as a formula."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from course_lib.bench.for_spreadsheets import as_cell, as_csv, csv_file, printable
from course_lib.bench.refusals import Refused
from course_lib.classroom.school.class_list import Learner, read_class
from tests.invented_class import NAMES, class_list

TWO = [Learner("17", "Ann Example"), Learner("18", "Bo Sample")]


@pytest.mark.parametrize(
    "text",
    [
        "name,number\nAnn Example,17\nBo Sample,18\n",
        "Student ID;Student Name\n17;Ann Example\n18;Bo Sample\n",
        "ID number\tSurname\tFirst name\n17\tExample\tAnn\n18\tSample\tBo\n",
        '"Last name","Given name","E-mail address"\n"Example","Ann","17"\n"Sample","Bo","18"\n',
        "Nachname;Vorname;Matrikelnummer\nExample;Ann;17\nSample;Bo;18\n",
        "sep=;\nnombre;apellidos;número\nAnn;Example;17\nBo;Sample;18\n",
        "\n\n  Full Name ,  Learner_Number , Group\n Ann  Example , 17 , A\n\n Bo Sample , 18 , B\n , , \n",
        "Learner.;No.\r\nAnn Example;17\r\nBo Sample;18\r\n",
        "Name,First name,ID\nExample,Ann,17\nSample,Bo,18\n",
        "Surname,Name,ID\nExample,Ann,17\nSample,Bo,18\n",
        "Name,Surname,ID\nAnn Example,Example,17\nBo Sample,Sample,18\n",
        "Class G2 in autumn 2026\n\nPrinted on Monday;;\nNr.;Name;Vorname\n17;Example;Ann\n18;Sample;Bo\n",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_every_export_is_read(tmp_path: Path, text: str, encoding: str) -> None:
    path = tmp_path / "class.csv"
    path.write_bytes(text.encode(encoding))
    assert read_class(path) == TWO


def test_names_of_any_alphabet_and_without_a_number(tmp_path: Path) -> None:
    path = tmp_path / "class.csv"
    path.write_text(class_list(), encoding="utf-8")
    assert [each.name for each in read_class(path)] == list(NAMES)
    path.write_text("name\n" + "\n".join(name.replace(",", " ") for name in NAMES), encoding="utf-8")
    assert [each.number for each in read_class(path)] == [str(at) for at in range(1, len(NAMES) + 1)]
    path.write_bytes("name\nJosé Müller\n".encode("cp1252"))
    assert read_class(path)[0].name == "José Müller"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"\n \n;;\n", "empty"),
        (b"name,number\n", "lists nobody"),
        (b"colour,shape\nred,round\n", "no column for the name"),
        (b"name,number\nAnn,17\nBo,17\n", "Row 3: the number '17' stands in row 2 too"),
        (b"PK\x03\x04...", "workbook"),
        (b"name\nAnn\x00\n", "not text"),
        (b"name,number\nAnn\x07Bell,17\n", "Row 2: the name"),
        (b"name,number\n" + b"x" * 500 + b",17\n", "Row 2: the name"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_row(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "class.csv"
    path.write_bytes(content)
    with pytest.raises(Refused, match=said.replace("'", ".")):
        read_class(path)


def test_no_list_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no such file"):
        read_class(tmp_path / "none.csv")
    with pytest.raises(Refused, match="is a folder"):
        read_class(tmp_path)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "class.csv"
        path.write_bytes(text.encode("utf-8", "replace"))
        try:
            assert read_class(path)
        except Refused as refusal:
            assert len(str(refusal)) < 600


# --- cells ---------------------------------------------------------------------------------------------

# What starts a formula in the usual spreadsheets: see OWASP, CSV Injection: = + - @, tab and carriage return.
DANGEROUS = ("=", "+", "-", "@", "\t", "\r")


@given(st.text(max_size=30), st.sampled_from([*DANGEROUS, " =", "＝", "\n="]))
def test_no_cell_starts_a_formula(text: str, start: str) -> None:
    for value in (start + text, text):
        cell = as_cell(value)
        assert not cell.startswith(DANGEROUS) and not cell.lstrip().startswith(("=", "+", "-", "@"))
        # and it stays in its cell and its row
        row = next(csv.reader(io.StringIO(as_csv([["first", value, "last"]]))))
        assert row == ["first", cell, "last"]


@given(
    st.lists(st.lists(st.one_of(st.text(), st.integers(), st.floats()), min_size=1, max_size=4), max_size=4)
)
def test_any_table_is_written_and_read_back(rows: list[list[Any]]) -> None:
    for separator in (",", ";"):
        text = csv_file(rows, separator).decode("utf-8-sig")
        back = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
        assert [len(row) for row in back] == [len(row) if row != [""] else 1 for row in rows]


def test_numbers_stay_numbers_and_half_signs_can_be_written() -> None:
    assert [as_cell(value) for value in (-3, 2.5, None, 0, 66.7)] == ["-3", "2.5", "", "0", "66.7"]
    assert printable("a\ud800b") == "a?b" and printable("µ山") == "µ山"
