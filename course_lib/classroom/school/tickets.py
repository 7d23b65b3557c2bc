"""Tickets: each learner's code, to print and cut apart, and a list of them for the teacher."""

import html

from course_lib.bench.for_spreadsheets import csv_file, printable
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.own_exercises import load_own
from course_lib.classroom.school.work_record import Given, SetWork

_STYLE = """
@page { size: A4; margin: 12mm }
body { font: 11pt/1.4 "DejaVu Sans", Verdana, sans-serif; margin: 0; color: #000; background: #fff }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(84mm, 1fr)) }
section { border: 1px dashed #6b6b6b; padding: 4mm 5mm; break-inside: avoid }
h2 { font-size: 11pt; margin: 0 } p { margin: 1.5mm 0 0 }
.code { font: bold 19pt "DejaVu Sans Mono", monospace; letter-spacing: 0.04em }
code { font: 9.5pt "DejaVu Sans Mono", monospace }
"""


def tickets_page(work: SetWork) -> bytes:
    """All tickets as one page to print, self-contained."""
    title = html.escape(work.title)
    what = _what_is_set(work)
    tickets = "".join(_ticket(work, given, what) for given in work.learners)
    page = (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Codes: {title}</title>'
        f"<style>{_STYLE}</style></head><body><main>{tickets}</main></body></html>\n"
    )
    return page.encode("utf-8", "replace")


def _ticket(work: SetWork, given: Given, what: str) -> str:
    due = f"<p>To be handed in by {said_date(work)}.</p>" if work.due else ""
    first = html.escape(f'job = my_job("{given.code}")', quote=False)
    whose = html.escape(printable(work.called(given)))
    return (
        f"<section><h2>{whose}</h2><p>{html.escape(printable(work.title))}</p>"
        f'<p class="code">{given.code}</p>{what}'
        f"<p>In the first grey cell of each lesson write<br><code>{first}</code></p>"
        "<p>When you have done, press <strong>Hand in</strong> at the end of a lesson, and send the file "
        "that "
        f"it names.</p>{due}</section>"
    )


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
    return f"<p>{html.escape(printable('. '.join(said)))}.</p>"


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
