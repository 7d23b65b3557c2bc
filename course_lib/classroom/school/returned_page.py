"""A sheet for each learner: what they answered, and what the lessons say to it."""

import html
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path

from course_lib.bench.filing import write_whole
from course_lib.bench.for_spreadsheets import printable
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Text, text_for
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.learner_code import code_in
from course_lib.classroom.school.class_report import page_of
from course_lib.classroom.school.judge_sent import AT_ONCE, LATER, NOT_RIGHT, Judged
from course_lib.classroom.school.kept_lines import KeptLines
from course_lib.classroom.school.marking import Marks, kept_in
from course_lib.classroom.school.progress_bar import with_bar
from course_lib.classroom.school.sent_files import CannotUse, SentTry, content_of, mark_of, read_sent
from course_lib.classroom.school.work_record import Given, Gone

_STYLE = """
section { border-left: 4px solid #6b6b6b; padding: 0 0 0 0.8em; margin: 1em 0; break-inside: avoid }
section.right { border-left-color: #00695c } section.wrong { border-left: 4px dashed #b35900 }
section h3 { font-size: 1em; margin: 0 } section p { margin: 0.25em 0 } .answer { white-space: pre-line }
section, h1 { overflow-wrap: anywhere } .task { color: #444; font-size: 0.92em }
"""
_LONGEST_SHOWN = 400


def write_returned(marks: Marks, folder: str | Path, out: Path) -> Path:
    """Write the sheets of all whose hand-in or whose marking is new, and a list of all sheets.

    Args:
        marks: from `mark`.
        folder: where the hand-ins lie.
        out: the folder for the sheets; made if it is not there.

    Returns:
        The list, `index.html`.

    Raises:
        Refused: they cannot be written.
    """
    out.mkdir(exist_ok=True)
    made = KeptLines(kept_in(marks.folder) / f"returned-{marks.rules}.tsv")
    learners = marks.work.learners
    rows = []
    for at, given in enumerate(with_bar(learners, len(learners), "sheets"), 1):
        counted = marks.counted.get(given.code)
        sheet = out / f"{at:03d}-{given.code}.html"
        if counted:
            what = f"{counted.file} {counted.late}".encode()
            if made.get(given.code) != what or not sheet.exists():
                _write_one(marks, given, Path(folder) / counted.path, sheet)
                made.put(given.code, what)
        if sheet.exists():
            called = html.escape(printable(marks.work.called(given)))
            rows.append(f'<li><a href="{sheet.name}">{called}</a></li>')
    made.close()
    _take_away_those_of_nobody(out, {f"{at:03d}-{given.code}.html" for at, given in enumerate(learners, 1)})
    title = f"Sheets: {html.escape(printable(marks.work.title))}"
    return write_whole(out / "index.html", page_of(title, f"<h1>{title}</h1><ol>{''.join(rows)}</ol>"))


def _take_away_those_of_nobody(out: Path, names: set[str]) -> None:
    """A page of a learner who is not in the record any more would never be kept up."""
    for page in out.glob("[0-9][0-9][0-9]*-*.html"):
        if code_in(page.stem) and page.name not in names:
            page.unlink(missing_ok=True)


def _write_one(marks: Marks, given: Given, path: Path, sheet: Path) -> None:
    judged, counted = marks.judged_of(given.code), marks.counted[given.code]
    try:
        content = content_of(path)
        if judged is None or mark_of(content) != counted.file:
            return  # it was exchanged since it was marked: the next marking will see it
        sent = read_sent(content)
    except CannotUse:
        return
    write_whole(sheet, returned_page(marks, given, judged, sent.tries))


def returned_page(marks: Marks, given: Given, judged: Judged, tries: Sequence[SentTry]) -> bytes:
    """The sheet of one learner.

    Args:
        marks: from `mark`.
        given: the learner.
        judged: what came of their hand-in.
        tries: that were in it.

    Returns:
        The content of an HTML file.
    """
    job = marks.work.job_of(given.code)
    answers = _answers(marks, judged, tries)
    parts = [
        _section(exercise, job, answers.get((lesson, exercise.name)), judged.tries[at], judged.stands[at])
        for at, (lesson, exercise) in enumerate(marks.asked)
    ]
    body = "".join(_with_headings(marks, parts))
    mark = marks.mark_of(given.code)
    late = " It came after the due date." if mark.late else ""
    name, title = (
        html.escape(printable(marks.work.called(given))),
        html.escape(printable(marks.work.title)),
    )
    made = datetime.now().astimezone().strftime("%Y-%m-%d")
    head = (
        f'<h1>{name}</h1><p class="note">{title}. Your code: {given.code}. {made}</p>'
        f'<p class="sum"><strong>{mark.points} of {mark.of}</strong> exercises are right.{late}</p>'
    )
    return page_of(f"{name}: {title}", head + body, _STYLE)


def _with_headings(marks: Marks, parts: Sequence[str]) -> Iterator[str]:
    before = None
    for (lesson, _), part in zip(marks.asked, parts, strict=True):
        if lesson != before:
            yield f"<h2>Lesson {html.escape(lesson)}</h2>"
            before = lesson
        yield part


def _answers(marks: Marks, judged: Judged, tries: Sequence[SentTry]) -> dict[tuple[str, str], str]:
    """The answer to show for each exercise: the one that was right, for a later slip takes nothing back."""
    places = {(lesson, exercise.name): at for at, (lesson, exercise) in enumerate(marks.asked)}
    found: dict[tuple[str, str], str] = {}
    for one in tries:
        key = (one["lesson"], one["exercise"])
        if key in places and not (key in found and judged.stands[places[key]] == AT_ONCE):
            found[key] = one["answer"]
    for at, place in judged.later.items():
        lesson, exercise = marks.asked[at]
        found[lesson, exercise.name] = tries[place]["answer"]
    return found


def _verdict(exercise: Exercise, answer: str, job: JobInHand) -> Verdict:
    if isinstance(exercise, Gone):
        return Verdict(Found.WRONG, "Not right.")
    try:
        return exercise.judged(answer, job)
    except Refused as error:
        return Verdict(Found.NOT_FOR_THIS_JOB, f"This cannot be asked of your earring: {error}")
    except Exception:  # whatever a stranger's text does to an exercise
        return Verdict(Found.UNREADABLE, "This answer cannot be read.")


def _as_marked(verdict: Verdict, stands: str) -> Verdict:
    """What the page says of an answer: never other than the mark, whatever the course of today says."""
    if stands in (AT_ONCE, LATER) and not verdict.is_right:
        return Verdict(Found.RIGHT, "Right. It was marked by the course of the day the work was set.")
    if stands == NOT_RIGHT and verdict.is_right:
        return Verdict(Found.WRONG, "Not right by the course of the day the work was set. Ask about it.")
    return verdict


def _section(exercise: Exercise, job: JobInHand, answer: str | None, tries: int, stands: str) -> str:
    asked = f'<p class="task">{_as_lines(_said(exercise.task, job))}</p>'
    head = f"<h3>{html.escape(exercise.title)}</h3>{asked}"
    if answer is None:
        clue = f" A clue: {_as_lines(_said(exercise.clue, job))}" if exercise.clue else ""
        return f"<section>{head}<p>Not answered.{clue}</p></section>"
    verdict = _as_marked(_verdict(exercise, answer, job), stands)
    sign, kind = ("✓", "right") if verdict.is_right else ("→", "wrong")
    often = f" ({tries} tries)" if tries > 1 else ""
    shown = printable(answer[:_LONGEST_SHOWN])
    if exercise.picks_one:
        chosen = exercise.offered(job).get(answer.strip().lower())
        shown = f"{shown})  {chosen}" if chosen else shown
    lines = [
        f'<p class="answer">You answered: {html.escape(shown)}{often}</p>',
        f"<p>{sign} {_as_lines(verdict.in_full)}</p>",
    ]
    if not verdict.is_right and exercise.clue:
        lines.append(f"<p>A clue: {_as_lines(_said(exercise.clue, job))}</p>")
    return f'<section class="{kind}">{head}{"".join(lines)}</section>'


def _said(text: Text, job: JobInHand) -> str:
    try:
        return text_for(text, job)
    except Refused as error:
        return str(error)


def _as_lines(text: str) -> str:
    return html.escape(printable(text)).replace("\n", "<br>")
