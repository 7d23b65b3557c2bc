"""Keys: what is right in an exercise for one job, what each slip gives, how fine, in which unit. Plain data.

A key is all that the judge needs (`judge.judged`). It goes through JSON and back unchanged, so a teacher's
record can keep it and a class be marked by it. A slip is given by its place in the exercise's list.
"""

import zlib
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple


class NumberKey(NamedTuple):
    """A size or a count: the right number in `unit`, and how near and how fine an answer may be.

    Each slip is its place, its number and its own tolerance; `counted` is a word that may stand behind a
    count.
    """

    right: float
    tolerance: float
    finest: float
    unit: str
    counted: str
    slips: Sequence[tuple[int, float, float]]


class ChoiceKey(NamedTuple):
    """One of several: the right one's place in the order shown, and the place that each slip chooses."""

    names: Sequence[str]
    texts: Sequence[int]
    right: int
    slips: Sequence[tuple[int, int]]


class OrderKey(NamedTuple):
    """All of a list in order: the shown places of the steps, in the right order and in that of each slip."""

    names: Sequence[str]
    texts: Sequence[int]
    right: Sequence[int]
    slips: Sequence[tuple[int, Sequence[int]]]


class TableKey(NamedTuple):
    """A table: names of the rows, name, unit and words of each column, and the cells.

    A cell is a word, or a number with its tolerance. `counted` is what a row stands for, where their number
    must be found.
    """

    rows: Sequence[str]
    columns: Sequence[tuple[str, str, Sequence[str]]]
    counted: str
    right: Sequence[Sequence[Any]]
    slips: Sequence[tuple[int, Sequence[Sequence[Any]]]]


class TicksKey(NamedTuple):
    """An open task: how many points there are to tick."""

    points: int


class NoKey(NamedTuple):
    """The job does not allow the exercise; `why` is a sentence."""

    why: str


Key = NumberKey | ChoiceKey | OrderKey | TableKey | TicksKey | NoKey

_SIGNS: dict[str, Callable[..., Key]] = {
    "number": NumberKey,
    "choice": ChoiceKey,
    "order": OrderKey,
    "table": TableKey,
    "ticks": TicksKey,
    "none": NoKey,
}
_SIGN_OF = {kind: sign for sign, kind in _SIGNS.items()}


def as_plain(key: Key) -> list[Any]:
    """A key as JSON holds it.

    >>> as_plain(NumberKey(0.8, 0.005, 0.01, "mm", "", [(0, 1.6, 0.005)]))
    ['number', 0.8, 0.005, 0.01, 'mm', '', [(0, 1.6, 0.005)]]
    """
    return [_SIGN_OF[type(key)], *key]


def from_plain(plain: Sequence[Any]) -> Key:
    """A key from what JSON holds.

    >>> from_plain(["ticks", 4])
    TicksKey(points=4)
    """
    return _SIGNS[plain[0]](*plain[1:])


def tidy(text: str) -> str:
    """A choice as it is compared: small letters, one space, no full stop.

    >>> tidy(" Cut  it off. ")
    'cut it off'
    """
    return " ".join(text.lower().split()).strip(" ).'")


def print_of(text: str) -> int:
    """A number that stands for a choice's text, so that whoever writes it out in full is understood.

    The texts themselves would make the keys of a class many times as large.
    """
    return zlib.crc32(tidy(text).encode("utf-8", "replace"))


def can_be_asked(key: Key) -> bool:
    """Whether the job allows the exercise at all."""
    return type(key) is not NoKey


def asks_the_same(one: Key, other: Key) -> bool:
    """Whether the right answer by one key would be right by the other too."""
    if isinstance(one, NumberKey) and isinstance(other, NumberKey):
        return abs(one.right - other.right) <= min(one.tolerance, other.tolerance)
    if isinstance(one, TableKey) and isinstance(other, TableKey):
        return len(one.right) == len(other.right) and all(map(_row_near, one.right, other.right))
    if isinstance(one, (ChoiceKey, OrderKey)) and type(one) is type(other):
        return one.right == other.right
    return one == other


def _row_near(one: Sequence[Any], other: Sequence[Any]) -> bool:
    return all(
        mine == theirs if isinstance(mine, str) else abs(mine[0] - theirs[0]) <= theirs[1]
        for mine, theirs in zip(one, other, strict=True)
    )
