"""What an exercise is: a question to the job in hand, its answer, its slips, and how it is worked.

Each kind (`sizes`, `lists`, `filled_tables`, `open_tasks`) knows how an answer is written and what its key
is; `judge` alone says what an answer is. Words stand in ``data/lessons``, sums in ``lessons/lesson_NN.py``.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, ClassVar

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.judge import judged
from course_lib.classroom.exercises.keys import Key, NoKey
from course_lib.classroom.exercises.typed import as_typed
from course_lib.classroom.exercises.verdicts import Verdict, in_words
from course_lib.classroom.pieces.job_in_hand import JobInHand

# A text that holds numbers of the job is worked out from it.
Text = str | Callable[[JobInHand], str]
Answer = Any


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

    def key(self, job: JobInHand) -> Key:
        """What is right for a job, and what each slip leads to.

        Raises:
            Refused: the job does not allow the exercise.
        """
        raise NotImplementedError

    def judged(self, answer: Answer, job: JobInHand) -> Verdict:
        """What to say of an answer."""
        return in_words(judged(answer, key_for(self, job)), self, job)

    def written(self, value: Answer, job: JobInHand) -> str:
        """An answer as a careful learner would type it."""
        raise NotImplementedError

    def kept(self, answer: Answer, job: JobInHand) -> str:
        """An answer as the record keeps it: text that is judged as the answer itself was."""
        return as_typed(answer)

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

    def slip_values(self, job: JobInHand) -> list[tuple[int, Answer]]:
        """What each slip leads to, by its place; without those for which the job gives no room."""
        values = ((at, slip.value(job)) for at, slip in enumerate(self.slips))
        return [(at, value) for at, value in values if value is not None]

    def slip_at(self, at: int, job: JobInHand) -> tuple[str, str]:
        """Name and sentence of a slip, by its place."""
        return self.slips[at].name, text_for(self.slips[at].says, job)

    def said_when_right(self, job: JobInHand) -> str:
        """What a right answer means at the bench."""
        return text_for(self.well_done, job)

    def form_words(self) -> dict[str, str]:
        """What the judge's general sentences say of the form of an answer."""
        return {}

    def why_no_finer(self) -> str:
        """Why an answer with more decimals says more than anybody knows."""
        return ""

    def source_line(self) -> str:
        """What the exercise rests on, in a line."""
        return f"{self.source} ({self.basis})." if self.source else f"{self.basis.capitalize()}."


def key_for(exercise: Exercise, job: JobInHand) -> Key:
    """The key of an exercise for a job; one that says why, where the job does not allow it.

    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> key_for(find_lesson("01").exercise("value"), demo_job()).unit
    'mm'
    """
    try:
        return exercise.key(job)
    except Refused as error:
        return NoKey(str(error))


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
