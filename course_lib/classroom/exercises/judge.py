"""The judge: what an answer is, by a key. Nothing else in the course decides whether an answer is right.

The notebook, marking, the check of a lesson and the tests all call `judged`. It says what it found as plain
data; `verdicts` puts that into words.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from functools import cache, lru_cache
from string import ascii_lowercase
from types import MappingProxyType
from typing import Any, NamedTuple

from course_lib.bench.refusals import Refused
from course_lib.bench.units import quantity
from course_lib.classroom.exercises.keys import (
    ChoiceKey,
    Key,
    NoKey,
    NumberKey,
    OrderKey,
    TableKey,
    TicksKey,
    print_of,
    tidy,
)
from course_lib.classroom.exercises.table_read import TableForm, rows_read
from course_lib.classroom.exercises.typed import (
    CannotRead,
    Typed,
    as_typed,
    called_after,
    read_answer,
    written_unit,
)

# How many tolerances off still counts as close.
_CLOSE = 3
_TENFOLD = {10: "ten", 100: "a hundred", 1000: "a thousand"}
# A number as nearly everybody writes it; whatever else comes is read at length.
_USUAL = re.compile(r"(\d{1,9})(?:[.,](\d{1,9}))? ?([^\d\s.,][^\d\s]{0,9})?")
# A hair more than the tolerance, so that 0.805 and 0.8 are half a step of 0.01 apart in whatever order they
# are taken away from each other.
_HAIR, _SPECK = 1 + 1e-9, 1e-12


class Found(StrEnum):
    """What the judge can find, in the order in which it looks."""

    UNANSWERED = "unanswered"
    OPEN = "still open"
    NOT_FOR_THIS_JOB = "not for this job"
    UNREADABLE = "cannot be read"
    NO_UNIT = "no unit"
    OTHER_KIND = "wrong kind of unit"
    RIGHT = "right"
    TOO_FINE = "right, finer than can be read"
    WRONG_UNIT = "right number, wrong unit"
    SLIP = "slip"
    CLOSE = "close"
    WRONG = "wrong"


RIGHT_ONES = (Found.RIGHT, Found.TOO_FINE)
_NOTHING: Mapping[str, Any] = MappingProxyType({})


class Finding(NamedTuple):
    """What was found of an answer.

    Args:
        found: in a word.
        slips: the places of the slips that lead to this answer.
        number: the answer in the unit of the key, where it is a number.
        said: which general sentence tells it, and `holes` what fills it.
    """

    found: Found
    slips: tuple[int, ...] = ()
    number: float | None = None
    said: str = ""
    holes: Mapping[str, Any] = _NOTHING

    @property
    def is_right(self) -> bool:
        """The answer is right, though perhaps finer than makes sense."""
        return self.found in RIGHT_ONES


class OutOfPatience(Exception):
    """Too many answers in forms that nobody types: whoever reads a stranger's file has had enough."""


class Patience:
    """How many more answers may be read at length, which takes long."""

    def __init__(self, times: float = float("inf")) -> None:
        self.left = times

    def spend(self) -> None:
        """Read one more at length.

        Raises:
            OutOfPatience: that was one too many.
        """
        self.left -= 1
        if self.left < 0:
            raise OutOfPatience


_ENDLESS = Patience()


def judged(answer: Any, key: Key, patience: Patience = _ENDLESS) -> Finding:
    """Judge an answer by a key.

    Args:
        answer: as it was typed, or a quantity, a list, whatever a cell of a notebook gives.
        key: of the exercise, for the learner's job.
        patience: how many answers may still be read at length.

    Returns:
        What was found. Whatever the answer is, nothing is raised but `OutOfPatience`.

    >>> key = NumberKey(0.8, 0.005, 0.01, "mm", "", [(0, 1.6, 0.005)])
    >>> [judged(text, key).found.value for text in ("0.80 mm", "0,8mm", "1.6 mm", "0.8", "0.81 mm", "8 mm")]
    ['right', 'right', 'slip', 'no unit', 'close', 'wrong']
    """
    found: Finding = _JUDGES[type(key)](answer, key, patience)
    return found


def near(one: float, other: float, tolerance: float) -> bool:
    """Whether two numbers cannot be told apart.

    Args:
        one, other: in any one unit.
        tolerance: how far apart they may lie, in the same unit.

    Returns:
        Whether they lie no further apart than that, but for rounding.
    """
    return abs(one - other) <= tolerance * _HAIR + _SPECK * abs(other)


# --- a number -------------------------------------------------------------------------------------------


@lru_cache(maxsize=100_000)
def _usual_number(text: str) -> tuple[float, float, str] | None:
    """Number, last decimal place and unit of an answer that is written as nearly everybody writes it."""
    read = _USUAL.fullmatch(text)
    if not read:
        return None
    whole, decimals, unit = read.groups("")
    return float(f"{whole}.{decimals or 0}"), 10.0 ** -len(decimals) if decimals else 1.0, unit


@cache
def _usual_unit(unit: str) -> str:
    return written_unit(unit) if unit else ""


def _number(answer: Any, key: NumberKey, patience: Patience) -> Finding:
    usual = _usual_number(answer) if type(answer) is str else None
    if usual and usual[2] == _usual_unit(key.unit):
        return _weighed(key, usual[0], usual[1])
    patience.spend()
    try:
        typed = read_answer(_without(key.counted, answer))
    except CannotRead as error:
        return Finding(Found.UNREADABLE, said="no such answer", holes={"error": error})
    return _other_form(typed, key) or _in_the_unit(typed, key)


def _without(counted: str, answer: Any) -> Any:
    """An answer without the word for what is counted, which may stand before or behind the number."""
    if not counted or not isinstance(answer, str):
        return answer
    word = re.escape(counted.removesuffix("s"))
    return re.sub(rf"^\s*{word}s?\b|\b{word}s?\s*$", "", answer, flags=re.IGNORECASE)


def _other_form(typed: Typed, key: NumberKey) -> Finding | None:
    """Before the number is looked at: is there a unit, and is it of the right kind?"""
    if not key.unit:
        if typed.amount is None or not typed.unit:
            return None
        return Finding(Found.OTHER_KIND, said="a size for a number", holes={"unit": typed.unit})
    if typed.amount is None:
        return Finding(Found.NO_UNIT, said="no unit", holes={"asked": called_after(key.unit)})
    came, asked = called_after(str(typed.amount.units)), called_after(key.unit)
    if came == asked and typed.amount.is_compatible_with(quantity(1.0, key.unit)):
        return None
    return Finding(
        Found.OTHER_KIND, said="other kind", holes={"unit": typed.unit, "came": came, "asked": asked}
    )


def _in_the_unit(typed: Typed, key: NumberKey) -> Finding:
    """What a number is that was typed in any unit of the right kind."""
    if typed.amount is None or not key.unit:
        return _weighed(key, typed.number, typed.place)
    number = float(typed.amount.m_as(key.unit))
    place = typed.place
    if place is not None and typed.number:
        place = abs(place * number / typed.number)
    if not near(number, key.right, key.tolerance) and near(typed.number, key.right, key.tolerance):
        return Finding(Found.WRONG_UNIT, (), number, "wrong unit", {"unit": typed.unit})
    return _weighed(key, number, place)


def _weighed(key: NumberKey, number: float, place: float | None) -> Finding:
    """What a number in the unit of the key is; the first stage that finds something speaks."""
    right, tolerance = key.right, key.tolerance
    if near(number, right, tolerance):
        fine = place is not None and place < key.finest * (1 - 1e-9)
        return Finding(Found.TOO_FINE if fine else Found.RIGHT, (), number)
    slips = tuple([int(at) for at, value, room in key.slips if near(number, value, room)])
    if slips:
        return Finding(Found.SLIP, slips, number)
    for factor, called in _TENFOLD.items():
        for times, way in ((factor, "large"), (1 / factor, "small")):
            if near(number / times, right, tolerance):
                return Finding(Found.WRONG, (), number, "decimal mark", {"times": called, "way": way})
    if near(-number, right, tolerance):
        return Finding(Found.WRONG, (), number, "sign")
    way = "large" if number > right else "small"
    if near(number, right, _CLOSE * tolerance):
        return Finding(Found.CLOSE, (), number, "close", {"way": way})
    ratio = number / right if right else 0.0
    if ratio > 2:
        return Finding(Found.WRONG, (), number, "more than twice")
    if 0 < ratio < 0.5:
        return Finding(Found.WRONG, (), number, "less than half")
    return Finding(Found.WRONG, (), number, "too", {"way": way})


# --- one of several, and all in order -------------------------------------------------------------------


def _place(answer: Any, key: ChoiceKey | OrderKey) -> int | None:
    """Which one is meant, by its letter, its name or its text."""
    if type(answer) is str and len(answer) == 1:
        at = ord(answer) - ord("a")
        if 0 <= at < len(key.names):
            return at
    said = tidy(as_typed(answer))
    text = print_of(said)
    for at, (letter, name, known) in enumerate(zip(ascii_lowercase, key.names, key.texts, strict=False)):
        if said in (letter, name.lower()) or text == known:
            return at
    return None


def _choice(answer: Any, key: ChoiceKey, patience: Patience) -> Finding:
    chosen = _place(answer, key)
    if chosen is None:
        return Finding(Found.UNREADABLE, said="no such letter")
    if chosen == key.right:
        return Finding(Found.RIGHT)
    slips = tuple([int(at) for at, place in key.slips if place == chosen])
    return Finding(Found.SLIP, slips) if slips else Finding(Found.WRONG, said="not this one")


def _order(answer: Any, key: OrderKey, patience: Patience) -> Finding:
    order = places_in(answer, key)
    if order is None:
        return Finding(Found.UNREADABLE, said="not every letter once")
    right = list(key.right)
    if order == right:
        return Finding(Found.RIGHT)
    slips = tuple([int(at) for at, places in key.slips if order == list(places)])
    return Finding(Found.SLIP, slips) if slips else _how_far(order, right)


def places_in(answer: Any, key: OrderKey) -> list[int] | None:
    """The places of the steps as an answer orders them; None where it does not name each once."""
    places = [_place(part, key) for part in _parts(answer, len(key.names))]
    found = [place for place in places if place is not None]
    return found if len(found) == len(places) and sorted(found) == list(range(len(key.names))) else None


def _parts(answer: Any, count: int) -> list[Any]:
    """The parts of an order: a list, or letters with or without something between them."""
    if not isinstance(answer, str):
        return list(answer) if isinstance(answer, (list, tuple)) else [answer]
    parts = [part for part in re.split(r"[\s,;<>\-]+", answer.strip()) if part]
    return list(parts[0]) if len(parts) == 1 and len(parts[0]) == count else parts


def _how_far(order: Sequence[int], right: Sequence[int]) -> Finding:
    apart = [at for at, (one, other) in enumerate(zip(order, right, strict=True)) if one != other]
    if len(apart) == 2 and apart[1] == apart[0] + 1:
        return Finding(Found.CLOSE, said="two exchanged")
    if apart[0] == 0:
        return Finding(Found.WRONG, said="first one wrong")
    return Finding(
        Found.WRONG, said="one in place" if apart[0] == 1 else "some in place", holes={"count": apart[0]}
    )


# --- a table --------------------------------------------------------------------------------------------


def _table(answer: Any, key: TableKey, patience: Patience) -> Finding:
    given = _usual_table(answer, key) if type(answer) is str else None
    if given is None:
        patience.spend()
        try:
            given = rows_read(answer, TableForm(key.rows, key.columns, key.counted))
        except Refused as error:
            return Finding(Found.UNREADABLE, said="no such table", holes={"error": error})
    if _first_wrong(given, key.right) is None:
        return Finding(Found.RIGHT)
    slips = tuple([int(at) for at, cells in key.slips if _first_wrong(given, cells) is None])
    return Finding(Found.SLIP, slips) if slips else _where_wrong(given, key)


def _usual_table(text: str, key: TableKey) -> list[list[Any]] | None:
    """The rows of a table that is written as the task shows it: a line a row, semicolons, usual units."""
    lines = text.split("\n")
    if not key.counted and len(lines) != len(key.rows):
        return None
    rows = []
    for line in lines:
        cells = line.split(";")
        if len(cells) != len(key.columns):
            return None
        row: list[Any] = []
        for cell, (_, unit, words) in zip(cells, key.columns, strict=True):
            bare = cell.strip()
            if words:
                if bare not in words:
                    return None
                row.append(bare)
            else:
                read = _usual_number(bare)
                if read is None or read[2] not in ("", _usual_unit(unit)):
                    return None
                row.append(read[0])
        rows.append(row)
    return rows


def _first_wrong(given: Sequence[Sequence[Any]], wanted: Sequence[Sequence[Any]]) -> tuple[int, int] | None:
    """Row and column of the first cell that is not as wanted; that after the last where rows are missing."""
    for row, (mine, right) in enumerate(zip(given, wanted, strict=False)):
        for at, cell in enumerate(right):
            if not _cell_near(mine[at], cell):
                return row, at
    return None if len(given) == len(wanted) else (min(len(given), len(wanted)), 0)


def _cell_near(given: Any, wanted: Any) -> bool:
    if isinstance(wanted, str):
        return bool(given == wanted)
    return bool(abs(given - wanted[0]) <= wanted[1] * _HAIR + _SPECK)


def _where_wrong(given: Sequence[Sequence[Any]], key: TableKey) -> Finding:
    """The first cell that is wrong; and whether a slip fills that one cell so."""
    if len(given) != len(key.right):
        way = "more" if len(given) > len(key.right) else "fewer"
        holes = {"count": len(given), "counted": key.counted, "way": way}
        return Finding(Found.WRONG, said="other number of rows", holes=holes)
    wrong = _first_wrong(given, key.right)
    assert wrong is not None
    row, at = wrong
    name, _, words = key.columns[at]
    called = f"row {row + 1}" if key.counted else key.rows[row]
    holes = {"where": f"{called}, {name}", "before": wrong > (0, 0)}
    if words:
        # a word may be wrong in many ways: that it is the slip's says too little
        return Finding(Found.WRONG, said="look again at", holes=holes)
    cell = given[row][at]
    slips = [int(slip) for slip, cells in key.slips if row < len(cells) and _cell_near(cell, cells[row][at])]
    if slips:
        return Finding(Found.WRONG, tuple(slips), said="slip in a cell", holes=holes)
    way = "large" if cell > key.right[row][at][0] else "small"
    return Finding(Found.WRONG, said="cell too", holes={**holes, "way": way})


# --- an open task, and what cannot be asked -------------------------------------------------------------


def ticked_in(answer: str) -> tuple[list[str], str]:
    """What is ticked in an answer, and the learner's own words, which stand behind a colon.

    >>> ticked_in("a b: the ring opened twice"), ticked_in("bca"), ticked_in("a, then c")
    ((['a', 'b'], 'the ring opened twice'), (['a', 'b', 'c'], ''), (['a', 'c'], ''))
    """
    said, _, words = answer.partition(":")
    parts = re.findall(r"[^\W\d_]+", said.lower())
    # letters without anything between them are letters too, but no word of the language is
    if len(parts) == 1 and len(set(parts[0])) == len(parts[0]) and set(parts[0]) <= set("abcdefgh"):
        parts = list(parts[0])
    return sorted({part for part in parts if len(part) == 1 and part in ascii_lowercase}), words.strip()


def _ticks(answer: Any, key: TicksKey, patience: Patience) -> Finding:
    said = " ".join(map(as_typed, answer)) if isinstance(answer, (list, tuple)) else answer
    ticked = ticked_in(said if isinstance(said, str) else as_typed(said))[0]
    still = [letter for letter in ascii_lowercase[: key.points] if letter not in ticked]
    return Finding(Found.OPEN, said="still to do", holes={"still": still}) if still else Finding(Found.RIGHT)


def _none(answer: Any, key: NoKey, patience: Patience) -> Finding:
    return Finding(Found.NOT_FOR_THIS_JOB, said="not for this job", holes={"error": key.why})


_JUDGES: Mapping[type, Callable[..., Finding]] = {
    NumberKey: _number,
    ChoiceKey: _choice,
    OrderKey: _order,
    TableKey: _table,
    TicksKey: _ticks,
    NoKey: _none,
}
