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
    from course_lib.classroom.school.work_record import SetWork

_RECORD, _OLD_RECORD = "set-work.json", "assignment.json"
# So many learners' jobs are enough to see that a teacher's exercise is sound.
_TRIED_ON = 30
# What `set-work` makes beside the record for the learners' files, and where `mark` then keeps the marks.
_HANDED_IN, _MARKS = "handed-in", "marks"
_CODES, _TICKETS, _NUMBERS = _SHEETS = "codes.csv", "tickets.html", "numbers.txt"


def set_work(arguments: list[str]) -> int:
    """Set work for a class: every learner gets a code, and with it an earring of their own.

    Args:
        arguments: ``CLASS.csv -o FOLDER --lessons 02 04 --due 2027-01-15``.

    Returns:
        0, or 2 when something will not do; nothing is written then.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib set-work",
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
        help="give codes to those of the list who have none yet; FOLDER holds the work, which stays",
    )
    chosen = parser.parse_args(arguments)
    return _kindly(lambda: _add(chosen) if chosen.add else _set_work(chosen))


def _set_work(chosen: argparse.Namespace) -> int:
    from course_lib.classroom.school.class_list import read_class
    from course_lib.classroom.school.set_work import set_work
    from course_lib.classroom.school.work_record import (
        SetWork,
        asked_in,
        due_at,
        new_seed,
        write_record,
    )

    folder, own = Path(chosen.out), [Path(name) for name in chosen.own]
    if any((folder / name).exists() for name in (_RECORD, _OLD_RECORD)):
        raise Refused(f"{folder} holds set work already. Give another folder, so that no code changes.")
    for name in (*_SHEETS, *(path.name for path in own)):
        if (folder / name).exists() and not any(
            path.samefile(folder / name) for path in own if path.exists()
        ):
            raise Refused(f"{folder} holds a {name} already, which would be lost. Give another folder.")
    learners = read_class(chosen.class_list)
    asked = asked_in(chosen.lessons, chosen.exercises, own)
    due = due_at(chosen.due)
    seed = chosen.seed or new_seed()
    given = set_work(learners, asked, chosen.difficulty, seed)
    _make_folder(folder)
    for path in own:
        write_whole(folder / path.name, path.read_bytes())
    work = SetWork(
        chosen.title or _title_of(asked), tuple((lesson, each.name) for lesson, each in asked),
        tuple(given.given), due, chosen.difficulty, seed, own_files=tuple(path.name for path in own),
    )  # fmt: skip
    work = write_record(work, given.sheets, given.choices, given.keys, folder / _RECORD)
    _make_folder(folder / _HANDED_IN)
    differing = _write_sheets(folder, work, given.differing(asked))
    first, last = learners[0], learners[-1]
    print(
        f"{len(learners)} learners, from {first.name} (number {first.number}) to {last.name} (number "
        f"{last.number}). {len(asked)} exercises. {differing[0] if differing else ''}"
    )
    for path in own:
        _tell_of_own(folder / path.name, work)
    print(f"Print and cut apart: {folder / _TICKETS}\nFor you alone: {folder / _RECORD}, {folder / _CODES}")
    print(f"Which numbers differ: {folder / _NUMBERS}")
    print(f"Put what they send into {folder / _HANDED_IN}, then: python3 -m course_lib mark {folder}")
    return 0


def _write_sheets(folder: Path, work: "SetWork", differing: list[str]) -> list[str]:
    """What is printed from the record, for the learners and for the teacher."""
    from course_lib.classroom.school.tickets import code_list, tickets_page

    write_whole(folder / _CODES, code_list(work))
    write_whole(folder / _TICKETS, tickets_page(work))
    write_whole(folder / _NUMBERS, ("\n".join(differing) + "\n").encode("utf-8"))
    return differing


def _add(chosen: argparse.Namespace) -> int:
    """Codes for those who came later. Whoever has one keeps it."""
    from dataclasses import replace

    from course_lib.classroom.school.class_list import read_class
    from course_lib.classroom.school.set_work import set_work
    from course_lib.classroom.school.work_record import read_record, write_record

    folder = Path(chosen.out)
    if chosen.lessons or chosen.exercises or chosen.own or chosen.due or chosen.seed or chosen.title:
        raise Refused(
            "What is set stands in the record already: with --add give only the list and -o FOLDER."
        )
    old = _only_old(folder)
    before = read_record(folder / (_OLD_RECORD if old else _RECORD))
    known = {given.number: given.name for given in before.learners}
    new = []
    for learner in read_class(chosen.class_list):
        if learner.number not in known:
            new.append(learner)
        elif learner.name != known[learner.number]:
            raise Refused(
                f"Number {learner.number} is {learner.name} in the list, and {known[learner.number]} in the "
                "record. Mend the list. Without a column of numbers, new learners stand at its end."
            )
    if not new:
        raise Refused("Everybody in the list has a code already.")
    asked = list(zip([lesson for lesson, _ in before.asked], before.exercises(), strict=True))
    given = set_work(new, asked, before.difficulty, before.seed, before)
    work = replace(before, learners=tuple(given.given))
    work = write_record(work, given.sheets, given.choices, given.keys, folder / _RECORD)
    _write_sheets(folder, work, given.differing(asked))
    print(f"{len(new)} learners added, {len(work.learners)} in all. Codes that were given stay as they are.")
    print(f"The new tickets come last in {folder / _TICKETS}")
    if old:
        print(f"Your record is {folder / _RECORD} from now on; {_OLD_RECORD} is not read any more.")
    return 0


def _only_old(folder: Path) -> bool:
    """Whether a folder holds a record by the name that it had in the first version, and none by today's."""
    return (folder / _OLD_RECORD).exists() and not (folder / _RECORD).exists()


def _tell_of_own(path: Path, work: "SetWork") -> None:
    """Where to mend a teacher's own exercises from now on, and what there is to mend."""
    from course_lib.classroom.exercises.own_exercises import load_own, tried

    print(f"Your exercises are copied to {path}. Correct them there.")
    jobs = [work.job_of(given.code) for given in work.learners[:_TRIED_ON]]
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
        arguments: ``FOLDER`` that `set-work` made, or ``FOLDER --record RECORD.json -o MARKS``.

    Returns:
        0, or 2 when the folder, the record or the place for the marks will not do.
    """
    parser = argparse.ArgumentParser(
        prog="python -m course_lib mark",
        description="Mark every file in a folder, from your own record. No learner's code is run.",
    )
    parser.add_argument(
        "folder", metavar="FOLDER", help="the folder of the work, or where else you collected the files"
    )
    parser.add_argument(
        "--record",
        metavar="RECORD.json",
        help="set-work.json of the work you set, if it lies elsewhere",
    )
    parser.add_argument(
        "-o", "--out", metavar="MARKS", help="the folder for the marks; usually marks/ beside the record"
    )
    parser.add_argument("--no-returned", action="store_true", help="make no page for each learner")
    parser.add_argument(
        "--separator", default=",", choices=[",", ";"], help="between the columns of the mark list"
    )
    parser.add_argument(
        "--by-file-time",
        action="store_true",
        help="late is whose file is later, whatever the file itself says",
    )
    chosen = parser.parse_args(arguments)
    return _kindly(lambda: _mark(chosen))


def _mark(chosen: argparse.Namespace) -> int:
    from course_lib.classroom.school.class_figures import class_figures
    from course_lib.classroom.school.class_report import report_page
    from course_lib.classroom.school.mark_list import write_mark_list, write_not_marked
    from course_lib.classroom.school.marking import mark as mark_all
    from course_lib.classroom.school.returned_page import write_returned
    from course_lib.classroom.school.work_record import read_record

    sent, record, out = _places(Path(chosen.folder), chosen.record, chosen.out)
    _tell_of_strays(record.parent, sent)
    marks = mark_all(sent, read_record(record), out, by_file_time=chosen.by_file_time)
    write_mark_list(marks, out / "mark-list.csv", chosen.separator)
    write_not_marked(marks, out / "not-marked.csv", chosen.separator)
    figures = class_figures(marks)
    write_whole(out / "report.html", report_page(marks, figures))
    if not chosen.no_returned:
        write_returned(marks, sent, out / "returned")
    print(f"{figures.handed_in} of {figures.learners} learners have handed in, {figures.late} of them late.")
    if course := marks.course_in_words():
        print(course)
    if moved := marks.moved_in_words():
        print(f"{moved} Why stands in {out / 'report.html'} and in {out / 'ledger.csv'}.")
    for one in marks.not_marked[:10]:
        print(f"Not marked: {one.path}: {one.why}")
    if len(marks.not_marked) > 10:
        print(f"... and {len(marks.not_marked) - 10} more, all in {out / 'not-marked.csv'}")
    print(f"Written: {out / 'report.html'}, {out / 'mark-list.csv'}")
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
        if _only_old(folder):
            print(
                f"{folder / _OLD_RECORD} is a record of the first version of the course, and is read as one."
            )
            return folder / _HANDED_IN, folder / _OLD_RECORD, Path(out) if out else folder / _MARKS
        if not (folder / _RECORD).exists():
            raise Refused(
                f"{folder} holds no {_RECORD}. Give the folder that set-work made, or say where your record "
                f"lies: --record FOLDER/{_RECORD}"
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
