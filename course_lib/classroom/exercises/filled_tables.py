"""Exercises that are answered by filling a table: passes, solders, lines of a quote."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from course_lib.bench.measuring import decimals_of
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Text, text_for
from course_lib.classroom.exercises.fineness import Fineness, Whole
from course_lib.classroom.exercises.keys import TableKey
from course_lib.classroom.exercises.table_read import LONGEST, ColumnForm, lines_of, listed
from course_lib.classroom.exercises.typed import as_typed
from course_lib.classroom.exercises.worked import Answer
from course_lib.classroom.pieces.job_in_hand import JobInHand


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
    def form(self) -> ColumnForm:
        """How its cells are read."""
        return ColumnForm(self.name, self.unit, self.words)

    def key(self, value: Any) -> Any:
        """A right cell as a key holds it: a word, or a number with its tolerance."""
        return value if self.words else [float(value), self.fineness.tolerance(float(value), self.unit)]

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

    def key(self, job: JobInHand) -> TableKey:
        """What is right in each cell, and what each slip fills in."""
        columns = self.columns_for(job)

        def cells(rows: Any) -> list[list[Any]]:
            return [[column.key(cell) for column, cell in zip(columns, row, strict=True)] for row in rows]

        slips = [(at, cells(rows)) for at, rows in self.slip_values(job)]
        forms = [tuple(column.form) for column in columns]
        return TableKey(self.names(job), forms, self.counted, cells(self.expected(job)), slips)  # type: ignore[arg-type]

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """A line a row with semicolons, however the table came; text as it was typed."""
        if isinstance(answer, str):
            return answer.strip()[:LONGEST]
        try:
            lines = lines_of(answer, [each.form for each in self.columns_for(job)])
        except Refused:  # it is no table, or not for this job
            return as_typed(answer)
        return "\n".join("; ".join(as_typed(cell) for cell in cells) for cells in lines)[:LONGEST]

    def written(self, value: Answer, job: JobInHand) -> str:
        """Row by row, with semicolons."""
        columns = self.columns_for(job)
        return "\n".join(
            "; ".join(column.written(cell) for column, cell in zip(columns, row, strict=True))
            for row in value
        )

    def form(self, job: JobInHand) -> str:
        """A line a row."""
        heads = "; ".join(column.form.head for column in self.columns_for(job))
        rows = (
            f"Write one line for each of the {self.counted}, in their order."
            if self.counted
            else f"Write one line for each row, in this order: {listed(self.names(job))}."
        )
        return f"{rows} In each line: {heads}; like this: {self._pattern_row(job)}"

    def _pattern_row(self, job: JobInHand) -> str:
        return "; ".join(column.sample for column in self.columns_for(job))

    def prompt(self, job: JobInHand) -> str:
        """Lines in the right form: two, for there is more than one row."""
        return "\n".join([f"for example {self._pattern_row(job)}", self._pattern_row(job), "and so on"])
