"""Exercises that are answered by filling a table: passes, solders, lines of a quote.

A table is typed as text, a line a row, pasted from a spreadsheet, or given as a list of lists.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.refusals import Refused
from course_lib.bench.units import quantity
from course_lib.classroom.exercise import Answer, Exercise, Found, Text, Verdict, text_for
from course_lib.classroom.fineness import Fineness, Whole, decimals_of
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed, called_after, read_answer, written_unit

_MOST_ROWS = 60
_LONGEST = 4000
# of lines that some tables have under their head
_RULE = " |-:+=\t"


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

    @property
    def sample(self) -> str:
        """A cell in the right form that answers nothing."""
        return self.words[0] if self.words else self.written(12.345)


@dataclass(frozen=True, kw_only=True)
class TableAsked(Exercise):
    """A table to fill, row by row.

    `expected` and the slips give a list of rows; a row is a list of plain numbers, in the units of the
    columns, and words.

    Args:
        columns: what is asked of each row.
        rows: the rows' names, in order.
        counted: what a row stands for, in the plural, where the learner must find how many there are;
            empty where the rows are given.
    """

    columns: tuple[Column, ...] | Callable[[JobInHand], tuple[Column, ...]]
    rows: Callable[[JobInHand], Sequence[Text]]
    counted: str = ""
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
        if self.same(given, wanted, job):
            return Verdict(Found.RIGHT, "Right.", more=text_for(self.well_done, job))
        made = self.slip_of(given, job)
        if made:
            return made
        if len(given) != len(wanted):
            way = "more" if len(given) > len(wanted) else "fewer"
            return Verdict(Found.WRONG, f"{len(given)} {self.counted}: that is {way} than it takes.")
        wrong = _first_wrong(given, wanted, columns)
        assert wrong is not None
        return self._cell_slip(wrong, given, names, job) or _named(wrong, given, wanted, names, columns)

    def _cell_slip(
        self, wrong: tuple[int, int], given: Any, names: list[str], job: JobInHand
    ) -> Verdict | None:
        """The verdict where the first wrong cell is filled as a slip fills it, though not the whole table."""
        row, at = wrong
        column = self.columns_for(job)[at]
        made = [
            slip
            for slip in self.slips
            if (table := slip.value(job)) is not None
            and row < len(table)
            and column.near(given[row][at], table[row][at])
        ]
        # a word may be wrong in many ways: that it is the slip's says too little
        if column.words or not made:
            return None
        says = " Or else: ".join(text_for(slip.says, job) for slip in made)
        return Verdict(Found.WRONG, f"{names[row]}, {column.name}: {says}{_before(wrong)}", made[0].name)

    def _read(self, answer: Answer, names: list[str], columns: tuple[Column, ...]) -> list[list[Any]]:
        lines = _lines(answer, columns)
        if lines and _is_head(lines[0], columns, len(lines) == len(names) + 1 and not self.counted):
            lines = lines[1:]
        if self.counted:
            names = [f"row {at}" for at in range(1, len(lines) + 1)]
        if len(lines) != len(names) or not lines:
            came = "1 row" if len(lines) == 1 else f"{len(lines)} rows"
            if self.counted:
                raise Refused(f"{came} came: write one line for each of the {self.counted}.")
            asked = f"one line for each of {_listed(names)}"
            raise Refused(f"{came} came, and {len(names)} are asked: {asked}.")
        return [self._row(name, cells, columns) for name, cells in zip(names, lines, strict=True)]

    def _row(self, name: str, cells: list[Any], columns: tuple[Column, ...]) -> list[Any]:
        if len(cells) == len(columns) + 1 and _is_name(cells[0], name, self.counted):
            cells = cells[1:]
        if len(cells) != len(columns):
            came = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
            heads = "; ".join(column.head for column in columns)
            raise Refused(f"{name}: {came} came. Write {heads}, with semicolons between them.")
        return [self._cell(name, column, cell) for column, cell in zip(columns, cells, strict=True)]

    def _cell(self, name: str, column: Column, cell: Any) -> Any:
        try:
            return column.read(cell)
        except Refused as error:
            raise Refused(f"{name}, {column.name}: {error}") from None
        except Exception:  # whatever a stranger's object does when it is read
            raise Refused(f"{name}, {column.name}: {as_typed(cell)[:30]!r} does not do here.") from None

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """A line a row with semicolons, however the table came; text as it was typed."""
        if isinstance(answer, str):
            return answer.strip()[:_LONGEST]
        try:
            lines = _lines(answer, self.columns_for(job))
        except Refused:  # it is no table, or not for this job
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
        rows = (
            f"Write one line for each of the {self.counted}, in their order."
            if self.counted
            else f"Write one line for each row, in this order: {_listed(self.names(job))}."
        )
        return f"{rows} In each line: {heads}; like this: {self._pattern_row(job)}"

    def _pattern_row(self, job: JobInHand) -> str:
        return "; ".join(column.sample for column in self.columns_for(job))

    def prompt(self, job: JobInHand) -> str:
        """Lines in the right form: two, for there is more than one row."""
        return "\n".join([f"for example {self._pattern_row(job)}", self._pattern_row(job), "and so on"])


def _first_wrong(given: Any, wanted: Any, columns: tuple[Column, ...]) -> tuple[int, int] | None:
    """Row and column of the first cell that is not as wanted."""
    for row, (mine, right) in enumerate(zip(given, wanted, strict=True)):
        for at, column in enumerate(columns):
            if not column.near(mine[at], right[at]):
                return row, at
    return None


def _before(wrong: tuple[int, int]) -> str:
    return " What stands before it is right." if wrong > (0, 0) else ""


def _named(
    wrong: tuple[int, int], given: Any, wanted: Any, names: list[str], columns: tuple[Column, ...]
) -> Verdict:
    row, at = wrong
    column = columns[at]
    where, before = f"{names[row]}, {column.name}", _before(wrong)
    if column.words:
        return Verdict(Found.WRONG, f"Look again at {where}.{before}")
    way = "large" if given[row][at] > wanted[row][at] else "small"
    return Verdict(Found.WRONG, f"{where}: too {way}.{before}")


def _listed(names: Sequence[str]) -> str:
    shown = list(names) if len(names) <= 12 else [*names[:3], "...", names[-1]]
    return ", ".join(shown)


def _lines(answer: Answer, columns: Sequence[Column]) -> list[list[Any]]:
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
            lines = [line.strip() for line in answer[:_LONGEST].splitlines()]
            return [_cells(line, columns) for line in lines if line.strip(_RULE)][:_MOST_ROWS]
        if isinstance(answer, (list, tuple)):
            return [list(row) if isinstance(row, (list, tuple)) else [row] for row in answer][:_MOST_ROWS]
    except Exception:  # whatever a stranger's object does when it is looked at
        raise Refused("This is no table. Write one line for each row.") from None
    raise Refused("This is no table. Write one line for each row.")


def _cells(line: str, columns: Sequence[Column]) -> list[str]:
    """One line in its cells: at semicolons, tabs or bars; else at commas or spaces, as they can be read.

    >>> ways = ("22,5; yes", "22.5,yes", "22,5, yes", "22,5 yes", "pass 1,22.5,yes")
    >>> columns = (Column("taken", "percent"), Column("anneal", words=("yes", "no")))
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


def _can_be_read(cells: Sequence[str], columns: Sequence[Column]) -> bool:
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


def _is_head(cells: Sequence[Any], columns: Sequence[Column], one_too_many: bool) -> bool:
    """Whether a first line holds the names of the columns; where a line is too many, words will do."""
    texts = [as_typed(cell).lower() for cell in cells]
    named = {name.lower() for column in columns for name in (column.name, column.head)}
    if any(text in named for text in texts):
        return True
    return one_too_many and not any(re.search(r"\d", text) for text in texts)
