"""Exercises that are answered by filling a table: passes, solders, lines of a quote."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Answer, Exercise, Found, Text, Verdict, text_for
from course_lib.classroom.fineness import Fineness, Whole, decimals_of
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed, read_answer, written_unit

_MOST_ROWS = 60
_LONGEST = 4000


@dataclass(frozen=True)
class Column:
    """A column to fill: numbers in a unit, whole numbers, or one of some words.

    Args:
        name: its head.
        unit: pint's name; empty for plain numbers.
        fineness: how finely it can be known.
        words: what can be written instead of a number, each with other ways to write it.
    """

    name: str
    unit: str = ""
    fineness: Fineness = field(default_factory=Whole)
    words: tuple[str, ...] = ()

    @property
    def head(self) -> str:
        """The name with its unit."""
        return f"{self.name} ({written_unit(self.unit)})" if self.unit else self.name

    def read(self, cell: Any) -> Any:
        """What stands in a cell, as a plain number or a word.

        Raises:
            Refused: neither.
        """
        if self.words:
            return self._word(str(cell).strip().lower())
        typed = read_answer(cell)
        if typed.amount is not None and self.unit:
            return float(typed.amount.m_as(self.unit))
        return typed.number

    def _word(self, text: str) -> str:
        found = [word for word in self.words if text and word.lower().startswith(text)]
        if text not in self.words and len(found) != 1:
            raise Refused(f"{text[:20]!r} is none of {', '.join(self.words)}.")
        return text if text in self.words else found[0]

    def near(self, one: Any, other: Any) -> bool:
        """Whether two cells cannot be told apart."""
        if self.words:
            return bool(one == other)
        tolerance = self.fineness.tolerance(float(other), self.unit)
        return abs(float(one) - float(other)) <= tolerance * (1 + 1e-9) + 1e-12

    def written(self, value: Any) -> str:
        """A cell as a careful learner would write it."""
        if self.words:
            return str(value)
        return f"{float(value):.{decimals_of(self.fineness.finest(float(value), self.unit))}f}"


@dataclass(frozen=True, kw_only=True)
class TableAsked(Exercise):
    """A table to fill, row by row.

    `expected` and the slips give a list of rows; a row is a list of plain numbers, in the units of the
    columns, and words.

    Args:
        columns: what is asked of each row.
        rows: the rows' names, in order.
    """

    columns: tuple[Column, ...] | Callable[[JobInHand], tuple[Column, ...]]
    rows: Callable[[JobInHand], Sequence[Text]]
    kind: ClassVar[str] = "table"
    many_lines: ClassVar[bool] = True

    def columns_for(self, job: JobInHand) -> tuple[Column, ...]:
        """The columns, which may follow the job."""
        return self.columns(job) if callable(self.columns) else self.columns

    def names(self, job: JobInHand) -> list[str]:
        """The names of the rows."""
        return [text_for(row, job) for row in self.rows(job)]

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """Its form, then every cell; the first wrong one is named."""
        names, columns = self.names(job), self.columns_for(job)
        try:
            given = self._read(answer, names, columns)
        except Refused as error:
            return Verdict(Found.UNREADABLE, str(error))
        wanted = self.expected(job)
        wrong = _first_wrong(given, wanted, columns)
        if wrong is None:
            return Verdict(Found.RIGHT, "Right.", more=text_for(self.well_done, job))
        return self.slip_of(given, job) or _named(wrong, given, wanted, names, columns)

    def _read(self, answer: Answer, names: list[str], columns: tuple[Column, ...]) -> list[list[Any]]:
        lines = _lines(answer)
        if lines and _is_head(lines[0]) and len(lines) == len(names) + 1:
            lines = lines[1:]
        if len(lines) != len(names):
            raise Refused(
                f"{len(lines)} rows came, and {len(names)} are asked: one line for each of {_listed(names)}."
            )
        read = []
        for name, cells in zip(names, lines, strict=True):
            if len(cells) == len(columns) + 1 and str(cells[0]).strip().lower() == name.lower():
                cells = cells[1:]
            if len(cells) != len(columns):
                heads = "; ".join(column.head for column in columns)
                raise Refused(
                    f"{name}: {len(cells)} cells came. Write {heads}, with semicolons between them."
                )
            read.append([self._cell(name, column, cell) for column, cell in zip(columns, cells, strict=True)])
        return read

    def _cell(self, name: str, column: Column, cell: Any) -> Any:
        try:
            return column.read(cell)
        except Refused as error:
            raise Refused(f"{name}, {column.name}: {error}") from None
        except Exception:  # a unit of another kind
            raise Refused(f"{name}, {column.name}: {str(cell)[:30]!r} does not do here.") from None

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """A line a row with semicolons, however the table came; text as it was typed."""
        if isinstance(answer, str):
            return answer.strip()[:_LONGEST]
        try:
            lines = _lines(answer)
        except Refused:  # it is no table
            return as_typed(answer)
        return "\n".join("; ".join(as_typed(cell) for cell in cells) for cells in lines)[:_LONGEST]

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Whether no cell can be told apart."""
        return len(one) == len(other) and _first_wrong(one, other, self.columns_for(job)) is None

    def written(self, value: Answer, job: JobInHand) -> str:
        """Row by row, with semicolons."""
        columns = self.columns_for(job)
        return "\n".join(
            "; ".join(column.written(cell) for column, cell in zip(columns, row, strict=True))
            for row in value
        )

    def form(self, job: JobInHand) -> str:
        """A line a row."""
        heads = "; ".join(column.head for column in self.columns_for(job))
        return (
            f"Write one line for each row, in this order: {_listed(self.names(job))}. In each line: {heads}."
        )

    def prompt(self, job: JobInHand) -> str:
        """A line in the right form."""
        return "; ".join(column.words[0] if column.words else "1.23" for column in self.columns_for(job))


def _first_wrong(given: Any, wanted: Any, columns: tuple[Column, ...]) -> tuple[int, int] | None:
    """Row and column of the first cell that is not as wanted."""
    for row, (mine, right) in enumerate(zip(given, wanted, strict=True)):
        for at, column in enumerate(columns):
            if not column.near(mine[at], right[at]):
                return row, at
    return None


def _named(
    wrong: tuple[int, int], given: Any, wanted: Any, names: list[str], columns: tuple[Column, ...]
) -> Verdict:
    row, at = wrong
    column = columns[at]
    where = f"{names[row]}, {column.name}"
    before = " What stands before it is right." if wrong > (0, 0) else ""
    if column.words:
        return Verdict(Found.WRONG, f"Look again at {where}.{before}")
    way = "large" if given[row][at] > wanted[row][at] else "small"
    return Verdict(Found.WRONG, f"{where}: too {way}.{before}")


def _listed(names: Sequence[str]) -> str:
    shown = list(names) if len(names) <= 12 else [*names[:3], "...", names[-1]]
    return ", ".join(shown)


def _lines(answer: Answer) -> list[list[Any]]:
    """An answer as rows of cells, however it came: text, a list of lists, or a table of pandas."""
    if hasattr(answer, "values") and hasattr(answer, "columns"):
        answer = answer.values.tolist()
    if isinstance(answer, str):
        text = answer[:_LONGEST].strip()
        return [_cells(line) for line in text.splitlines() if line.strip()][:_MOST_ROWS]
    if not isinstance(answer, (list, tuple)):
        raise Refused("This is no table. Write one line for each row.")
    return [list(row) if isinstance(row, (list, tuple)) else [row] for row in answer][:_MOST_ROWS]


def _cells(line: str) -> list[str]:
    """One line in its cells: at semicolons, tabs or bars; else at commas with a space, or at spaces."""
    for mark in (";", "\t", "|"):
        if mark in line:
            return [cell.strip() for cell in line.strip().strip("|").split(mark)]
    return [cell for cell in re.split(r",\s+|\s{2,}|\s+(?=[\d.]+(?:\s|$)|[a-zA-Z]+$)", line.strip()) if cell]


def _is_head(cells: Sequence[Any]) -> bool:
    return not any(re.search(r"\d", str(cell)) for cell in cells)
