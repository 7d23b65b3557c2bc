"""The class list, as a school exports it: who learns, and by which number they are known."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from course_lib.bench.csv_read import exported_text, filled_lines, filled_rows, split_lines
from course_lib.bench.refusals import Refused

LARGEST_LIST = 20_000_000
_LONGEST_NAME = 200
# The words that schools write over a column, in small letters.
_FULL_NAMES = (
    "name", "full name", "student", "student name", "learner", "learner name", "apprentice", "pupil",
    "participant", "display name", "last name, first name", "surname, first name", "first and last name",
    "names", "candidate", "candidate name", "trainee", "nachname, vorname", "name, vorname",
    "vor- und nachname", "schüler", "schüler/in", "lernende", "lernender", "auszubildende",
    "auszubildender", "azubi", "nom complet", "nom et prénom", "élève", "apprenti",
    "nombre completo", "nombre y apellidos", "apellidos y nombre", "alumno", "alumna", "estudiante", "naam",
    "leerling", "student naam", "nome", "nome completo", "aluno", "studente", "navn", "namn",
)  # fmt: skip
_LAST_NAMES = (
    "surname", "last name", "family name", "lastname", "surnames", "last", "nachname", "familienname",
    "zuname", "nom", "nom de famille", "apellido", "apellidos", "cognome", "achternaam", "sobrenome",
    "apelido", "efternavn", "efternamn", "etternavn", "nazwisko",
)  # fmt: skip
_FIRST_NAMES = (
    "first name", "given name", "forename", "firstname", "first names", "given names", "forenames", "first",
    "preferred name", "known as", "vorname", "vornamen", "rufname", "prénom", "prénoms", "prenom", "nombre",
    "voornaam", "fornavn", "förnamn", "imię",
)  # fmt: skip
_NUMBERS = (
    "id", "id number", "student id", "student number", "student no", "learner id", "learner number", "number",
    "no", "nr", "candidate number", "matriculation number", "registration number", "user name", "username",
    "user id", "login", "e-mail", "email", "email address", "e-mail address", "matrikelnummer", "nummer",
    "numéro", "numero", "número", "student number (id)", "admission number", "roll number", "roll no",
    "schülernummer", "lfd. nr", "lfd nr", "matrícula", "matricola", "nummer student", "leerlingnummer",
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


# Above the row with the heads a school may write its name, the form and the date.
_ROWS_ABOVE = 10


def _table(text: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The heads in small letters, and the filled rows with their number in the file."""
    lines = split_lines(text)
    filled = list(filled_lines(lines))
    if not filled:
        raise Refused("The class list is empty. Its first row is: name, number.")
    first = _table_from(lines, filled[0])
    later = (_table_from(lines, at, lenient=True) for at in filled[1:_ROWS_ABOVE])
    # if none has names, the first is the likeliest to be mended
    return next((table for table in chain([first], later) if _columns(table[0]).names), first)


def _table_from(
    lines: Sequence[str], first: int, lenient: bool = False
) -> tuple[list[str], list[tuple[int, list[str]]]]:
    try:
        filled = filled_rows(lines, first).filled
    except Refused:
        if lenient:
            return [], []
        raise
    if not filled:
        return [], []
    heads = [cell.lower().strip(" .:#*\ufeff").replace("_", " ") for cell in filled[0][1]]
    return heads, list(filled[1:])


@dataclass(frozen=True)
class _Columns:
    """In which columns the number and the parts of the name stand, the first name first."""

    number: int | None
    names: tuple[int, ...]


def _columns(heads: Sequence[str]) -> _Columns:
    number, last, first, whole = (
        _place_of(wanted, heads) for wanted in (_NUMBERS, _LAST_NAMES, _FIRST_NAMES, _FULL_NAMES)
    )
    # "Name" beside a first name is the last one, and beside a last name the first
    if first is not None or last is not None:
        chosen = (whole if first is None else first, whole if last is None else last)
    else:
        chosen = (whole, None)
    return _Columns(number, tuple(dict.fromkeys(at for at in chosen if at is not None)))


def _learners(heads: Sequence[str], rows: list[tuple[int, list[str]]]) -> Iterator[tuple[int, Learner]]:
    columns = _columns(heads)
    if not columns.names:
        raise Refused(
            "The class list has no column for the name. Write 'name' over it (or 'last name' and 'first "
            f"name'); its first row has: {', '.join(filter(None, heads)) or 'nothing'}."
        )
    for at, (row, cells) in enumerate(rows, 1):
        name = _joined([_cell(cells, place) for place in columns.names])
        known = _cell(cells, columns.number)
        if name or known:
            yield row, _learner(row, known or str(at), name or known)


def _joined(parts: Sequence[str]) -> str:
    """The parts of a name in one; a part that another holds already stands once."""
    longest = max(parts, key=len)
    if all(set(part.split()) <= set(longest.split()) for part in parts):
        return longest
    return " ".join(filter(None, parts))


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
