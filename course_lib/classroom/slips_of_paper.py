"""Slips of paper: each learner's code, to print and cut apart, and a list of them for the teacher."""

import html

from course_lib.classroom.assignment import Assignment, Given
from course_lib.classroom.for_spreadsheets import csv_file

_STYLE = """
@page { size: A4; margin: 12mm }
body { font: 11pt/1.4 "DejaVu Sans", Verdana, sans-serif; margin: 0; color: #000; background: #fff }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(84mm, 1fr)) }
section { border: 1px dashed #6b6b6b; padding: 4mm 5mm; break-inside: avoid }
h2 { font-size: 11pt; margin: 0 } p { margin: 1.5mm 0 0 }
.code { font: bold 19pt "DejaVu Sans Mono", monospace; letter-spacing: 0.04em }
code { font: 9.5pt "DejaVu Sans Mono", monospace }
"""


def slips_page(assignment: Assignment) -> bytes:
    """All slips as one page to print, self-contained."""
    title = html.escape(assignment.title)
    slips = "".join(_slip(assignment, given) for given in assignment.learners)
    page = (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Codes: {title}</title>'
        f"<style>{_STYLE}</style></head><body><main>{slips}</main></body></html>\n"
    )
    return page.encode("utf-8", "replace")


def _slip(assignment: Assignment, given: Given) -> str:
    due = f"<p>To be handed in by {said_date(assignment)}.</p>" if assignment.due else ""
    first = html.escape(f'job = my_job("{given.code}")', quote=False)
    last = html.escape(f'hand_in("{given.code}")', quote=False)
    return (
        f"<section><h2>{html.escape(given.name)}</h2><p>{html.escape(assignment.title)}</p>"
        f'<p class="code">{given.code}</p>'
        f"<p>In the first cell of a lesson write<br><code>{first}</code></p>"
        f"<p>When you have done, run in any cell<br><code>{last}</code></p>{due}</section>"
    )


def said_date(assignment: Assignment) -> str:
    """The due date as it is said."""
    if assignment.due is None:
        return ""
    whole_day = assignment.due.strftime("%H:%M:%S") == "23:59:59"
    day = f"{assignment.due.day} {assignment.due:%B %Y}"
    return day if whole_day else f"{day}, {assignment.due:%H:%M}"


def code_list(assignment: Assignment) -> bytes:
    """Number, name and code of each learner, for a spreadsheet."""
    rows = [("number", "name", "code"), *((one.number, one.name, one.code) for one in assignment.learners)]
    return csv_file(rows)
