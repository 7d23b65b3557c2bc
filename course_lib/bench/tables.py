"""The tables in data/: read once, each row with its basis and source."""

import functools
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any

from course_lib.bench.csv_read import exported_text, filled_lines, filled_rows, split_lines
from course_lib.bench.refusals import Refused

LARGEST_TABLE = 5_000_000
# Columns at the end of a row that some spreadsheets leave out where nothing stands in them.
_MAY_BE_LEFT_OUT = ("also_said", "note", "source", "why")
_COMMA = re.compile(r"[-+\u2212]?\d+,\d+")
# In a file whose columns stand apart by commas this is as likely a thousand as a decimal.
_TWO_WAYS = re.compile(r"[-+\u2212]?[1-9]\d{0,2},\d{3}")
_NUMBER = re.compile(r"[-+\u2212]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?")


class TableRow(Mapping[str, str]):
    """One row of a table in data/: its cells by column, and where it stands, for what must be said of it."""

    __slots__ = ("_cells", "file", "number")

    def __init__(self, cells: Mapping[str, str], file: str, number: int) -> None:
        self._cells, self.file, self.number = cells, file, number

    def __getitem__(self, column: str) -> str:
        try:
            return self._cells[column]
        except KeyError:
            raise Refused(
                f"data/{self.file}, row 1: there is no column '{column}'. The columns that came are: "
                f"{', '.join(self._cells)}. Write '{column}' over its column again."
            ) from None

    def __contains__(self, column: object) -> bool:
        return column in self._cells

    def get(self, column: str, otherwise: str = "") -> str:  # type: ignore[override]
        """What stands in a column that a table need not have."""
        return self._cells.get(column, otherwise)

    def __iter__(self) -> Iterator[str]:
        return iter(self._cells)

    def __len__(self) -> int:
        return len(self._cells)

    def __repr__(self) -> str:
        return f"TableRow({self._cells}, {self.file!r}, {self.number})"

    def refuse(self, column: str, message: str) -> Refused:
        """What cannot be used in a cell of this row, said with file, row and column."""
        return Refused(f"data/{self.file}, row {self.number}, column '{column}': {message}")

    def amount(self, column: str, empty: float | None = None) -> float:
        """The number in a cell.

        Args:
            column: of the cell.
            empty: the number that an empty cell stands for; left out, the cell must be filled.

        Returns:
            The number.

        Raises:
            Refused: the cell is empty or holds no number; the message has file, row and column.

        >>> rows_of("drills")[1].amount("diameter_mm")
        0.22
        """
        said = self[column]
        if not said and empty is not None:
            return empty
        if not _NUMBER.fullmatch(said):
            came = f"{said!r} is no number" if said else "a number is needed here, and the cell is empty"
            twice = " A comma can mean a thousand here: write 2000, or 2.0." if "," in said else ""
            raise self.refuse(column, f"{came}. Write for example 0.35 or 0,35.{twice}")
        return float(said.replace("\u2212", "-"))


class _ByName(dict[str, TableRow]):
    """The rows of a table by name; a name that is not there is refused with what to put back."""

    def __init__(self, table: str, key: str) -> None:
        super().__init__()
        self.table, self.key = table, key
        for row in rows_of(table):
            if not row[key]:
                raise row.refuse(key, "the cell is empty. Write the name, or take the whole row out.")
            self[row[key]] = row

    def __missing__(self, name: str) -> TableRow:
        raise Refused(
            f"data/{self.table}.csv has no row with {name!r} in the column '{self.key}', and the sums need "
            "it. Put the row back, or take the table from a fresh copy of the course."
        )


def data_folder() -> Path:
    """Where the tables and the demo jobs lie: in the installed package, else beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent / "data"


@functools.cache
def rows_of(table: str) -> tuple[TableRow, ...]:
    """The rows of a table in data/.

    Raises:
        Refused: the table is empty or cannot be read; the message has file and row.

    >>> rows_of("elements")[0]["name"]
    'gold'
    """
    file = f"{table}.csv"
    lines = split_lines(exported_text(data_folder() / file, "a table", LARGEST_TABLE))
    first = next(filled_lines(lines), None)
    if first is None:
        raise Refused(
            f"data/{file}, row 1: the file is empty. Take the table from a fresh copy of the course."
        )
    try:
        found = filled_rows(lines, first)
    except Refused as error:
        raise Refused(f"data/{file}: {error}") from None
    (_, heads), *rows = found.filled
    as_comma = found.separator == ","
    return tuple(_row(file, number, heads, cells, as_comma) for number, cells in rows)


def _row(file: str, number: int, heads: Sequence[str], cells: list[str], as_comma: bool) -> TableRow:
    """One row; numbers stand in it with a decimal point, whichever mark the spreadsheet wrote."""
    if len(cells) < len(heads):
        missing = heads[len(cells) :]
        needed = [column for column in missing if column and column not in _MAY_BE_LEFT_OUT]
        if needed:
            raise Refused(
                f"data/{file}, row {number}, column '{needed[0]}': the row ends before it, with {len(cells)} "
                f"cells for {len(heads)} columns. Write all cells, the empty ones too."
            )
        cells = [*cells, *("" for _ in missing)]
    elif any(cells[len(heads) :]):
        raise Refused(
            f"data/{file}, row {number}, column '{heads[-1]}': {cells[len(heads)]!r} stands behind the last "
            f"column. Put quotes round a text that holds the sign between the columns."
        )
    for at, cell in enumerate(cells):
        if "," in cell and _COMMA.fullmatch(cell) and not (as_comma and _TWO_WAYS.fullmatch(cell)):
            cells[at] = cell.replace(",", ".")
    return TableRow({head: cell for head, cell in zip(heads, cells, strict=False) if head}, file, number)


@functools.cache
def table_by(table: str, key: str) -> Mapping[str, TableRow]:
    """The rows of a table, found by the text in one column."""
    return MappingProxyType(_ByName(table, key))


@functools.cache
def _other_names(table: str, key: str) -> Mapping[str, str]:
    names = {row[key].lower(): row[key] for row in rows_of(table)}
    for row in rows_of(table):
        for other in row.get("also_said").split(";"):
            if other.strip():
                names.setdefault(other.strip().lower(), row[key])
    return names


def find(table: str, key: str, wanted: str, called: str) -> TableRow:
    """One row by name, in any of the names the trade gives it.

    Args:
        table: the table's name.
        key: the column that holds its own name.
        wanted: what the person wrote.
        called: what it is, for the message.

    Returns:
        The row.

    Raises:
        Refused: there is none; the message offers the nearest.

    >>> find("stones", "gem", "Sapphire", "a stone")["gem"]
    'corundum'
    """
    names = _other_names(table, key)
    tidy = " ".join(str(wanted).lower().split())
    if tidy in names:
        return table_by(table, key)[names[tidy]]
    near = get_close_matches(tidy, names, n=2, cutoff=0.4)
    offer = " or ".join(dict.fromkeys(names[n] for n in near)) or ", ".join(
        row[key] for row in rows_of(table)
    )
    raise Refused(f"{wanted!r} is not {called} known here. Nearest: {offer}.")


@functools.cache
def numbers_of(table: str, column: str) -> tuple[float, ...]:
    """A whole column as numbers, in the order of the table.

    >>> numbers_of("drills", "diameter_mm")[:3]
    (0.2, 0.22, 0.25)
    """
    return tuple(row.amount(column) for row in rows_of(table))


@functools.cache
def practice(parameter: str) -> float:
    """The default of one of the trade's choices, from data/practice.csv.

    >>> practice("fold_share")
    0.75
    """
    return table_by("practice", "parameter")[parameter].amount("value")


@functools.cache
def practice_names(parameter: str) -> tuple[str, ...]:
    """A choice that is made of names, such as the ladder of papers."""
    return tuple(table_by("practice", "parameter")[parameter]["value"].split())


def frame(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> Any:
    """A pandas table. pandas is loaded here, at first use, for it takes longer than the sums."""
    import pandas

    listed = list(rows)
    by_column = zip(*listed, strict=True) if listed else ([] for _ in columns)
    return pandas.DataFrame(dict(zip(columns, map(list, by_column), strict=True)), columns=list(columns))
