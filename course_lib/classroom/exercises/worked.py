"""What a question comes to for one piece: all that its words and its judge need, as plain numbers and names.

A lesson's sums (``lessons/lesson_NN.py``) give one `Worked` for each of its questions; the words stand in
``data/lessons``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from course_lib.classroom.pieces.job_in_hand import JobInHand

Answer = Any


@dataclass(frozen=True)
class Say:
    """A phrase of the words file, by its name, with numbers of its own beside those of the question."""

    phrase: str
    holes: Mapping[str, Any]


def say(phrase: str, **holes: Any) -> Say:
    """Put a phrase of the words file into a hole of a text.

    Args:
        phrase: its name under ``phrases``.
        holes: numbers that only this phrase needs.

    Returns:
        The phrase, for a hole of the words.

    >>> say("times", turns=3)
    Say(phrase='times', holes={'turns': 3})
    """
    return Say(phrase, holes)


@dataclass(frozen=True)
class Worked:
    """What a question comes to for a piece.

    Args:
        right: the answer: a plain number in the question's unit, the name of a choice, names in their order,
            or rows of a table.
        slips: what each slip leads to, by its name in the words file; None where the piece gives no room
            for it. Left out for a choice, whose slips lead to themselves.
        holes: what fills the holes of the texts: numbers, words, phrases (`say`), or a list: phrases a line
            each (or with what stands behind the hole's colon between them), numbers with commas. A hole that
            is not here is filled by the phrase of its name.
        way: which of the ways to ask; empty where there is one.
        shown: names of choices, steps or rows in the order shown, with their texts (or the
            phrases for them) where those come from a table and not from the words file; all of the words
            file if left out.
        columns: the words that can be written in a column of a table, by the column's name, where they
            follow the piece.
    """

    right: Answer
    slips: Mapping[str, Answer] = field(default_factory=dict)
    holes: Mapping[str, Any] = field(default_factory=dict)
    way: str = ""
    shown: Sequence[str] | Mapping[str, str | Say] = ()
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def unless_near(value: float, room: float, *others: float) -> float | None:
    """What a slip leads to, or None on a job where that lies too near to the answer or to another slip.

    Args:
        value: of the slip, in the exercise's unit.
        room: how far apart two answers must lie to be told apart, in the same unit.
        others: the right answer first, then other slips, in the same unit.

    Returns:
        The value of the slip, a number in the same unit; or None.

    >>> unless_near(0.30, 0.01, 0.27), unless_near(0.275, 0.01, 0.27)
    (0.3, None)
    """
    return None if any(abs(value - other) <= room for other in others) else value


def turn(job: JobInHand, size: str, ways: int) -> int:
    """One of so many ways to ask, from 0: for each piece another, as one of its sizes has it.

    Args:
        job: whose size decides.
        size: the key of a size that every sheet has, such as ``"stone_diameter"``; it counts to a micrometre.
        ways: how many there are.

    Returns:
        A number from 0 up to one less than `ways`.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> turn(demo_job(), "stone_diameter", 1)
    0
    """
    return round(1000 * job.readings[size].value) % ways


def turned_round(job: JobInHand, size: str, names: Sequence[str]) -> list[str]:
    """Names in their order, begun at another of them for each piece.

    Args:
        job: the piece in hand.
        size: the key of the size that says where to begin, as for `turn`.
        names: at least one.

    Returns:
        All of them.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> turned_round(demo_job(), "plate_thickness", ["saw", "file", "drill"])
    ['file', 'drill', 'saw']
    """
    first = turn(job, size, len(names))
    return [*names[first:], *names[:first]]


def moved(order: Sequence[str], name: str, beside: str, after: bool) -> list[str] | None:
    """An order with one step put just before or after another; None where either is not in it.

    Args:
        order: the steps as they stand.
        name: the step to be put elsewhere.
        beside: the step that it goes next to.
        after: it goes behind that step; else before it.

    Returns:
        The new order, or None.

    >>> moved(["saw", "file", "drill"], "drill", "saw", after=True)
    ['saw', 'drill', 'file']
    >>> moved(["saw", "file"], "drill", "saw", after=True) is None
    True
    """
    if name not in order or beside not in order:
        return None
    found = [each for each in order if each != name]
    found.insert(found.index(beside) + after, name)
    return found
