"""The lessons of the course, by their numbers: words from ``data/lessons``, sums from ``lessons``."""

import re
from functools import cache
from importlib import import_module

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises import lessons
from course_lib.classroom.exercises.exercise import Lesson
from course_lib.classroom.exercises.lesson_words import Work, lesson_from


def lesson_numbers() -> list[str]:
    """The numbers of all lessons, in order."""
    return sorted(path.name[:2] for path in data_folder().glob("lessons/[0-9][0-9]-*.toml"))


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
    return _lesson(wanted)


@cache
def _lesson(number: str) -> Lesson:
    sums = import_module(f"{lessons.__name__}.lesson_{number}")

    def work(name: str) -> Work | None:
        found: Work | None = getattr(sums, re.sub("[- ]", "_", f"work_{name}"), None)
        return found

    path = next(data_folder().glob(f"lessons/{number}-*.toml"))
    return lesson_from(path, number, work)
