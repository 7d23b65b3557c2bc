"""Tickets: each learner's code, to print and cut apart, and a list of them for the teacher."""

from course_lib.bench.for_spreadsheets import csv_file
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.own_exercises import load_own
from course_lib.classroom.school.work_record import SetWork
from course_lib.screen.pages import page_file


def tickets_page(work: SetWork) -> bytes:
    """All tickets as one page to print, self-contained."""
    return page_file(
        "tickets.html", title=work.title, due=said_date(work), set=_what_is_set(work),
        learners=[(work.called(given), given.code) for given in work.learners],
    )  # fmt: skip


def _what_is_set(work: SetWork) -> str:
    """The exercises in a line; of a lesson that is set as a whole only its number."""
    by_lesson: dict[str, list[str]] = {}
    for (lesson, _), exercise in zip(work.asked, work.exercises(), strict=True):
        by_lesson.setdefault(lesson, []).append(exercise.title)
    own = {path.stem: path for path in work.own_paths()}
    said = []
    for lesson, titles in by_lesson.items():
        whole = len(load_own(own[lesson]).exercises if lesson in own else find_lesson(lesson).exercises)
        which = "all" if len(titles) == whole else "; ".join(titles)
        said.append(f"{lesson if lesson in own else f'Lesson {lesson}'}: {which}")
    return ". ".join(said)


def said_date(work: SetWork) -> str:
    """The due date as it is said."""
    if work.due is None:
        return ""
    whole_day = work.due.strftime("%H:%M:%S") == "23:59:59"
    day = f"{work.due.day} {work.due:%B %Y}"
    return day if whole_day else f"{day}, {work.due:%H:%M}"


def code_list(work: SetWork) -> bytes:
    """Number, name and code of each learner, for a spreadsheet."""
    rows = [("number", "name", "code"), *((one.number, one.name, one.code) for one in work.learners)]
    return csv_file(rows)
