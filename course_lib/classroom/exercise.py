"""What an exercise is: a question to the job in hand, its answer, its slips, and how it is worked.

An exercise is only said here, never run: each kind (`sizes`, `lists`) knows how to read and judge an
answer to it. All of a lesson's exercises are in one file, ``lessons/lesson_NN.py``, as its `LESSON`.
"""

import html
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType
from typing import Any, ClassVar

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom import lessons
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.typed import as_typed

# A text that holds numbers of the job is worked out from it.
Text = str | Callable[[JobInHand], str]
Answer = Any

BASES = ("standard", "handbook", "library", "common practice", "from memory", "invented")


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


@dataclass(frozen=True)
class Verdict:
    """What the judge says of one answer: what was found, its sentence, and the slip's name if it is one.

    `more` is what a right answer means at the bench.
    """

    found: Found
    says: str
    slip: str = ""
    more: str = ""

    @property
    def in_full(self) -> str:
        """All that is said."""
        return f"{self.says} {self.more}".strip()

    @property
    def is_right(self) -> bool:
        """The learner may go on."""
        return self.found in (Found.RIGHT, Found.TOO_FINE)


@dataclass(frozen=True)
class Slip:
    """A slip that the trade knows, recognised by its own sum.

    `value` works out what a learner would answer who makes it, or None where the job gives no room for
    it. `says` tells what was done and what should be done instead, but not the answer.
    """

    name: str
    value: Callable[[JobInHand], Answer]
    says: Text


@dataclass(frozen=True, kw_only=True)
class Exercise:
    """What every exercise says of itself, whatever its kind.

    Args:
        name: how the notebook asks for it, one or two words.
        title: what stands over it.
        task: what is asked; everything that is needed to answer it.
        expected: the answer, by a sum of the bench.
        slips: what often goes wrong.
        clue: where to look, without the answer.
        working: the way to the answer, with the learner's own numbers, a step a line.
        basis: one of `BASES`.
        source: what the sum rests on; may be empty for common practice.
        objective: the key of the lesson's objective that it shows.
        well_done: said after a right answer: what it means at the bench.
    """

    name: str
    title: str
    task: Text
    expected: Callable[[JobInHand], Answer]
    slips: tuple[Slip, ...]
    clue: Text
    working: Text
    basis: str
    source: str
    objective: str
    well_done: Text = ""

    # What kind it is, in a word, for whoever lists a lesson's exercises.
    kind: ClassVar[str] = ""
    # True where the answer is one of those offered, so that a box can list them.
    picks_one: ClassVar[bool] = False
    # True where the answer has several lines, and where points are ticked.
    many_lines: ClassVar[bool] = False
    ticks: ClassVar[bool] = False

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """What to say of an answer."""
        raise NotImplementedError

    def written(self, value: Answer, job: JobInHand) -> str:
        """An answer as a careful learner would type it."""
        raise NotImplementedError

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """An answer as the record keeps it: text that is judged as the answer itself was."""
        return as_typed(answer)

    def same(self, one: Answer, other: Answer, job: JobInHand) -> bool:
        """Whether two answers cannot be told apart at the bench."""
        raise NotImplementedError

    def form(self, job: JobInHand) -> str:
        """How an answer is written, as a sentence."""
        raise NotImplementedError

    def prompt(self, job: JobInHand) -> str:
        """What stands in the empty field."""
        return ""

    def offered(self, job: JobInHand) -> Mapping[str, str]:
        """What can be chosen from: sign and text. Empty where the answer is written freely."""
        return {}

    def told_before(self, answer: str, job: JobInHand) -> str:
        """What is said of an exercise that was answered right before, and not again yet."""
        return f"You have answered this right before, with {answer}."

    def slip_of(self, answer: Answer, job: JobInHand) -> Verdict | None:
        """The verdict of the slip that leads to this answer, if one does.

        On some jobs two slips lead to one number; then both are said.
        """
        made = [
            slip
            for slip in self.slips
            if (value := slip.value(job)) is not None and self.same(answer, value, job)
        ]
        if not made:
            return None
        says = " Or else: ".join(text_for(slip.says, job) for slip in made)
        return Verdict(Found.SLIP, says, made[0].name)

    def source_line(self) -> str:
        """What the exercise rests on, in a line."""
        return f"{self.source} ({self.basis})." if self.source else f"{self.basis.capitalize()}."


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """One lesson: what a learner can do after it, and the exercises that show it."""

    number: str
    title: str
    minutes: int
    objectives: Mapping[str, str]
    exercises: tuple[Exercise, ...]
    earlier: tuple[str, ...] = ()
    # its panel and drawings: a file of course_lib/screen/stages
    stage: str = ""
    # the words that its page explains: rows of data/glossary.csv
    words: tuple[str, ...] = ()

    def exercise(self, name: str) -> Exercise:
        """One exercise by its name.

        Raises:
            Refused: there is none; the message offers the nearest.
        """
        by_name = {exercise.name: exercise for exercise in self.exercises}
        if name in by_name:
            return by_name[name]
        near = get_close_matches(str(name), by_name, n=1, cutoff=0.4) or list(by_name)
        raise Refused(f"Lesson {self.number} has no exercise {name!r}. Write {' or '.join(map(repr, near))}.")


def unless_near(value: float, room: float, *others: float) -> float | None:
    """What a slip leads to, or None on a job where that lies too near to the answer or to another slip.

    Args:
        value: of the slip.
        room: how far apart two answers must lie to be told apart.
        others: the right answer first, then other slips.

    >>> unless_near(0.30, 0.01, 0.27), unless_near(0.275, 0.01, 0.27)
    (0.3, None)
    """
    return None if any(abs(value - other) <= room for other in others) else value


def unless_it_is(right: Callable[[JobInHand], str], name: str, says: Text) -> Slip:
    """A slip that is one of several choices, of which another is right on another piece.

    Args:
        right: the name of the right choice.
        name: of this choice, and of the slip.
        says: why it does not fit.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> [unless_it_is(lambda job: "blunt", name, "No.").value(demo_job()) for name in ("loose", "blunt")]
    ['loose', None]
    """
    return Slip(name, lambda job: None if right(job) == name else name, says)


def turn(job: JobInHand, size: str, ways: int) -> int:
    """One of so many ways to ask, from 0: for each piece another, as one of its sizes has it.

    Args:
        size: the key of a size that every sheet has, such as ``"stone_diameter"``; it counts to a micrometre.
        ways: how many there are.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> turn(demo_job(), "stone_diameter", 1)
    0
    """
    return round(1000 * job.readings[size].value) % ways


def text_for(text: Text, job: JobInHand) -> str:
    """A text with the job's numbers in it."""
    return text if isinstance(text, str) else text(job)


def task_text(exercise: Exercise, job: JobInHand, listed: bool = True) -> str:
    """What is asked, with the list to choose from and how an answer is written.

    Args:
        exercise: which.
        job: the job in hand.
        listed: with the list; a box with one line to tick for each point has no need of it.
    """
    try:
        task = text_for(exercise.task, job)
        choices = exercise.offered(job)
        offered = "\n".join(f"{letter})  {text}" for letter, text in choices.items()) if listed else ""
        form = exercise.form(job)
    except Refused as error:
        return f"This cannot be asked of your job: {error}"
    return "\n\n".join(part for part in (task, offered, form) if part)


def lesson_numbers() -> list[str]:
    """The numbers of all lessons that have a file."""
    names = (module.name for module in iter_modules(lessons.__path__))
    return sorted(name.removeprefix("lesson_") for name in names if name.startswith("lesson_"))


def find_lesson(number: str | int) -> Lesson:
    """A lesson by its number.

    Raises:
        Refused: there is none.

    >>> find_lesson(1).title
    'Read the pattern'
    """
    wanted = str(number).zfill(2)
    if wanted not in lesson_numbers():
        raise Refused(f"There is no lesson {number!r}. Write one of: {', '.join(lesson_numbers())}.")
    module = import_module(f"{lessons.__name__}.lesson_{wanted}")
    return module.LESSON if hasattr(module, "LESSON") else _of_words(wanted, module)


@cache
def _of_words(number: str, sums: ModuleType) -> Lesson:
    from course_lib.classroom.lesson_words import lesson_from

    path = next(data_folder().glob(f"lessons/{number}-*.toml"))
    return lesson_from(path, number, lambda name: getattr(sums, re.sub("[- ]", "_", f"work_{name}"), None))


def as_html(text: str) -> str:
    """Plain text as paragraphs and lines of a page; nothing in it is taken for marks.

    >>> as_html("0.8 < 0.9")
    '<div style="line-height: 1.45"><p>0.8 &lt; 0.9</p></div>'
    """
    paragraphs = [html.escape(part).replace("\n", "<br>") for part in text.split("\n\n") if part.strip()]
    return f'<div style="line-height: 1.45">{"".join(f"<p>{part}</p>" for part in paragraphs)}</div>'
