"""What the command line does for a teacher: set work, mark it, and try an exercise of their own."""

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.commands import BAD_INPUT

if TYPE_CHECKING:
    from course_lib.classroom.school.assignment import Assignment

_RECORD = "assignment.json"
# So many learners' jobs are enough to see that a teacher's exercise is sound.
_TRIED_ON = 30
# What `assign` makes beside the record for the learners' files, and where `mark` then keeps the marks.
_HANDED_IN, _MARKS = "handed-in", "marks"
_CODES, _SLIPS, _NUMBERS = _SHEETS = "codes.csv", "slips.html", "numbers.txt"


def assign(arguments: list[str]) -> int:
    """Set work for a class: every learner gets a code, and with it an earring of their own.

    Args:
        arguments: ``CLASS.csv -o FOLDER --lessons 02 04 --due 2027-01-15``.

    Returns:
        0, or 2 when something will not do; nothing is written then.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib assign",
        description="Set work for a class: a code for every learner, and with it an earring of their own.",
    )
    parser.add_argument(
        "class_list", metavar="CLASS.csv", help="the class list: name and number, as a school exports it"
    )
    parser.add_argument(
        "-o", "--out", metavar="FOLDER", required=True, help="a new folder for the codes and your record"
    )
    parser.add_argument(
        "--lessons", nargs="+", default=[], metavar="02", help="lessons, all of whose exercises are set"
    )
    parser.add_argument("--exercises", nargs="+", default=[], metavar="02/density", help="single exercises")
    parser.add_argument(
        "--own", nargs="+", default=[], metavar="FILE.toml", help="exercises that you wrote yourself"
    )
    parser.add_argument("--due", metavar="2027-01-15", help="the last day, or 2027-01-15T18:00")
    parser.add_argument("--difficulty", default="usual", help="first, usual or hard")
    parser.add_argument("--title", help="what the learners read at the top")
    parser.add_argument(
        "--seed", help="the same class and word give the same codes; a secret one if left out"
    )
    parser.add_argument(
        "--add",
        action="store_true",
        help="give codes to those of the list who have none yet; FOLDER holds the assignment, which stays",
    )
    chosen = parser.parse_args(arguments)
    return _kindly(lambda: _add(chosen) if chosen.add else _assign(chosen))


def _assign(chosen: argparse.Namespace) -> int:
    from course_lib.classroom.school.assignment import (
        Assignment,
        asked_in,
        due_at,
        new_seed,
        write_assignment,
    )
    from course_lib.classroom.school.class_list import read_class
    from course_lib.classroom.school.set_work import set_work

    folder, own = Path(chosen.out), [Path(name) for name in chosen.own]
    if (folder / _RECORD).exists():
        raise Refused(f"{folder} holds an assignment already. Give another folder, so that no code changes.")
    for name in (*_SHEETS, *(path.name for path in own)):
        if (folder / name).exists() and not any(
            path.samefile(folder / name) for path in own if path.exists()
        ):
            raise Refused(f"{folder} holds a {name} already, which would be lost. Give another folder.")
    learners = read_class(chosen.class_list)
    asked = asked_in(chosen.lessons, chosen.exercises, own)
    due = due_at(chosen.due)
    seed = chosen.seed or new_seed()
    work = set_work(learners, asked, chosen.difficulty, seed)
    _make_folder(folder)
    for path in own:
        write_whole(folder / path.name, path.read_bytes())
    assignment = Assignment(
        chosen.title or _title_of(asked), tuple((lesson, each.name) for lesson, each in asked),
        tuple(work.given), due, chosen.difficulty, seed, own_files=tuple(path.name for path in own),
    )  # fmt: skip
    assignment = write_assignment(assignment, work.sheets, work.keys, folder / _RECORD)
    _make_folder(folder / _HANDED_IN)
    differing = _write_sheets(folder, assignment, work.differing(asked))
    first, last = learners[0], learners[-1]
    print(
        f"{len(learners)} learners, from {first.name} (number {first.number}) to {last.name} (number "
        f"{last.number}). {len(asked)} exercises. {differing[0] if differing else ''}"
    )
    for path in own:
        _tell_of_own(folder / path.name, assignment)
    print(f"Print and cut apart: {folder / _SLIPS}\nFor you alone: {folder / _RECORD}, {folder / _CODES}")
    print(f"Which numbers differ: {folder / _NUMBERS}")
    print(f"Put what they send into {folder / _HANDED_IN}, then: python3 -m course_lib mark {folder}")
    return 0


def _write_sheets(folder: Path, assignment: "Assignment", differing: list[str]) -> list[str]:
    """What is printed from the record, for the learners and for the teacher."""
    from course_lib.classroom.school.slips_of_paper import code_list, slips_page

    write_whole(folder / _CODES, code_list(assignment))
    write_whole(folder / _SLIPS, slips_page(assignment))
    write_whole(folder / _NUMBERS, ("\n".join(differing) + "\n").encode("utf-8"))
    return differing


def _add(chosen: argparse.Namespace) -> int:
    """Codes for those who came later. Whoever has one keeps it."""
    from dataclasses import replace

    from course_lib.classroom.school.assignment import read_assignment, write_assignment
    from course_lib.classroom.school.class_list import read_class
    from course_lib.classroom.school.set_work import set_work

    folder = Path(chosen.out)
    if chosen.lessons or chosen.exercises or chosen.own or chosen.due or chosen.seed or chosen.title:
        raise Refused(
            "What is set stands in the assignment already: with --add give only the list and -o FOLDER."
        )
    before = read_assignment(folder / _RECORD)
    known = {given.number: given.name for given in before.learners}
    new = []
    for learner in read_class(chosen.class_list):
        if learner.number not in known:
            new.append(learner)
        elif learner.name != known[learner.number]:
            raise Refused(
                f"Number {learner.number} is {learner.name} in the list, and {known[learner.number]} in the "
                "assignment. Mend the list. Without a column of numbers, new learners stand at its end."
            )
    if not new:
        raise Refused("Everybody in the list has a code already.")
    asked = list(zip([lesson for lesson, _ in before.asked], before.exercises(), strict=True))
    work = set_work(new, asked, before.difficulty, before.seed, before)
    assignment = write_assignment(
        replace(before, learners=tuple(work.given)), work.sheets, work.keys, folder / _RECORD
    )
    _write_sheets(folder, assignment, work.differing(asked))
    print(
        f"{len(new)} learners added, {len(assignment.learners)} in all. Codes that were given stay as "
        "they are."
    )
    print(f"The new slips come last in {folder / _SLIPS}")
    return 0


def _tell_of_own(path: Path, assignment: "Assignment") -> None:
    """Where to mend a teacher's own exercises from now on, and what there is to mend."""
    from course_lib.classroom.exercises.own_exercises import load_own, tried

    print(f"Your exercises are copied to {path}. Correct them there.")
    jobs = [assignment.job_of(given.code) for given in assignment.learners[:_TRIED_ON]]
    found = tried(load_own(path), jobs)
    if not found.sound:
        print(found)


def _title_of(asked: Sequence[tuple[str, object]]) -> str:
    lessons = list(dict.fromkeys(lesson for lesson, _ in asked))
    return f"Lesson{'s' if len(lessons) > 1 else ''} {', '.join(lessons)}"


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{folder} cannot be made: {error.strerror}. Choose another folder.") from None


def mark(arguments: list[str]) -> int:
    """Mark what was handed in.

    Args:
        arguments: ``FOLDER`` that `assign` made, or ``FOLDER --assignment RECORD.json -o MARKS``.

    Returns:
        0, or 2 when the folder, the record or the place for the marks will not do.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib mark",
        description="Mark every file in a folder, from your own record. No learner's code is run.",
    )
    parser.add_argument(
        "folder", metavar="FOLDER", help="the folder of the assignment, or where else you collected the files"
    )
    parser.add_argument(
        "--assignment",
        metavar="RECORD.json",
        help="assignment.json of the work you set, if it lies elsewhere",
    )
    parser.add_argument(
        "-o", "--out", metavar="MARKS", help="the folder for the marks; usually marks/ beside the record"
    )
    parser.add_argument("--no-feedback", action="store_true", help="make no sheet for each learner")
    parser.add_argument(
        "--separator", default=",", choices=[",", ";"], help="between the columns of the gradebook"
    )
    parser.add_argument(
        "--by-file-time",
        action="store_true",
        help="late is whose file is later, whatever the file itself says",
    )
    chosen = parser.parse_args(arguments)
    return _kindly(lambda: _mark(chosen))


def _mark(chosen: argparse.Namespace) -> int:
    from course_lib.classroom.school.assignment import read_assignment
    from course_lib.classroom.school.class_figures import class_figures
    from course_lib.classroom.school.class_report import report_page
    from course_lib.classroom.school.feedback_sheet import write_feedback
    from course_lib.classroom.school.gradebook import write_gradebook, write_not_marked
    from course_lib.classroom.school.marking import mark as mark_all

    sent, record, out = _places(Path(chosen.folder), chosen.assignment, chosen.out)
    _tell_of_strays(record.parent, sent)
    marks = mark_all(sent, read_assignment(record), out, by_file_time=chosen.by_file_time)
    write_gradebook(marks, out / "gradebook.csv", chosen.separator)
    write_not_marked(marks, out / "not-marked.csv", chosen.separator)
    figures = class_figures(marks)
    write_whole(out / "report.html", report_page(marks, figures))
    if not chosen.no_feedback:
        write_feedback(marks, sent, out / "feedback")
    print(f"{figures.handed_in} of {figures.learners} learners have handed in, {figures.late} of them late.")
    if course := marks.course_in_words():
        print(course)
    if moved := marks.moved_in_words():
        print(f"{moved} Why stands in {out / 'report.html'} and in {out / 'ledger.csv'}.")
    for one in marks.not_marked[:10]:
        print(f"Not marked: {one.path}: {one.why}")
    if len(marks.not_marked) > 10:
        print(f"... and {len(marks.not_marked) - 10} more, all in {out / 'not-marked.csv'}")
    print(f"Written: {out / 'report.html'}, {out / 'gradebook.csv'}")
    return 0


def _tell_of_strays(folder: Path, sent: Path) -> None:
    """Hand-ins that lie beside the record were meant for the folder below it."""
    strays = sorted(folder.glob("hand-in-*.json")) if folder.resolve() != sent.resolve() else []
    if strays:
        print(
            f"{len(strays)} files that look like hand-ins lie beside the record and are not marked, such as "
            f"{strays[0].name}. Move them into {sent}."
        )


def _places(folder: Path, record: str | None, out: str | None) -> tuple[Path, Path, Path]:
    """Where the files lie, the teacher's record, and the folder for the marks."""
    if record is None:
        if not (folder / _RECORD).exists():
            raise Refused(
                f"{folder} holds no {_RECORD}. Give the folder that assign made, or say where your record "
                f"lies: --assignment FOLDER/{_RECORD}"
            )
        return folder / _HANDED_IN, folder / _RECORD, Path(out) if out else folder / _MARKS
    return folder, Path(record), Path(out) if out else Path(record).parent / _MARKS


def try_exercise(arguments: list[str]) -> int:
    """Try exercises that a teacher wrote, on a hundred jobs.

    Args:
        arguments: ``FILE.py``.

    Returns:
        0 if nothing is ambiguous, 1 if something is, 2 if the file will not do.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib try-exercise",
        description="Try your own exercises on a hundred made-up jobs, and say where they are ambiguous.",
    )
    parser.add_argument("file", metavar="FILE.toml", help="your file")
    chosen = parser.parse_args(arguments)
    return _kindly(lambda: _try_exercise(chosen.file))


def _try_exercise(file: str) -> int:
    from course_lib.classroom.exercises.own_exercises import HUNDRED, load_own, own_job, tried
    from course_lib.classroom.pieces.own_numbers import made_up_jobs

    lesson, job = load_own(file), own_job(file)
    jobs = made_up_jobs(HUNDRED)
    found = tried(lesson, [job, *jobs] if job else jobs)
    print(f"{len(lesson.exercises)} exercises in {Path(file).name}. {found}")
    return 0 if found.sound else 1


def _kindly(work: Callable[[], int]) -> int:
    """Do it; what will not do is told in a sentence."""
    try:
        return work()
    except Refused as refusal:
        print(refusal, file=sys.stderr)
    except OSError as error:
        print(f"{error.filename or 'A file'} cannot be used: {error.strerror}.", file=sys.stderr)
    return BAD_INPUT
