"""Is an exercise sound on a job? What a test, or a teacher with a new job, asks before learners see it."""

import re
from collections.abc import Iterator
from importlib import import_module
from typing import Any

from course_lib.bench.units import quantity
from course_lib.classroom.exercises.exercise import Exercise, Lesson, Text, text_for
from course_lib.classroom.exercises.filled_tables import TableAsked
from course_lib.classroom.exercises.judge import Found, judged
from course_lib.classroom.exercises.lists import ChoiceAsked, OrderAsked, SymptomAsked
from course_lib.classroom.exercises.open_tasks import OpenTask
from course_lib.classroom.exercises.sizes import FigureRead, SizeAsked
from course_lib.classroom.exercises.words_file import BASES
from course_lib.classroom.pieces.job_in_hand import JobInHand

FEWEST_SLIPS = 2
MOST_POINTS = 8
_WRONG_SIZE = (Found.WRONG, Found.CLOSE, Found.SLIP)


def faults_of_lesson(lesson: Lesson, job: JobInHand) -> list[str]:
    """Everything that is wrong with a lesson on a job, each as a sentence; best is none.

    >>> from course_lib.classroom.exercises.course import find_lesson
    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
    >>> faults_of_lesson(find_lesson("01"), demo_job())
    []
    """
    faults = [
        f"{exercise.name}: {fault}" for exercise in lesson.exercises for fault in faults_of(exercise, job)
    ]
    return [*_faults_of_objectives(lesson), *faults, *_faults_of_figures(lesson, job)]


def _faults_of_figures(lesson: Lesson, job: JobInHand) -> Iterator[str]:
    """A figure that is to be read must be there."""
    for exercise in lesson.exercises:
        if isinstance(exercise, FigureRead) and _figure(lesson.stage, job, exercise.figure) is None:
            yield f"{exercise.name}: the stage {lesson.stage!r} has no figure {exercise.figure!r}"


def words_hold_the_answer(lesson: Lesson, exercise: FigureRead, job: JobInHand) -> bool:
    """Whether the number to be read stands in the words of its figure.

    On one job that may be chance, for a scale has numbers too; on most jobs it gives the answer away.
    """
    number = re.escape(exercise.written(exercise.expected(job), job).split()[0])
    words = repr(_figure(lesson.stage, job, exercise.figure))
    return bool(re.search(rf"(?<![\d.,]){number}(?![.,]?\d)", words))


def _figure(stage: str, job: JobInHand, name: str) -> Any:
    from course_lib.screen.stage import figure_of

    if not stage:
        return None
    try:
        return figure_of(import_module(f"course_lib.screen.stages.{stage}").STAGE, job.plan(), name)
    except KeyError:
        return None


def _faults_of_objectives(lesson: Lesson) -> Iterator[str]:
    shown = {exercise.objective for exercise in lesson.exercises}
    for key in lesson.objectives.keys() - shown:
        yield f"no exercise shows the objective {key!r}"
    for key in shown - lesson.objectives.keys():
        yield f"the objective {key!r} of an exercise is none of the lesson's"
    names = [exercise.name for exercise in lesson.exercises]
    for name in {name for name in names if names.count(name) > 1}:
        yield f"two exercises are called {name!r}"
    if not 4 <= len(names) <= 7:
        yield f"a lesson has 4 to 7 exercises, and this has {len(names)}"


def faults_of(exercise: Exercise, job: JobInHand) -> list[str]:
    """Everything that is wrong with one exercise on a job."""
    form = list(_faults_of_form(exercise, job))
    # what is not in its form cannot be judged either
    answers = [] if form else _faults_of_answers(exercise, job)
    return [*_faults_of_words(exercise, job), *form, *answers]


def _faults_of_words(exercise: Exercise, job: JobInHand) -> Iterator[str]:
    texts: dict[str, Text] = {"task": exercise.task, "clue": exercise.clue, "working": exercise.working}
    for name, text in texts.items():
        if not text_for(text, job).strip():
            yield f"it has no {name}"
    for slip in exercise.slips:
        if not text_for(slip.says, job).strip():
            yield f"the slip {slip.name!r} says nothing"
    if len(exercise.slips) < FEWEST_SLIPS and not exercise.ticks:
        yield f"it knows {len(exercise.slips)} slips; {FEWEST_SLIPS} is the least"
    if exercise.basis not in BASES:
        yield f"its basis {exercise.basis!r} is none of {', '.join(BASES)}"
    if not exercise.source and exercise.basis in ("standard", "handbook", "library"):
        yield f"its basis is {exercise.basis} but no source is named"
    if isinstance(exercise, SizeAsked):
        right = exercise.written(exercise.expected(job), job)
        if right in text_for(exercise.clue, job):
            yield "its clue gives the answer away"


def _faults_of_form(exercise: Exercise, job: JobInHand) -> Iterator[str]:
    """What each kind must have beside its words."""
    if isinstance(exercise, ChoiceAsked):
        yield from _faults_of_choices(exercise, job)
    elif isinstance(exercise, OrderAsked):
        if sorted(exercise.expected(job)) != sorted(exercise.items(job)):
            yield "its expected order does not hold each item once"
    elif isinstance(exercise, TableAsked):
        yield from _faults_of_table(exercise, job)
    elif isinstance(exercise, OpenTask) and not 2 <= len(exercise.points) <= MOST_POINTS:
        yield f"an open task has 2 to {MOST_POINTS} points, and this has {len(exercise.points)}"


def _faults_of_choices(exercise: ChoiceAsked, job: JobInHand) -> Iterator[str]:
    texts = {name: text_for(text, job) for name, text in exercise.choices(job).items()}
    right = exercise.expected(job)
    told = {slip.value(job) for slip in exercise.slips} - {None}
    for name in sorted(({right} | told) - texts.keys()):
        yield f"{name!r} is none of its choices"
    if len(set(texts.values())) < len(texts):
        yield "two of its choices read the same"
    if isinstance(exercise, SymptomAsked):
        for name in texts.keys() - told - {right}:
            yield f"nothing says why the cause {name!r} does not fit"


def _faults_of_table(exercise: TableAsked, job: JobInHand) -> Iterator[str]:
    wide, wanted = len(exercise.columns_for(job)), exercise.expected(job)
    if len(wanted) != len(exercise.names(job)):
        yield f"it expects {len(wanted)} rows and names {len(exercise.names(job))}"
    tables = {"its expected table": wanted} | {
        f"the slip {slip.name!r}": table for slip in exercise.slips if (table := slip.value(job)) is not None
    }
    for called, table in tables.items():
        if any(len(row) != wide for row in table):
            yield f"{called} has rows that do not fill its {wide} columns"
        if len(table) != len(wanted) and not exercise.counted:
            yield f"{called} has another number of rows than are asked"


def _faults_of_answers(exercise: Exercise, job: JobInHand) -> Iterator[str]:
    """The right answer must be judged right, each slip as itself, and no two be alike."""
    key = exercise.key(job)
    expected = exercise.written("", job) if exercise.ticks else exercise.expected(job)
    for form in (expected, exercise.written(expected, job)):
        if not judged(with_unit(exercise, form), key).is_right:
            yield f"its own answer {form} is not judged right"
    alike = set()
    for at, value in exercise.slip_values(job):
        name = exercise.slips[at].name
        if judged(with_unit(exercise, value), key).is_right:
            yield f"the slip {name!r} leads to the right answer"
        for form in (value, exercise.written(value, job)):
            finding = judged(with_unit(exercise, form), key)
            if finding.found is not Found.SLIP or finding.slips[0] != at:
                taken = exercise.slips[finding.slips[0]].name if finding.slips else finding.found
                yield f"the slip {name!r} ({form}) is taken for {taken}"
            alike |= {tuple(sorted((at, other))) for other in finding.slips if other != at}
    for one, other in sorted(alike):
        names = f"{exercise.slips[one].name!r} and {exercise.slips[other].name!r}"
        yield f"the slips {names} cannot be told apart"
    if isinstance(exercise, SizeAsked) and judged(exercise.example, key).found not in _WRONG_SIZE:
        yield f"its example {exercise.example!r} is no answer in the right form, or gives it away"


def with_unit(exercise: Exercise, value: Any) -> Any:
    """A plain number that a sum gave, with the unit it is in."""
    if isinstance(exercise, SizeAsked) and exercise.unit and isinstance(value, (int, float)):
        return quantity(value, exercise.unit)
    return value
