"""The tables and demo sheets of data/ as other spreadsheets save them, and what is said of broken ones."""

import csv
import io
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from course_lib.bench import tables
from course_lib.bench.cut_list import cut_list_rows
from course_lib.bench.imagined import imagine
from course_lib.bench.job import Job
from course_lib.bench.measuring_sheet import MeasuringSheet, read_sheet
from course_lib.bench.refusals import Refused

FILES = sorted(tables.data_folder().glob("*.csv"))
DATA = [path for path in FILES if not path.stem.startswith("demo")]
DEMOS = [path for path in FILES if path.stem.startswith("demo")]
ORIGINAL = tables.data_folder()
DECIMAL = re.compile(r"-?\d+\.\d+")

Cells = list[list[str]]


def cells_of(path: Path) -> Cells:
    text = path.read_text(encoding="utf-8-sig")
    head = text.splitlines()[0]
    return list(csv.reader(io.StringIO(text), delimiter=";" if head.count(";") > head.count(",") else ","))


def written(cells: Cells, separator: str = ",", newline: str = "\r\n") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=newline).writerows(cells)
    return out.getvalue()


def german(cells: Cells) -> bytes:
    """Semicolons, decimal commas, byte-order mark, Windows line ends."""
    comma = [[c.replace(".", ",") if DECIMAL.fullmatch(c) else c for c in row] for row in cells]
    return written(comma, ";").encode("utf-8-sig")


def unicode_text(cells: Cells) -> bytes:
    return written(cells, "\t").encode("utf-16")


def untidy(cells: Cells) -> bytes:
    """Every cell quoted, spaces behind, blank lines, a line that names the separator, trailing commas."""
    lines = [";".join(f'"{cell.replace(chr(34), chr(34) * 2)}  "' for cell in row) + ";;" for row in cells]
    return ("sep=;\n;;;\n" + "\n\n".join(lines) + "\n;;\n").encode()


def shortened(cells: Cells) -> bytes:
    """Numbers as a sheet's general format shows them (0.30 as 0.3, 00 as 0), in Windows letters."""
    short = [[f"{float(c):.12g}" if re.fullmatch(r"\d+(\.\d+)?", c) else c for c in row] for row in cells]
    return written(short).encode("cp1252", errors="replace")


SAVED: dict[str, Callable[[Cells], bytes]] = {"german": german, "utf-16": unicode_text, "untidy": untidy}


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of data/ that the course reads for one test, and nothing remembered before or after it."""
    for path in FILES:
        (tmp_path / path.name).write_bytes(path.read_bytes())
    monkeypatch.setattr(tables, "data_folder", lambda: tmp_path)
    forget()
    yield tmp_path
    forget()


def forget() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("course_lib"):
            for found in list(vars(module).values()):
                if hasattr(found, "cache_clear"):
                    found.cache_clear()


def test_there_are_tables_to_try() -> None:
    assert len(FILES) > 10 and len(DATA) > 10 and len(DEMOS) >= 3


@pytest.mark.parametrize("saved", SAVED)
@pytest.mark.parametrize("path", DATA, ids=lambda p: p.stem)
def test_a_table_is_read_as_any_spreadsheet_saves_it(path: Path, saved: str, data: Path) -> None:
    before = [dict(row) for row in tables.rows_of(path.stem)]
    (data / path.name).write_bytes(SAVED[saved](cells_of(path)))
    forget()
    assert [dict(row) for row in tables.rows_of(path.stem)] == before != []


def said_by(sheet: MeasuringSheet) -> list[object]:
    readings = {key: vars(reading) for key, reading in sheet.readings.items()}
    return [sheet.names, sheet.counts, readings, sheet.shared, sheet.choices, sheet.remarks]


@pytest.mark.parametrize("saved", SAVED)
@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_a_demo_sheet_is_read_as_any_spreadsheet_saves_it(path: Path, saved: str, tmp_path: Path) -> None:
    again = tmp_path / path.name
    again.write_bytes(SAVED[saved](cells_of(path)))
    assert said_by(read_sheet(again)) == said_by(read_sheet(path))


WHOLE = """
import sys
from pathlib import Path
from course_lib.bench import tables
tables.data_folder = lambda: Path(sys.argv[1])
from course_lib.bench.cut_list import cut_list_rows
from course_lib.bench.job import Job
from course_lib.bench.steps import bench_steps
from course_lib.classroom.page.cautions import cautions
from course_lib.classroom.page.glossary import glossary
for sheet in sorted(Path(sys.argv[1]).glob("demo-*.csv")):
    plan = Job.load(sheet).plan()
    print(*cut_list_rows(plan), *bench_steps(plan), sep="\\n")
print(glossary(), cautions("solder"))
"""


def whole_course(folder: Path) -> str:
    run = subprocess.run(
        [sys.executable, "-X", "utf8", "-c", WHOLE, str(folder)],
        capture_output=True,
        encoding="utf-8",
        check=True,
        cwd=Path(__file__).parent.parent,
    )
    return run.stdout


@pytest.mark.parametrize("saved", [*SAVED.values(), shortened], ids=[*SAVED, "shortened"])
def test_plans_come_out_the_same_from_a_folder_that_was_saved_anew(
    saved: Callable[[Cells], bytes], tmp_path: Path
) -> None:
    for path in FILES:
        (tmp_path / path.name).write_bytes(saved(cells_of(path)))
    before, after = whole_course(ORIGINAL), whole_course(tmp_path)
    assert len(before.splitlines()) > 300
    assert after == before


# --- what cannot be read is said ------------------------------------------------------------------
def everything(table: str) -> None:
    """Use what stands in a table, as the course does."""
    for row in tables.rows_of(table):
        for column in cells_of(ORIGINAL / f"{table}.csv")[0]:
            row[column]
    plan = Job.load(DEMOS[0]).plan()
    list(cut_list_rows(plan))
    imagine(plan, 10)


def spoil(data: Path, table: str, change: Callable[[Cells], object]) -> str:
    """What is said of a table in which something was changed."""
    cells = cells_of(ORIGINAL / f"{table}.csv")
    change(cells)
    (data / f"{table}.csv").write_bytes(german(cells))
    forget()
    with pytest.raises(Refused) as refused:
        everything(table)
    return str(refused.value)


def short_row(cells: Cells) -> None:
    cells[1] = cells[1][:1]


def drop_second_column(cells: Cells) -> None:
    for row in cells:
        del row[1]


@pytest.mark.parametrize("path", DATA, ids=lambda p: p.stem)
def test_a_missing_column_is_named_with_those_that_came(path: Path, data: Path) -> None:
    heads = cells_of(path)[0]
    said = spoil(data, path.stem, drop_second_column)
    assert path.name in said and "row 1" in said and f"'{heads[1]}'" in said
    assert f"{heads[0]}, {', '.join(heads[2:])}" in said


@pytest.mark.parametrize("path", DATA, ids=lambda p: p.stem)
def test_a_row_with_too_few_cells_is_named(path: Path, data: Path) -> None:
    said = spoil(data, path.stem, short_row)
    assert path.name in said and "row 2" in said and f"column '{cells_of(path)[0][1]}'" in said


@pytest.mark.parametrize("path", DATA, ids=lambda p: p.stem)
def test_an_empty_file_is_named(path: Path, data: Path) -> None:
    said = spoil(data, path.stem, list.clear)
    assert path.name in said and "row 1" in said and "empty" in said


NUMBERS = [
    ("abrasives", "grain_um"),
    ("alloys", "solidus_degC"),
    ("alloys", "yield_hard_MPa"),
    ("blades", "kerf_mm"),
    ("drawplate", "diameter_mm"),
    ("drills", "diameter_mm"),
    ("elements", "density_g_cm3"),
    ("hallmark_limits", "exempt_below_g"),
    ("instruments", "instrument_uncertainty"),
    ("maker_scatter", "spread_mm"),
    ("minutes", "minutes_likely"),
    ("practice", "value"),
    ("prices", "price_per_gram_fine"),
    ("sheet_sizes", "least"),
    ("solders", "flow_degC"),
    ("stones", "specific_gravity"),
]


def fill(cells: Cells, column: str, text: str) -> None:
    """Put a text into every cell of a column that holds a number, so that the first one used is met."""
    at = cells[0].index(column)
    for row in cells[1:]:
        row[at] = text if re.fullmatch(r"\d+(\.\d+)?", row[at]) else row[at]


@pytest.mark.parametrize(("table", "column"), NUMBERS)
def test_a_letter_in_a_number_is_named(table: str, column: str, data: Path) -> None:
    said = spoil(data, table, lambda cells: fill(cells, column, "0.3o"))
    assert f"data/{table}.csv" in said and re.search(r"row \d+", said) and f"column '{column}'" in said
    assert "0.3o" in said and "Write for example" in said


@pytest.mark.parametrize(("table", "column"), [("blades", "kerf_mm"), ("practice", "value")])
def test_an_empty_cell_where_a_number_is_needed_is_named(table: str, column: str, data: Path) -> None:
    said = spoil(data, table, lambda cells: fill(cells, column, ""))
    assert f"data/{table}.csv, row" in said and f"column '{column}'" in said and "empty" in said


@pytest.mark.parametrize("row", cells_of(ORIGINAL / "practice.csv")[1:], ids=lambda row: row[0])
def test_a_row_that_was_taken_out_of_practice_is_named_or_not_needed(row: list[str], data: Path) -> None:
    cells = [each for each in cells_of(ORIGINAL / "practice.csv") if each != row]
    (data / "practice.csv").write_bytes(german(cells))
    forget()
    with pytest.raises(Refused, match=row[0]) as refused:
        everything("practice")
        tables.practice(row[0])
    assert "data/practice.csv" in str(refused.value) and "Put the row back" in str(refused.value)


def test_an_unknown_unit_of_a_choice_is_named(data: Path) -> None:
    said = spoil(data, "practice", lambda cells: cells[4].__setitem__(2, "furlong"))
    assert "data/practice.csv, row 5, column 'unit'" in said and "furlong" in said and "mm" in said


def test_text_behind_the_last_column_is_named(data: Path) -> None:
    said = spoil(data, "blades", lambda cells: cells[2].append("left over"))
    assert "data/blades.csv, row 3" in said and "left over" in said


def test_a_nameless_row_is_named(data: Path) -> None:
    said = spoil(data, "blades", lambda cells: cells[2].__setitem__(0, ""))
    assert "data/blades.csv, row 3, column 'blade'" in said


def test_a_comma_that_may_be_a_thousand_is_not_guessed_at(data: Path) -> None:
    cells = cells_of(ORIGINAL / "practice.csv")
    at = next(i for i, row in enumerate(cells) if row[0] == "viewing_distance")
    cells[at][4] = "2,000"
    (data / "practice.csv").write_text(written(cells), encoding="utf-8")
    forget()
    with pytest.raises(Refused, match=rf"practice.csv, row {at + 1}, column 'most'.*thousand"):
        everything("practice")
