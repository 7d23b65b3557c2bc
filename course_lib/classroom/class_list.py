"""The class list, as a school exports it: who learns, and by which number they are known."""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from course_lib.bench.exported import exported_text
from course_lib.bench.refusals import Refused

LARGEST_LIST = 20_000_000
_LONGEST_NAME = 200
# The words that schools write over a column, in small letters.
_FULL_NAMES = (
    "name", "full name", "student", "student name", "learner", "learner name", "apprentice", "pupil",
    "participant", "display name", "nom complet", "nombre completo", "naam", "nome",
)  # fmt: skip
_LAST_NAMES = (
    "surname", "last name", "family name", "lastname", "last", "nachname", "familienname", "nom", "apellido",
    "apellidos", "cognome", "achternaam",
)  # fmt: skip
_FIRST_NAMES = (
    "first name", "given name", "forename", "firstname", "first", "vorname", "prénom", "prenom", "nombre",
    "voornaam",
)  # fmt: skip
_NUMBERS = (
    "id", "id number", "student id", "student number", "student no", "learner id", "learner number", "number",
    "no", "nr", "candidate number", "matriculation number", "registration number", "user name", "username",
    "user id", "login", "e-mail", "email", "email address", "e-mail address", "matrikelnummer", "nummer",
    "numéro", "numero", "número",
)  # fmt: skip


@dataclass(frozen=True)
class Learner:
    """One of the class: the number or name by which the school knows them, and how they are called."""

    number: str
    name: str


def read_class(path: str | Path) -> list[Learner]:
    """Read a class list.

    Args:
        path: CSV with a column for the name (or one each for last and first name), and best one for the
            school's number. Without a number the learners are counted from 1.

    Returns:
        The learners in the order of the list.

    Raises:
        Refused: no names are found, or a number stands in two rows; the message says where.
    """
    learners = list(_learners(*_table(exported_text(Path(path), "a class list", LARGEST_LIST))))
    if not learners:
        raise Refused(f"{path} lists nobody. Under its first row (name, number) there is one row a learner.")
    rows: dict[str, int] = {}
    for row, learner in learners:
        if learner.number in rows:
            raise Refused(
                f"Row {row}: the number {learner.number!r} stands in row {rows[learner.number]} too. Every "
                "learner needs a number of their own."
            )
        rows[learner.number] = row
    return [learner for _, learner in learners]


# What a row holds in which nothing stands: separators and the mark at the start of a file.
_NOTHING = str.maketrans("", "", ";,\ufeff")


def _table(text: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The heads in small letters, and the filled rows with their number in the file."""
    lines = text.splitlines()
    first = next((at for at, line in enumerate(lines) if line.translate(_NOTHING).strip()), len(lines))
    if lines[first : first + 1] and lines[first].lower().startswith("sep="):
        first += 1
    if first >= len(lines):
        raise Refused("The class list is empty. Its first row is: name, number.")
    separator = max(";\t,", key=lines[first].count)
    parsed = csv.reader(lines[first:], delimiter=separator, skipinitialspace=True)
    try:
        rows = [(first + parsed.line_num, [" ".join(cell.split()) for cell in cells]) for cells in parsed]
    except csv.Error as error:
        raise Refused(
            f"Row {first + parsed.line_num} cannot be read as CSV ({error}). Export it again."
        ) from None
    filled = [(row, cells) for row, cells in rows if any(cells)]
    if not filled:
        raise Refused("The class list is empty. Its first row is: name, number.")
    heads = [cell.lower().strip(" .:#*").replace("_", " ") for cell in filled[0][1]]
    return heads, filled[1:]


def _learners(heads: Sequence[str], rows: list[tuple[int, list[str]]]) -> Iterator[tuple[int, Learner]]:
    number, last, first, whole = (
        _place_of(wanted, heads) for wanted in (_NUMBERS, _LAST_NAMES, _FIRST_NAMES, _FULL_NAMES)
    )
    names = [at for at in (first, last) if at is not None] if last is not None else [whole]
    if names == [None]:
        names = [first]
    if names == [None]:
        raise Refused(
            "The first row of the class list has no column for the name. Write 'name' over it (or 'last "
            f"name' and 'first name'); it has: {', '.join(filter(None, heads)) or 'nothing'}."
        )
    for at, (row, cells) in enumerate(rows, 1):
        name = " ".join(filter(None, (_cell(cells, place) for place in names)))
        known = _cell(cells, number)
        if name or known:
            yield row, _learner(row, known or str(at), name or known)


def _learner(row: int, number: str, name: str) -> Learner:
    for said, text in (("number", number), ("name", name)):
        if len(text) > _LONGEST_NAME or not text.isprintable():
            raise Refused(
                f"Row {row}: the {said} {text[:20]!r} is no {said} that can be printed. Mend the row."
            )
    return Learner(number, name)


def _place_of(wanted: Sequence[str], heads: Sequence[str]) -> int | None:
    """The column over which one of these words stands, the likeliest word first."""
    return next((heads.index(word) for word in wanted if word in heads), None)


def _cell(cells: Sequence[str], place: int | None) -> str:
    return cells[place] if place is not None and place < len(cells) else ""
