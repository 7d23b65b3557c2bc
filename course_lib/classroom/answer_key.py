"""The answer key: what every exercise comes to for every learner's job, worked out once.

Marking compares thousands of answers with it, so it holds plain numbers and letters only. It is no record:
it is worked out from the teacher's assignment, and again whenever an exercise, a table or the course itself
has changed (`rules_now`).
"""

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, cast

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercise import Exercise, text_for
from course_lib.classroom.failed_sums import said_of
from course_lib.classroom.filled_tables import Column, TableAsked
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.judge import Found, ticked_in
from course_lib.classroom.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.open_tasks import OpenTask
from course_lib.classroom.sizes import FigureRead, NumberAsked, SizeAsked
from course_lib.classroom.typed import written_unit

# What an answer turned out to be. A slip is given by its place in the exercise's list, 0 and up.
RIGHT, WRONG, UNIT, UNREADABLE, NOT_ASKED = -1, -2, -3, -4, -5
_AS_FOUND = {
    Found.RIGHT: RIGHT,
    Found.TOO_FINE: RIGHT,
    Found.NO_UNIT: UNIT,
    Found.OTHER_KIND: UNIT,
    Found.WRONG_UNIT: UNIT,
    Found.UNREADABLE: UNREADABLE,
    Found.NOT_FOR_THIS_JOB: NOT_ASKED,
}

# Stands for an answer where there is none: no text is like it.
CANNOT_BE_ASKED = False

# One exercise for one job, as JSON holds it: its first element says how to compare.
Entry = list[Any]
_NUMBER, _LETTER, _ORDER, _TABLE, _TICKS, _BY_ITSELF, _CANNOT = "n", "c", "o", "t", "k", "?", "-"
# A number as nearly everybody writes it; whatever else comes is read by the exercise itself.
_PLAIN = re.compile(r"(\d{1,9}(?:[.,]\d{1,9})?) ?([^\d\s.,][^\d\s]{0,9})?")
# As in `sizes`: a hair more than the tolerance, for what is lost when numbers are taken away.
_HAIR, _SPECK = 1 + 1e-9, 1e-12


def key_of(exercises: Sequence[Exercise], job: JobInHand) -> list[Entry]:
    """What the exercises come to for a job.

    Args:
        exercises: those that were set.
        job: the learner's.

    Returns:
        One entry an exercise, in their order, of what JSON can hold.

    Raises:
        Refused: a sum of an exercise fails; the message says in which, and where it is written.

    >>> from course_lib.classroom.course import find_lesson
    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> key_of([find_lesson("01").exercise("value")], demo_job())[0][0]
    'n'
    """
    return [_entry(exercise, job) for exercise in exercises]


def _entry(exercise: Exercise, job: JobInHand) -> Entry:
    # a kind of its own, which a teacher may have written, judges by its own rules
    write = _ENTRIES.get(type(exercise))
    try:
        return write(exercise, job) if write else [_BY_ITSELF]
    except Refused:
        return [_CANNOT]
    except Exception as error:  # of a teacher's own file anything can come
        raise Refused(
            f"The exercise {exercise.name!r} cannot be asked of {job.title}: {said_of(error)}. Mend it, "
            "and try it with try-exercise."
        ) from None


def _number_entry(exercise: Any, job: JobInHand) -> Entry:
    expected = exercise.number(exercise.expected(job))
    slips = []
    for at, value in _slip_values(exercise, job):
        number = exercise.number(value)
        slips.append([at, number, exercise.tolerance(number)])
    return [_NUMBER, expected, exercise.tolerance(expected), slips]


def _letter_entry(exercise: Any, job: JobInHand) -> Entry:
    by_name = {value: at for at, value in reversed(_slip_values(exercise, job))}
    expected = exercise.expected(job)
    return [
        _LETTER,
        [RIGHT if name == expected else by_name.get(name, WRONG) for name in exercise.choices(job)],
    ]


def _order_entry(exercise: Any, job: JobInHand) -> Entry:
    slips = [[at, exercise.written(value, job)] for at, value in _slip_values(exercise, job)]
    return [_ORDER, exercise.written(exercise.expected(job), job), slips]


def _table_entry(exercise: Any, job: JobInHand) -> Entry:
    columns = exercise.columns_for(job)
    slips = [[at, _cells(columns, value)] for at, value in _slip_values(exercise, job)]
    reads = [list(column.words) if column.words else _usual_unit(column.unit) for column in columns]
    return [_TABLE, _cells(columns, exercise.expected(job)), slips, reads]


def _cells(columns: Sequence[Column], rows: Any) -> list[list[Any]]:
    """The rows of a table: a word as it is, a number with its tolerance."""
    return [
        [
            cell if column.words else [float(cell), column.fineness.tolerance(float(cell), column.unit)]
            for column, cell in zip(columns, row, strict=True)
        ]
        for row in rows
    ]


def _ticks_entry(exercise: Any, job: JobInHand) -> Entry:
    return [_TICKS, len(exercise.points)]


def _slip_values(exercise: Exercise, job: JobInHand) -> list[tuple[int, Any]]:
    values = ((at, slip.value(job)) for at, slip in enumerate(exercise.slips))
    return [(at, value) for at, value in values if value is not None]


_ENTRIES: Mapping[type, Any] = {
    SizeAsked: _number_entry,
    NumberAsked: _number_entry,
    FigureRead: _number_entry,
    ChoiceAsked: _letter_entry,
    SymptomAsked: _letter_entry,
    OrderAsked: _order_entry,
    TableAsked: _table_entry,
    OpenTask: _ticks_entry,
}


def can_be_asked(entry: Entry) -> bool:
    """Whether the job allows the exercise at all."""
    return bool(entry[0] != _CANNOT)


def is_own_word(entry: Entry) -> bool:
    """Whether only the learner can say that it is done: nothing that a mark can rest on."""
    return bool(entry[0] == _TICKS)


def number_in(entry: Entry) -> tuple[float, float] | None:
    """The right number and its tolerance, for an exercise that is answered with one."""
    return (entry[1], entry[2]) if entry[0] == _NUMBER else None


def quick_right(entry: Entry) -> Any:
    """What decides at a glance that an answer is right: the two ends for a number, or the very text.

    The same for all cells of a table, and None where there is nothing so short.
    """
    if entry[0] == _NUMBER:
        reach = entry[2] * _HAIR + _SPECK * abs(entry[1])
        return [entry[1] - reach, entry[1] + reach]
    if entry[0] == _LETTER:
        return chr(ord("a") + entry[1].index(RIGHT))
    if entry[0] == _TABLE:
        return _quick_cells(entry)
    if entry[0] == _CANNOT:
        return CANNOT_BE_ASKED
    return entry[1] if entry[0] == _ORDER else None


def _quick_cells(entry: Entry) -> dict[str, Any]:
    """All cells of a table in a row: the two ends for a number; for a word the word, and no other end."""
    cells = [cell for row in entry[1] for cell in row]
    units = [form for _ in entry[1] for form in entry[3]]
    reach = [cell[1] * _HAIR + _SPECK if isinstance(cell, list) else None for cell in cells]
    return {
        "lines": len(entry[1]),
        "low": [cell if far is None else cell[0] - far for cell, far in zip(cells, reach, strict=True)],
        "high": [None if far is None else cell[0] + far for cell, far in zip(cells, reach, strict=True)],
        "units": ["" if isinstance(unit, list) else unit for unit in units],
    }


def plain_number(text: str) -> tuple[float, str] | None:
    """The number and the unit of an answer that is written as nearly everybody writes it.

    >>> plain_number("0,81 mm"), plain_number("a third")
    ((0.81, 'mm'), None)
    """
    read = _PLAIN.fullmatch(text)
    return (float(read[1].replace(",", ".")), read[2] or "") if read else None


def asks_the_same(one: Entry, other: Entry) -> bool:
    """Whether the right answer of one would be right for the other too."""
    if one[0] != other[0]:
        return False
    if one[0] == _NUMBER:
        return abs(one[1] - other[1]) <= min(one[2], other[2])
    if one[0] == _TABLE:
        return len(one[1]) == len(other[1]) and all(map(_row_near, one[1], other[1]))
    if one[0] == _LETTER:
        return bool(one[1].index(RIGHT) == other[1].index(RIGHT))
    return bool(one[1:2] == other[1:2])


def _row_near(one: list[Any], other: list[Any]) -> bool:
    return all(
        abs(mine[0] - theirs[0]) <= theirs[1] if isinstance(mine, list) else mine == theirs
        for mine, theirs in zip(one, other, strict=True)
    )


@dataclass(frozen=True, eq=False)
class Judge:
    """Finds what an answer is, by the key where that can be, else by the exercise itself.

    Args:
        exercise: as it is in the lesson.
    """

    exercise: Exercise

    def finds(self, text: str, entry: Entry, job: Callable[[], JobInHand]) -> int:
        """What an answer turned out to be.

        Args:
            text: the answer as it was kept.
            entry: of the key.
            job: gives the job, should the exercise itself have to judge.

        Returns:
            `RIGHT`, `WRONG`, `UNIT`, `UNREADABLE`, `NOT_ASKED`, or the place of the slip.
        """
        found = self.quickly(text, entry)
        return found if found is not None else self.at_length(text, self.worked_out(entry, job), job)

    def quickly(self, text: str, entry: Entry) -> int | None:
        """By the key alone; None where the answer is not written in the plain form."""
        found: int | None = _QUICKLY[entry[0]](self, text, entry)
        return found

    def worked_out(self, entry: Entry, job: Callable[[], JobInHand]) -> Exercise | None:
        """The exercise with its sums done, so that many answers can be judged one after the other.

        None where the job does not allow it.
        """
        try:
            if entry[0] == _NUMBER:
                slips = [(at, value) for at, value, _ in entry[3]]
                return _settled(self.exercise, entry[1], slips, {})
            return _worked_out(self.exercise, job()) if entry[0] != _BY_ITSELF else self.exercise
        except Refused:
            return None

    def at_length(self, text: str, worked_out: Exercise | None, job: Callable[[], JobInHand]) -> int:
        """By the exercise itself, however the answer is written."""
        if worked_out is None:
            return NOT_ASKED
        try:
            # only a kind of its own still needs the job
            in_hand = job() if type(worked_out) not in _ENTRIES else None
            verdict = worked_out.judged(text, cast(JobInHand, in_hand))
        except Refused:
            return NOT_ASKED
        except Exception:  # whatever a stranger's text does to an exercise, the next one is judged
            return UNREADABLE
        if verdict.found is Found.SLIP:
            names = [slip.name for slip in self.exercise.slips]
            return names.index(verdict.slip) if verdict.slip in names else WRONG
        return _AS_FOUND.get(verdict.found, WRONG)

    @property
    def unit(self) -> str:
        """How the unit of the answer is usually written."""
        return _usual_unit(getattr(self.exercise, "unit", ""))


def _worked_out(exercise: Any, job: JobInHand) -> Exercise:
    """An exercise of a list or a table, with everything that follows from the job put down once."""
    listed: dict[str, Any] = {}
    for name in ("choices", "items"):
        if hasattr(exercise, name):
            texts = {key: text_for(text, job) for key, text in getattr(exercise, name)(job).items()}
            listed[name] = _always(texts)
    if isinstance(exercise, TableAsked):
        listed |= {"rows": _always(exercise.names(job)), "columns": exercise.columns_for(job)}
    if isinstance(exercise, OpenTask):
        listed["points"] = tuple(exercise.offered(job).values())
    return _settled(exercise, exercise.expected(job), _slip_values(exercise, job), listed)


def _settled(
    exercise: Any, expected: Any, slips: Sequence[tuple[int, Any]], listed: Mapping[str, Any]
) -> Exercise:
    """An exercise that needs no job any more: its answer and its slips are given, and it says nothing."""
    given = tuple(replace(exercise.slips[at], value=_always(value), says="") for at, value in slips)
    found: Exercise = replace(exercise, expected=_always(expected), slips=given, well_done="", **listed)
    return found


def _always(value: Any) -> Any:
    return lambda job: value


@cache
def _usual_unit(unit: str) -> str:
    return written_unit(unit) if unit else ""


def _number_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    read = plain_number(text)
    if read is None:
        return None
    number, unit = read
    if unit != judge.unit:
        return UNIT if judge.unit and not unit else None
    if _near(number, entry[1], entry[2]):
        return RIGHT
    for at, value, tolerance in entry[3]:
        if _near(number, value, tolerance):
            return int(at)
    return WRONG


def _near(one: float, other: float, tolerance: float) -> bool:
    return abs(one - other) <= tolerance * _HAIR + _SPECK * abs(other)


def _letter_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    at = ord(text) - ord("a") if len(text) == 1 else -1
    return int(entry[1][at]) if 0 <= at < len(entry[1]) else None


def _order_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    if text == entry[1]:
        return RIGHT
    for at, written in entry[2]:
        if text == written:
            return int(at)
    return WRONG if sorted(text.split(" ")) == sorted(entry[1].split(" ")) else None


def _table_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    rows = [[cell.strip() for cell in line.split(";")] for line in text.split("\n")]
    wanted = entry[1]
    if len(rows) != len(wanted) or any(len(row) != len(wanted[0]) for row in rows):
        return None
    read = [[_cell_read(cell, form) for cell, form in zip(row, entry[3], strict=True)] for row in rows]
    if any(None in row for row in read):
        return None
    if _table_near(read, wanted):
        return RIGHT
    return next((int(at) for at, cells in entry[2] if _table_near(read, cells)), WRONG)


def _cell_read(cell: str, form: Any) -> Any:
    """A cell in the plain form, as a number or a word of the list; None otherwise."""
    if isinstance(form, list):
        return cell if cell in form else None
    read = plain_number(cell)
    return read[0] if read and read[1] in ("", form) else None


def _table_near(read: list[list[Any]], wanted: list[list[Any]]) -> bool:
    if len(read) != len(wanted):
        return False
    for mine, theirs in zip(read, wanted, strict=True):
        for one, other in zip(mine, theirs, strict=True):
            if isinstance(other, list):
                if abs(one - other[0]) > other[1] * _HAIR + _SPECK:
                    return False
            elif one != other:
                return False
    return True


def _ticks_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    letters = set(ticked_in(text)[0])
    return RIGHT if letters >= {chr(ord("a") + at) for at in range(entry[1])} else WRONG


def _never_quickly(judge: Judge, text: str, entry: Entry) -> int | None:
    return NOT_ASKED if entry[0] == _CANNOT else None


_QUICKLY: Mapping[str, Any] = {
    _NUMBER: _number_quickly,
    _LETTER: _letter_quickly,
    _ORDER: _order_quickly,
    _TABLE: _table_quickly,
    _TICKS: _ticks_quickly,
    _BY_ITSELF: _never_quickly,
    _CANNOT: _never_quickly,
}


def rules_now(own_files: Sequence[Path] = ()) -> str:
    """A word that changes when anything changes by which answers are judged.

    Args:
        own_files: files in which a teacher wrote exercises.

    Returns:
        Sixteen signs, from the bench's and the classroom's files, all tables, and the teacher's own files.
    """
    package = Path(__file__).resolve().parent.parent
    files = sorted(
        [
            *(package / "bench").rglob("*.py"),
            *(package / "classroom").rglob("*.py"),
            *data_folder().glob("*.csv"),
        ]
    )
    whole = hashlib.sha256()
    for path in [*files, *sorted(own_files)]:
        content = path.read_bytes()
        whole.update(f"{path.name} {len(content)} ".encode("utf-8", "surrogateescape") + content)
    return whole.hexdigest()[:16]
