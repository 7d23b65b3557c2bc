"""Exercises that a teacher writes: one file, nothing in the course is touched.

The file is Python and holds ``EXERCISES``, a tuple of exercises as in ``classroom/lessons``; best also
``TITLE``. It may name a measuring sheet as ``JOB``, which the exercises are then asked of when nobody gives
another. Everything needed to write one can be had from `course_lib.classroom.to_write_with`.
"""

import importlib.util
import re
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

from course_lib.bench.refusals import Refused
from course_lib.classroom.asking import OpenLesson
from course_lib.classroom.exercise import Exercise, Lesson
from course_lib.classroom.failed_sums import said_of
from course_lib.classroom.job_in_hand import CannotGoOn, JobInHand, load_job
from course_lib.classroom.lesson_check import faults_of
from course_lib.classroom.record import ANSWERS

_NAME = re.compile(r"(?!\d\d$)[a-z0-9][a-z0-9_-]{0,39}")
HUNDRED = 100


def load_own(path: str | Path) -> Lesson:
    """The exercises of a teacher's file, as a lesson that is called as the file is.

    Args:
        path: the file. It is run, so it must be your own: never load one that a learner sent.

    Returns:
        The lesson.

    Raises:
        Refused: there is no such file, it cannot be run, or it holds no exercises; the message says where.
    """
    file = Path(path)
    if not _NAME.fullmatch(file.stem) or file.suffix != ".py":
        raise Refused(
            f"{file.name!r} does not do as the name of a file of exercises: small letters, digits and "
            "hyphens, and .py at its end, for example our-hinge.py"
        )
    if not file.is_file():
        raise Refused(f"{file}: there is no such file. Check the name and the folder.")
    module = _run(file)
    exercises = getattr(module, "EXERCISES", None)
    if isinstance(exercises, Exercise):
        exercises = (exercises,)
    if not isinstance(exercises, (tuple, list)) or not exercises:
        raise Refused(f"{file.name} holds no exercises. Write at its end: EXERCISES = (MY_EXERCISE,)")
    for each in exercises:
        if not isinstance(each, Exercise):
            raise Refused(
                f"{file.name}: {each!r:.60} in EXERCISES is no exercise. Write SizeAsked(...) or its like."
            )
    names = [each.name for each in exercises]
    if twice := [name for name, count in Counter(names).items() if count > 1]:
        raise Refused(f"{file.name}: two exercises are called {twice[0]!r}. Give each a name of its own.")
    return Lesson(
        number=file.stem,
        title=str(getattr(module, "TITLE", file.stem.replace("-", " ").capitalize())),
        minutes=0,
        objectives={each.objective: each.title for each in exercises},
        exercises=tuple(exercises),
    )


def _run(file: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"own_exercises_{file.stem.replace('-', '_')}", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses of the file look themselves up there
    try:
        spec.loader.exec_module(module)
    except (Exception, SystemExit) as error:
        raise Refused(f"{file.name} cannot be run: {said_of(error)}") from None
    return module


def open_own(path: str | Path, job: JobInHand | None = None, record: str | Path = ANSWERS) -> OpenLesson:
    """Open a teacher's exercises in a notebook, as `open_lesson` opens a lesson.

    Args:
        path: the teacher's file.
        job: whose numbers are asked; left out, the job that the file names.
        record: the file that keeps the answers.

    Raises:
        CannotGoOn: the file will not do, or there is no job.
    """
    try:
        lesson = load_own(path)
        found = job or own_job(path)
    except Refused as error:
        raise CannotGoOn(str(error)) from None
    if found is None:
        raise CannotGoOn(
            f'{Path(path).name} names no job. Write open_own({str(path)!r}, my_job("your code"))'
        )
    return OpenLesson(lesson, found, record)


def own_job(path: str | Path) -> JobInHand | None:
    """The job that a teacher's file names, if it does."""
    named = getattr(_run(Path(path)), "JOB", None)
    return load_job(Path(path).parent / str(named)) if named else None


@dataclass
class Tried:
    """What came of trying exercises: for each fault on how many jobs it shows, and one of them."""

    jobs: int
    counts: Counter[str] = field(default_factory=Counter)
    examples: dict[str, str] = field(default_factory=dict)

    @property
    def sound(self) -> bool:
        """Nothing was found."""
        return not self.counts

    def __str__(self) -> str:
        if self.sound:
            return f"Tried on {self.jobs} jobs: nothing is ambiguous, and every slip is told apart."
        lines = [f"Tried on {self.jobs} jobs. What to mend:"]
        for fault, count in self.counts.most_common():
            where = "on every job" if count == self.jobs else f"on {count} of {self.jobs} jobs"
            lines.append(f"  {fault}\n      {where}, for example {self.examples[fault]}")
        return "\n".join(lines)


def tried(lesson: Lesson, jobs: Sequence[JobInHand]) -> Tried:
    """Try exercises on many jobs and say where they are ambiguous.

    Args:
        lesson: from `load_own`; any lesson will do.
        jobs: for example a hundred of `made_up_jobs`.

    Returns:
        What was found.

    >>> from course_lib.classroom.course import find_lesson
    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> print(tried(find_lesson("01"), [demo_job()]))
    Tried on 1 jobs: nothing is ambiguous, and every slip is told apart.
    """
    found = Tried(len(jobs))
    for job in jobs:
        for exercise in lesson.exercises:
            # the same fault with other numbers is the same fault
            alike = {_without_numbers(fault): fault for fault in _faults(exercise, job)}
            for general, fault in alike.items():
                said = f"{exercise.name}: {general}"
                found.counts[said] += 1
                found.examples.setdefault(said, f"{job.title} ({fault})" if fault != general else job.title)
    return found


def _faults(exercise: Exercise, job: JobInHand) -> list[str]:
    try:
        return faults_of(exercise, job)
    except Refused as refusal:
        return [f"it cannot be asked ({refusal})"]
    except Exception as error:  # whatever a sum that is being written may raise
        return [f"a sum fails: {said_of(error)}"]


def _without_numbers(fault: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"\([^()]*\)", "", re.sub(r"-?\d+(?:[.,]\d+)?", "…", fault))).strip()
