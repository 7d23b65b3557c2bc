"""Exercises that a teacher writes: one TOML file with words and plain formulas; nothing in it is run.

It is a words file like those of ``data/lessons``, with ``right = "plate_diameter / 3"`` and, for each slip,
what it gives and what is said. It may name a measuring sheet as ``job``, of which the exercises are asked if
nobody gives another.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Lesson
from course_lib.classroom.exercises.lesson_check import faults_of
from course_lib.classroom.exercises.lesson_words import lesson_from
from course_lib.classroom.exercises.words_file import WordsFile
from course_lib.classroom.pieces.job_in_hand import JobInHand, load_job

_NAME = re.compile(r"(?!\d\d$)[a-z0-9][a-z0-9_-]{0,39}")
HUNDRED = 100


def load_own(path: str | Path) -> Lesson:
    """The exercises of a teacher's file, as a lesson that is called as the file is.

    Args:
        path: the file.

    Returns:
        The lesson.

    Raises:
        Refused: there is no such file, or it will not do; the message says in which line, and why.
    """
    file = Path(path)
    if not _NAME.fullmatch(file.stem) or file.suffix != ".toml":
        raise Refused(
            f"{file.name!r} does not do as the name of a file of exercises: small letters, digits and "
            "hyphens, and .toml at its end, for example our-hinge.toml"
        )
    if not file.is_file():
        raise Refused(f"{file}: there is no such file. Check the name and the folder.")
    return lesson_from(file, file.stem, lambda name: None)


def own_job(path: str | Path) -> JobInHand | None:
    """The job that a teacher's file names, if it does."""
    named = WordsFile(Path(path)).all.get("job")
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

    >>> from course_lib.classroom.exercises.course import find_lesson
    >>> from course_lib.classroom.pieces.job_in_hand import demo_job
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
        return [f"it cannot be asked: {refusal}"]


def _without_numbers(fault: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"\([^()]*\)", "", re.sub(r"-?\d+(?:[.,]\d+)?", "…", fault))).strip()
