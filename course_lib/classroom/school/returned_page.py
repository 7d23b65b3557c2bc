"""A page for each learner: what they answered, and what the lessons say to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Text, text_for
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.classroom.pieces.learner_code import code_in
from course_lib.classroom.school.kept_lines import KeptLines
from course_lib.classroom.school.marking import Marks, kept_in
from course_lib.classroom.school.progress_bar import with_bar
from course_lib.classroom.school.sent_files import CannotUse, SentTry, content_of, mark_of, read_sent
from course_lib.classroom.school.tally import AT_ONCE, LATER, NOT_RIGHT, Judged
from course_lib.classroom.school.work_record import Given, Gone
from course_lib.screen.pages import page_file

_LONGEST_SHOWN = 400


@dataclass(frozen=True)
class _Shown:
    """An exercise as it stands on the page; without a verdict where nothing was answered."""

    title: str
    task: str
    clue: str
    answer: str = ""
    tries: int = 0
    verdict: Verdict | None = None


def write_returned(marks: Marks, folder: str | Path, out: Path) -> Path:
    """Write the pages of all whose hand-in or whose marking is new, and a list of all pages.

    Args:
        marks: from `mark`.
        folder: where the hand-ins lie.
        out: the folder for the pages; made if it is not there.

    Returns:
        The list, `index.html`.

    Raises:
        Refused: they cannot be written.
    """
    out.mkdir(exist_ok=True)
    made = KeptLines(kept_in(marks.folder) / f"returned-{marks.rules}.tsv")
    learners = marks.work.learners
    rows = []
    for at, given in enumerate(with_bar(learners, len(learners), "pages"), 1):
        counted = marks.counted.get(given.code)
        page = out / f"{at:03d}-{given.code}.html"
        if counted:
            what = f"{counted.file} {counted.late}".encode()
            if made.get(given.code) != what or not page.exists():
                _write_one(marks, given, Path(folder) / counted.path, page)
                made.put(given.code, what)
        if page.exists():
            rows.append((page.name, marks.work.called(given)))
    made.close()
    _take_away_those_of_nobody(out, {f"{at:03d}-{given.code}.html" for at, given in enumerate(learners, 1)})
    listed = page_file("returned_list.html", title=marks.work.title, pages=rows)
    return write_whole(out / "index.html", listed)


def _take_away_those_of_nobody(out: Path, names: set[str]) -> None:
    """A page of a learner who is not in the record any more would never be kept up."""
    for page in out.glob("[0-9][0-9][0-9]*-*.html"):
        if code_in(page.stem) and page.name not in names:
            page.unlink(missing_ok=True)


def _write_one(marks: Marks, given: Given, path: Path, page: Path) -> None:
    judged, counted = marks.judged_of(given.code), marks.counted[given.code]
    try:
        content = content_of(path)
        if judged is None or mark_of(content) != counted.file:
            return  # it was exchanged since it was marked: the next marking will see it
        sent = read_sent(content)
    except CannotUse:
        return
    write_whole(page, returned_page(marks, given, judged, sent.tries))


def returned_page(marks: Marks, given: Given, judged: Judged, tries: Sequence[SentTry]) -> bytes:
    """The page of one learner.

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
    lessons: dict[str, list[_Shown]] = {}
    for at, (lesson, exercise) in enumerate(marks.asked):
        answer = answers.get((lesson, exercise.name))
        lessons.setdefault(lesson, []).append(
            _shown(exercise, job, answer, judged.tries[at], judged.stands[at])
        )
    return page_file(
        "returned.html", name=marks.work.called(given), title=marks.work.title, code=given.code,
        made=datetime.now().astimezone().strftime("%Y-%m-%d"), mark=marks.mark_of(given.code),
        lessons=lessons.items(),
    )  # fmt: skip


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


def _shown(exercise: Exercise, job: JobInHand, answer: str | None, tries: int, stands: str) -> _Shown:
    task, clue = _said(exercise.task, job), _said(exercise.clue, job)
    if answer is None:
        return _Shown(exercise.title, task, clue)
    shown = answer[:_LONGEST_SHOWN]
    if exercise.picks_one and (chosen := exercise.offered(job).get(answer.strip().lower())):
        shown = f"{shown})  {chosen}"
    return _Shown(
        exercise.title, task, clue, shown, tries, _as_marked(_verdict(exercise, answer, job), stands)
    )


def _said(text: Text, job: JobInHand) -> str:
    try:
        return text_for(text, job)
    except Refused as error:
        return str(error)
