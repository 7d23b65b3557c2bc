"""The measuring sheet: what any spreadsheet exports must load, and what cannot be used is refused kindly."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.job import Job
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder

DEMOS = sorted(data_folder().glob("demo-*.csv"))


def four_claws() -> list[list[str]]:
    """The cells of a demo sheet, to spoil one at a time."""
    text = (data_folder() / "demo-four-claws.csv").read_text(encoding="utf-8-sig")
    return list(csv.reader(io.StringIO(text)))


def as_text(rows: list[list[str]], separator: str = ",", end: str = "\n") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=end).writerows(rows)
    return out.getvalue()


def row_of(rows: list[list[str]], part: str, size: str) -> int:
    return next(i for i, row in enumerate(rows) if row[:2] == [part, size])


def spoiled(part: str, size: str, column: int, value: str) -> str:
    rows = four_claws()
    rows[row_of(rows, part, size)][column] = value
    return as_text(rows)


def refusal(text: str) -> str:
    with pytest.raises(Refused) as caught:
        Job.from_text(text)
    return str(caught.value)


def values(job: Job) -> dict[str, float]:
    return {key: reading.value for key, reading in job.readings.items()}


def test_there_are_three_demo_jobs_unlike_each_other() -> None:
    jobs = [Job.load(path) for path in DEMOS]
    assert len(jobs) == 3
    assert sorted(job.claws for job in jobs) == [3, 4, 6]
    assert len({job.alloy for job in jobs}) == len({job.gem for job in jobs}) == 3
    assert all(job.title.startswith("Demo") for job in jobs)
    assert all(not any(remark.stop for remark in job.plan().remarks) for job in jobs)


def test_one_demo_sheet_is_as_a_european_spreadsheet_exports_it() -> None:
    content = (data_folder() / "demo-six-claws.csv").read_bytes()
    assert content.startswith(b"\xef\xbb\xbf")
    assert b"8,02;8,00" in content and b"\r\n" in content


def european(rows: list[list[str]]) -> str:
    changed = [[cell.replace(".", ",") if cell[:1].isdigit() else cell for cell in row] for row in rows]
    return as_text(changed, ";", "\r\n")


@pytest.mark.parametrize(
    "write",
    [
        lambda rows: as_text(rows).encode(),
        lambda rows: as_text(rows).encode("utf-8-sig"),
        lambda rows: as_text(rows, ";").encode(),
        lambda rows: as_text(rows, "\t").encode("utf-16"),
        lambda rows: european(rows).encode("cp1252"),
        lambda rows: european(rows).encode("utf-8-sig"),
        lambda rows: ("sep=;\r\n" + european(rows)).encode(),
        lambda rows: as_text([[f" {cell}  " for cell in row] for row in rows]).encode(),
        lambda rows: as_text([row for pair in rows for row in (pair, [""] * 8)]).encode(),
        lambda rows: as_text([[*row, "", ""] for row in rows]).encode(),
        lambda rows: b"\n\n" + as_text(rows, end="\r\n").encode() + b"\n,,,\n",
        lambda rows: as_text([[row[0].upper(), row[1].title(), *row[2:]] for row in rows]).encode(),
    ],
    ids=[
        "plain", "byte-order mark", "semicolons", "tabs, UTF-16", "decimal commas, Latin", "decimal commas",
        "separator line", "stray spaces", "blank lines", "empty columns", "empty rows around", "capitals",
    ],
)  # fmt: skip
def test_any_spreadsheets_export_reads_the_same(tmp_path: Path, write) -> None:
    sheet = tmp_path / "sheet.csv"
    sheet.write_bytes(write(four_claws()))
    assert values(Job.load(sheet)) == pytest.approx(values(Job.load(data_folder() / "demo-four-claws.csv")))


def test_readings_may_stand_in_one_cell() -> None:
    rows = four_claws()
    at = row_of(rows, "post", "wire")
    rows[at][4:7] = ["0,899 0,901; 0,900", "", ""]
    joined = Job.from_text(as_text(rows, ";"))
    assert joined.readings["post_wire"] == Job.from_text(as_text(four_claws())).readings["post_wire"]


@pytest.mark.parametrize(("unit", "factor"), [("in", 25.4), ("thou", 0.0254), ("cm", 10), ("µm", 0.001)])
def test_a_row_may_be_in_another_unit(unit: str, factor: float) -> None:
    """Inch of 25.4 mm: international yard and pound agreement, 1959."""
    rows = four_claws()
    at = row_of(rows, "back plate", "diameter")
    rows[at][2] = unit
    rows[at][4:7] = [repr(value / factor) for value in (5.80, 5.81, 5.79)]
    assert Job.from_text(as_text(rows)).readings["plate_diameter"].value == pytest.approx(5.80)


def test_a_wire_may_be_read_as_a_gauge_number() -> None:
    """ASTM B258: gauge 20 is 0.8118 mm."""
    rows = four_claws()
    at = row_of(rows, "claw", "wire")
    rows[at][2:7] = ["AWG", "micrometer", "20", "", ""]
    assert Job.from_text(as_text(rows)).readings["claw_wire"].value == pytest.approx(
        0.81182 - 0.001, abs=1e-5
    )


def test_a_single_reading_is_taken_with_a_warning() -> None:
    rows = four_claws()
    rows[row_of(rows, "post", "length")][5:7] = ["", ""]
    job = Job.from_text(as_text(rows))
    assert job.readings["post_length"].value == pytest.approx(10.52)
    assert any("post, length: one reading only" in remark for remark in job.remarks)
    assert any("one reading only" in str(remark) for remark in job.plan().remarks)


def test_the_zero_error_is_taken_off() -> None:
    """The sheet says the closed micrometer reads 0.001 mm; mean of the post's readings is 0.900."""
    assert Job.load(data_folder() / "demo-four-claws.csv").readings["post_wire"].value == pytest.approx(0.899)


BAD_CELLS = [
    ("post", "wire", 4, "-0.9", ("column 'reading 1'", "-0.9", "without the sign")),
    ("post", "wire", 5, "thin", ("column 'reading 2'", "thin", "0.81")),
    ("post", "wire", 4, "0.032 in", ("column 'reading 1'", "0.032 in", "one unit")),
    ("post", "wire", 4, "nan", ("column 'reading 1'", "nan", "not a number")),
    ("post", "wire", 4, "inf", ("column 'reading 1'", "inf", "not a number")),
    ("post", "wire", 4, "1e400", ("column 'reading 1'", "1e400")),
    ("post", "wire", 4, "0", ("column 'reading 1'", "more than that")),
    ("post", "wire", 4, "9.00", ("column 'reading 1'", "decimal mark")),
    ("post", "wire", 2, "", ("column 'unit'", "Write mm")),
    ("post", "wire", 2, "g", ("column 'unit'", "'g'", "mm")),
    ("post", "wire", 2, "furlong", ("column 'unit'", "furlong", "mm")),
    ("post", "wire", 3, "microscoop", ("column 'instrument'", "micrometer")),
    ("post", "wire", 3, "balance", ("column 'instrument'", "micrometer")),
    ("post", "wire", 1, "wyre", ("column 'size'", "wyre", "wire")),
    ("post", "wire", 0, "pots", ("column 'part'", "pots", "'post'")),
    ("piece", "claws", 4, "2", ("column 'reading 1'", "between 3 and 8")),
    ("piece", "claws", 4, "four", ("column 'reading 1'", "not a number")),
    ("piece", "claws", 4, "4.5", ("claws",)),
    ("piece", "alloy", 4, "586 yelow", ("586 yelow", "585 yellow")),
    ("stone", "gem", 4, "safire", ("safire", "corundum")),
]


@pytest.mark.parametrize(("part", "size", "column", "value", "said"), BAD_CELLS, ids=lambda v: str(v)[:24])
def test_a_bad_cell_is_refused_with_row_column_and_remedy(part, size, column, value, said) -> None:
    message = refusal(spoiled(part, size, column, value))
    for words in said:
        assert words in message
    assert f"Row {row_of(four_claws(), part, size) + 1}," in message
    assert message.endswith((".", "?"))


def test_inches_typed_as_mm_are_recognised() -> None:
    rows = four_claws()
    rows[row_of(rows, "post", "wire")][4:7] = ["0.035", "0.036", "0.035"]
    message = refusal(as_text(rows))
    assert "0.89 mm" in message and "inches" in message and "'unit'" in message


def test_a_slipped_decimal_mark_in_all_readings_is_recognised() -> None:
    rows = four_claws()
    rows[row_of(rows, "post", "wire")][4:7] = ["9.0", "9.0", "9.0"]
    assert "Did you mean 0.9?" in refusal(as_text(rows))


def test_a_missing_size_is_named_with_how_to_measure_it() -> None:
    rows = four_claws()
    del rows[row_of(rows, "claw", "wire")]
    message = refusal(as_text(rows))
    assert "'claw, wire'" in message and "below the girdle" in message


def test_a_size_given_twice_names_both_rows() -> None:
    rows = four_claws()
    at = row_of(rows, "post", "wire")
    rows.append(list(rows[at]))
    message = refusal(as_text(rows))
    assert f"Row {len(rows)}," in message and f"row {at + 1}" in message


def test_row_numbers_count_blank_lines() -> None:
    rows = four_claws()
    at = row_of(rows, "post", "wire")
    rows[at][4] = "thin"
    text = as_text(rows[:at]) + "\n\n" + as_text(rows[at:])
    assert f"Row {at + 3}," in refusal(text)


def test_unquoted_decimal_commas_between_commas_are_explained() -> None:
    rows = four_claws()
    text = (
        as_text([row for row in rows if row[:2] != ["post", "wire"]]) + "post,wire,mm,micrometer,0,90,0,91\n"
    )
    assert "semicolons" in refusal(text)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"   \n \n", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (b"PK\x03\x04 a workbook", "workbook"),
        (b"\x00\x01\x02" * 500, "not text"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not text"),
        (b"\xff\xfe\x00\xd8", "damaged"),
        (b"hello\nthere\n", "first row"),
        (b"part,size,unit,instrument\npost,wire,mm,micrometer\n", "'readings'"),
        (b'part,size,unit,instrument,readings\n"post,wire', "not a part"),
    ],
)
def test_a_file_that_is_no_sheet_is_refused_in_a_sentence(tmp_path: Path, content: bytes, said: str) -> None:
    sheet = tmp_path / "sheet.csv"
    sheet.write_bytes(content)
    with pytest.raises(Refused, match=said):
        Job.load(sheet)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    sheet = tmp_path / "huge.csv"
    with sheet.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(Refused, match="50 MB"):
        Job.load(sheet)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no such file"):
        Job.load(tmp_path / "none.csv")
    with pytest.raises(Refused, match="folder"):
        Job.load(tmp_path)


def test_a_choice_of_the_job_replaces_the_default_within_its_limits() -> None:
    rows = four_claws()
    rows.append(["choice", "post spare", "mm", "", "2.5"])
    assert Job.from_text(as_text(rows)).choices["post_spare"] == 2.5
    rows[-1][4] = "99"
    assert "post spare" in refusal(as_text(rows))
    rows[-1][1:5] = ["post sprae", "mm", "", "2"]
    assert "post spare" in refusal(as_text(rows))


def with_row(*cells: str) -> str:
    return as_text([*four_claws(), list(cells)])


BAD_ROWS = [
    (("fine balance", "closed reading", "mm", "", "0.4"), ("column 'unit'", "Write g")),
    (("caliper", "closed reading", "furlong", "", "0.01"), ("column 'unit'", "Write mm")),
    (("caliper", "closed reading", "mm", "", "3"), ("large zero error",)),
    (("caliper", "closed reading", "mm", "", ""), ("no reading",)),
    (("micrometer", "closed reading", "mm", "", "0.002"), ("another row",)),
    (("choice", "hold length", "cm", "", "2"), ("column 'unit'", "Write mm")),
    (("choice", "papers", "", "", "banana"), ("banana", "paper")),
    (("choice", "ring blade", "", "", "9/9"), ("9/9", "blade")),
    (("choice", "post spare", "mm", "", "lots"), ("post spare", "not a number")),
]


@pytest.mark.parametrize(("cells", "said"), BAD_ROWS, ids=lambda v: " ".join(v)[:40])
def test_a_bad_gauge_or_choice_is_refused_with_its_row(cells, said) -> None:
    message = refusal(with_row(*cells))
    assert message.startswith(f"Row {len(four_claws()) + 1}, column ")
    for words in said:
        assert words in message


def test_a_balance_closed_in_milligrams_is_taken_off_in_milligrams() -> None:
    job = Job.from_text(with_row("fine balance", "closed reading", "mg", "", "4"))
    before = Job.from_text(as_text(four_claws()))
    assert before.readings["weight"].value - job.readings["weight"].value == pytest.approx(0.004)


def test_a_zero_error_that_leaves_no_size_is_refused() -> None:
    message = refusal(with_row("loupe scale", "closed reading", "mm", "", "0.49"))
    assert "closed gauge" in message and "loupe scale" in message


def test_two_choices_of_one_kind_and_two_unlike_counts_are_refused() -> None:
    rows = [*four_claws(), ["choice", "post spare", "", "", "2"], ["choice", "post spare", "", "", "1"]]
    assert "another row" in refusal(as_text(rows))
    assert "second count" in refusal(spoiled("piece", "claws", 5, "6"))


@pytest.mark.parametrize(("said", "mm"), [("0", 8.2515), ("20", 0.8118)])
def test_gauge_numbers_are_whole(said: str, mm: float) -> None:
    """ASTM B258."""
    rows = four_claws()
    rows[row_of(rows, "stock", "wire diameter")][2:7] = ["AWG", "micrometer", said, "", ""]
    assert Job.from_text(as_text(rows)).readings["wire_start"].value == pytest.approx(mm - 0.001, abs=1e-3)
    rows[row_of(rows, "stock", "wire diameter")][4] = "8.5"
    assert "not a wire gauge number" in refusal(as_text(rows))


SIGNS = st.text(alphabet="0123456789.,;/-\t \"'mminawgµ½\n\r\ufeff\x00é", max_size=6)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_whatever_is_typed_only_refusals_come_out(data) -> None:
    """Cells, and whole rows, changed at random: a job or a refusal, never anything else."""
    rows = four_claws()
    for _ in range(data.draw(st.integers(1, 4))):
        row = data.draw(st.integers(0, len(rows) - 1))
        column = data.draw(st.integers(0, len(rows[row]) - 1))
        rows[row][column] = data.draw(SIGNS)
    text = as_text(rows, data.draw(st.sampled_from([",", ";", "\t"])))
    try:
        Job.from_text(
            text[: data.draw(st.integers(0, len(text)))] if data.draw(st.booleans()) else text
        ).plan()
    except Refused as refused:
        assert str(refused).strip()


def test_numbers_of_any_length_are_refused() -> None:
    assert "signs long" in refusal(spoiled("post", "wire", 4, "9" * 400)) or "not a number" in refusal(
        spoiled("post", "wire", 4, "9" * 5000 + "/1")
    )
    with pytest.raises(Refused):
        Job.from_text("x" * 200_000 + ",size,unit,readings\n")
