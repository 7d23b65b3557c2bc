"""The words of the trade that the course uses, with what else they are called."""

from dataclasses import dataclass

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import Row, find, rows_of
from course_lib.classroom.pieces.job_in_hand import CannotGoOn
from course_lib.screen.pages import page_from


@dataclass(frozen=True)
class Words:
    """Words with their meaning, as a notebook shows them."""

    rows: tuple[tuple[str, str, str, str], ...]

    def __repr__(self) -> str:
        return "\n".join(
            f"{word}: {means}"
            + (f" (also: {also})" if also else "")
            + (f" [lesson {lesson}]" if lesson else "")
            for word, means, also, lesson in self.rows
        )

    def _repr_html_(self) -> str:
        columns = ("word", "means", "also said", "lesson")
        return page_from("table.html", columns=columns, rows=self.rows, named=True)


def glossary() -> Words:
    """All words, in the order of the alphabet."""
    rows = sorted(rows_of("glossary"), key=lambda row: row["word"].lower())
    return Words(tuple(map(_cells, rows)))


def _cells(row: Row) -> tuple[str, str, str, str]:
    # a spreadsheet takes 00 for a number and saves 0
    lesson = row["lesson"].zfill(2) if row["lesson"] else ""
    return row["word"], row["means"], row["also_said"], lesson


def word(said: str) -> Words:
    """One word, by its name or by what else it is called.

    Raises:
        CannotGoOn: it is not in the glossary; the message offers the nearest.

    >>> word("prong").rows[0][0]
    'claw'
    """
    try:
        row = find("glossary", "word", said, "a word of the glossary")
    except Refused as error:
        raise CannotGoOn(str(error)) from None
    return Words((_cells(row),))
