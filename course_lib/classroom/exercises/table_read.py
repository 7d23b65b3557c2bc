"""Reading a table that was typed: a line a row, pasted from a spreadsheet, or given as a list of lists."""

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from course_lib.bench.refusals import Refused
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.typed import as_typed, called_after, read_answer, written_unit

_MOST_ROWS = 60
LONGEST = 4000
# of lines that some tables have under their head
_RULE = " |-:+=\t"


class ColumnForm(NamedTuple):
    """How the cells of a column are read: as numbers in a unit, as whole numbers, or as one of some words."""

    name: str
    unit: str = ""
    words: Sequence[str] = ()

    @property
    def head(self) -> str:
        """The name with its unit."""
        return f"{self.name} ({written_unit(self.unit)})" if self.unit else self.name

    def read(self, cell: Any) -> Any:
        """What stands in a cell, as a plain number or a word.

        Raises:
            Refused: neither.
        """
        text = as_typed(cell)
        if not text:
            raise Refused("nothing stands there.")
        if self.words:
            return self._word(text.lower())
        typed = read_answer(cell)
        if typed.amount is None:
            return typed.number
        if not self.unit:
            raise Refused(f"{text[:30]!r} has a unit; here a plain number is asked.")
        came, asked = called_after(str(typed.amount.units)), called_after(self.unit)
        if came != asked or not typed.amount.is_compatible_with(quantity(1.0, self.unit)):
            raise Refused(f"{text[:30]!r} is {came}; here {asked} is asked, in {written_unit(self.unit)}.")
        return float(typed.amount.m_as(self.unit))

    def _word(self, text: str) -> str:
        found = [word for word in self.words if text and word.lower().startswith(text)]
        if text not in self.words and len(found) != 1:
            raise Refused(f"{text[:20]!r} is none of {', '.join(self.words)}.")
        return text if text in self.words else found[0]


class TableForm(NamedTuple):
    """How a whole table is read.

    Args:
        rows: the rows' names, in order.
        columns: name, unit and words of each.
        counted: what a row stands for, where the learner must find how many there are; empty where the rows
            are given.
    """

    rows: Sequence[str]
    columns: Sequence[tuple[str, str, Sequence[str]]]
    counted: str = ""


def rows_read(answer: Any, form: TableForm) -> list[list[Any]]:
    """The rows of a table, as plain numbers and words.

    Args:
        answer: text, a list of lists, or a table of pandas.
        form: what is asked.

    Returns:
        A list of cells for each row.

    Raises:
        Refused: it is no such table; the message names row and column.

    >>> form = TableForm(["first"], [("taken", "percent", ()), ("anneal", "", ("yes", "no"))])
    >>> rows_read("22,5; yes", form)
    [[22.5, 'yes']]
    """
    columns, names = [ColumnForm(*each) for each in form.columns], list(form.rows)
    lines = lines_of(answer, columns)
    if lines and _is_head(lines[0], columns, len(lines) == len(names) + 1 and not form.counted):
        lines = lines[1:]
    if form.counted:
        names = [f"row {at}" for at in range(1, len(lines) + 1)]
    if len(lines) != len(names) or not lines:
        came = "1 row" if len(lines) == 1 else f"{len(lines)} rows"
        if form.counted:
            raise Refused(f"{came} came: write one line for each of the {form.counted}.")
        asked = f"one line for each of {listed(names)}"
        raise Refused(f"{came} came, and {len(names)} are asked: {asked}.")
    return [_row(name, cells, columns, form.counted) for name, cells in zip(names, lines, strict=True)]


def _row(name: str, cells: list[Any], columns: Sequence[ColumnForm], counted: str) -> list[Any]:
    if len(cells) == len(columns) + 1 and _is_name(cells[0], name, counted):
        cells = cells[1:]
    if len(cells) != len(columns):
        came = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
        heads = "; ".join(column.head for column in columns)
        raise Refused(f"{name}: {came} came. Write {heads}, with semicolons between them.")
    return [_cell(name, column, cell) for column, cell in zip(columns, cells, strict=True)]


def _cell(name: str, column: ColumnForm, cell: Any) -> Any:
    try:
        return column.read(cell)
    except Refused as error:
        raise Refused(f"{name}, {column.name}: {error}") from None
    except Exception:  # whatever a stranger's object does when it is read
        raise Refused(f"{name}, {column.name}: {as_typed(cell)[:30]!r} does not do here.") from None


def listed(names: Sequence[str]) -> str:
    """Names of rows in a sentence; of very many the first and the last."""
    shown = list(names) if len(names) <= 12 else [*names[:3], "...", names[-1]]
    return ", ".join(shown)


def lines_of(answer: Any, columns: Sequence[ColumnForm]) -> list[list[Any]]:
    """An answer as rows of cells, however it came: text, a list of lists, or a table of pandas.

    Raises:
        Refused: it is none of these.
    """
    try:
        if hasattr(answer, "values") and hasattr(answer, "columns"):
            answer = answer.values
        if hasattr(answer, "tolist"):
            answer = answer.tolist()
        if isinstance(answer, str):
            lines = [line.strip() for line in answer[:LONGEST].splitlines()]
            return [_cells(line, columns) for line in lines if line.strip(_RULE)][:_MOST_ROWS]
        if isinstance(answer, (list, tuple)):
            return [list(row) if isinstance(row, (list, tuple)) else [row] for row in answer][:_MOST_ROWS]
    except Exception:  # whatever a stranger's object does when it is looked at
        raise Refused("This is no table. Write one line for each row.") from None
    raise Refused("This is no table. Write one line for each row.")


def _cells(line: str, columns: Sequence[ColumnForm]) -> list[str]:
    """One line in its cells: at semicolons, tabs or bars; else at commas or spaces, as they can be read.

    >>> ways = ("22,5; yes", "22.5,yes", "22,5, yes", "22,5 yes", "pass 1,22.5,yes")
    >>> columns = (ColumnForm("taken", "percent"), ColumnForm("anneal", words=("yes", "no")))
    >>> [len(_cells(line, columns)) for line in ways]
    [2, 2, 2, 2, 3]
    """
    for mark in (";", "\t", "|"):
        if mark in line:
            bare = line.strip().strip("|") if mark == "|" else line
            return [cell.strip() for cell in bare.split(mark)]
    ways = [[cell.strip() for cell in re.split(way, line)] for way in (r",\s+", r"\s{2,}", ",", r"\s+")]
    fits = [cells for more in (0, 1) for cells in ways if len(cells) == len(columns) + more]
    return next((cells for cells in fits if _can_be_read(cells, columns)), fits[0] if fits else [line])


def _can_be_read(cells: Sequence[str], columns: Sequence[ColumnForm]) -> bool:
    """Whether each column can read its cell; a name may stand before them."""
    try:
        for column, cell in zip(columns, cells[len(cells) - len(columns) :], strict=True):
            column.read(cell)
    except Refused:
        return False
    return True


def _is_name(cell: Any, name: str, counted: str) -> bool:
    """Whether a first cell only says which row it is."""
    text = as_typed(cell).lower().rstrip(".)")
    return (
        text == name.lower() or text == name.split()[-1].lower() or bool(counted and re.search(r"\d", text))
    )


def _is_head(cells: Sequence[Any], columns: Sequence[ColumnForm], one_too_many: bool) -> bool:
    """Whether a first line holds the names of the columns; where a line is too many, words will do."""
    texts = [as_typed(cell).lower() for cell in cells]
    named = {name.lower() for column in columns for name in (column.name, column.head)}
    if any(text in named for text in texts):
        return True
    return one_too_many and not any(re.search(r"\d", text) for text in texts)
