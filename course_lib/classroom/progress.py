"""How far a learner has come: a picture of all lessons, a sheet to print, and a fresh start."""

from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.asking import Said
from course_lib.classroom.exercise import Found, find_lesson, lesson_numbers
from course_lib.classroom.record import ANSWERS, kept_at, tries_in
from course_lib.screen.sheet import A4, GREY, INK, PALE, PAPER, THIN, Look, Sheet
from course_lib.screen.svg import as_image

_DONE = (Found.RIGHT, Found.TOO_FINE)


@dataclass(frozen=True)
class LessonDone:
    """One lesson: how many of its exercises are right on some job, out of how many, and since when."""

    number: str
    title: str
    done: int
    of: int
    tries: int
    last: str

    @property
    def is_done(self) -> bool:
        """All of it."""
        return self.done == self.of


def lessons_done(record: str | Path = ANSWERS) -> list[LessonDone]:
    """What stands in a record, lesson by lesson.

    Args:
        record: the file of answers.

    Returns:
        Every lesson of the course, also those that are not begun.

    >>> {each.done for each in lessons_done("no-such-folder/answers.jsonl")}
    {0}
    """
    tries = tries_in(record)
    found = []
    for number in lesson_numbers():
        lesson = find_lesson(number)
        names = {exercise.name for exercise in lesson.exercises}
        mine = [one for one in tries if one.lesson == number and one.exercise in names]
        right = [one for one in mine if one.verdict in _DONE]
        found.append(
            LessonDone(
                number, lesson.title, len({one.exercise for one in right}), len(names), len(mine),
                max((one.time[:10] for one in right), default=""),
            )
        )  # fmt: skip
    return found


class Progress:
    """The picture of all lessons; `print_it` makes a sheet of it."""

    def __init__(self, record: str | Path = ANSWERS) -> None:
        self.record = kept_at(record)
        self.lessons = lessons_done(self.record)

    @property
    def words(self) -> str:
        """The same in words."""
        done = sum(each.done for each in self.lessons)
        of = sum(each.of for each in self.lessons)
        lines = [f"{each.number} {each.title}: {each.done} of {each.of}" for each in self.lessons]
        return "\n".join([f"{done} of {of} exercises are right.", *lines])

    def sheet(self) -> Sheet:
        """A round for each exercise, full where it is right; a tick where a lesson is whole."""
        sheet = Sheet(150.0, 8.0 + 6.4 * len(self.lessons))
        for at, each in enumerate(self.lessons):
            _line(sheet, sheet.height - 8.0 - 6.4 * at, each)
        return sheet

    def print_it(self, name: str = "", path: str | Path = "my-progress.pdf") -> Said:
        """A sheet to print: what was done, when, and how many tries it took.

        Args:
            name: of the learner, as it should stand on the sheet.
            path: where to.

        Returns:
            A sentence that says where it is.
        """
        out = BytesIO()
        _printed(self.lessons, name).figure.savefig(out, format="pdf", metadata={"CreationDate": None})
        try:
            write_whole(Path(path), out.getvalue())
        except Refused as error:
            return Said(str(error))
        return Said(f"Written: {Path(path).name}. Open it from the list of files.")

    def __repr__(self) -> str:
        return self.words

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": self.words, "text/html": as_image(self.sheet(), self.words.replace("\n", "; "))}


def _line(sheet: Sheet, y: float, each: LessonDone, left: float = 4.0) -> None:
    sheet.lettering((left, y), each.number, 8, True)
    sheet.lettering((left + 9, y), each.title, 8, each.is_done)
    for place in range(each.of):
        full = place < each.done
        sheet.circle((left + 62 + 6.2 * place, y + 1.0), 4.2, Look(GREY if full else PAPER, INK, THIN))
    told = "done" if each.is_done else ("" if each.done else "not begun" if not each.tries else "begun")
    sheet.lettering((left + 112, y), f"{each.done} of {each.of}", 8)
    sheet.lettering((left + 128, y), told, 8, each.is_done)


def _printed(lessons: list[LessonDone], name: str) -> Sheet:
    sheet = Sheet(*A4)
    sheet.area([[12, 12], [198, 12], [198, 285], [12, 285]], Look(None, INK, 0.8))
    sheet.lettering((22, 268), "The lost earring: a course for the bench", 14, True)
    sheet.lettering((22, 258), f"Work of {name}" if name else "Work of", 11)
    if not name:
        sheet.line([[42, 257.5], [150, 257.5]], Look(width=0.5))
    done = sum(each.done for each in lessons)
    said = (
        f"{done} of {sum(each.of for each in lessons)} exercises right; "
        f"{sum(each.is_done for each in lessons)} "
    )
    sheet.lettering((22, 250), f"{said}of {len(lessons)} lessons whole.", 10)
    y = 236.0
    for each in lessons:
        sheet.area(
            [[20, y - 2], [190, y - 2], [190, y + 5], [20, y + 5]],
            Look(PALE if each.is_done else PAPER, None),
            1,
        )
        _line(sheet, y, each, 22.0)
        if each.last:
            sheet.lettering((188, y), f"{each.last}, {each.tries} tries", 6.5, side="right")
        y -= 9.5
    sheet.lettering(
        (22, 40), "This sheet says what was answered in the notebooks. It is no examination.", 8, ink=GREY
    )
    sheet.line([[22, 26], [92, 26]], Look(width=0.5))
    sheet.lettering((22, 22), "seen by", 7, ink=GREY)
    return sheet


def progress(record: str | Path = ANSWERS) -> Progress:
    """How far you have come, in all lessons.

    Args:
        record: the file of answers; the one beside the notebooks if left out.

    Returns:
        What a notebook shows. Its ``print_it("your name")`` makes a sheet to print.
    """
    return Progress(record)


def start_over(record: str | Path = ANSWERS) -> Said:
    """Begin again with an empty record. The old one is kept, under the time at which it was put aside.

    Args:
        record: the file of answers.

    Returns:
        A sentence that says what was done.
    """
    path = kept_at(record)
    if not path.exists():
        return Said("There is nothing to put aside: no answer has been kept yet.")
    stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S")
    aside, at = path.with_name(f"{path.stem}-until-{stamp}{path.suffix}"), 1
    while aside.exists():
        at += 1
        aside = path.with_name(f"{path.stem}-until-{stamp}-{at}{path.suffix}")
    try:
        path.rename(aside)
    except OSError as error:
        return Said(f"{path.name} could not be put aside: {error.strerror}. Nothing was changed.")
    return Said(f"Your earlier answers are kept in {aside.name}. Run each lesson again from the top.")
