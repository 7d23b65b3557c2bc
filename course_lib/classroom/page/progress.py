"""How far a learner has come: a picture of all lessons, a sheet to print, and a fresh start."""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from course_lib.bench.filing import put_aside_as, write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.page.asking import Said
from course_lib.classroom.page.record import tries_in
from course_lib.classroom.pieces.own_folder import ANSWERS, kept_at, own_file
from course_lib.screen.pages import page_file, page_from
from course_lib.screen.sheet import A4, GREY, INK, PALE, PAPER, THIN, Look, Sheet, can_letter, text_width
from course_lib.screen.svg import as_image, as_svg

_DONE = (Found.RIGHT, Found.TOO_FINE)


@dataclass(frozen=True)
class LessonDone:
    """One lesson: how many of its exercises are right on some job, of how many; on which jobs, and when."""

    number: str
    title: str
    done: int
    of: int
    tries: int
    jobs: tuple[str, ...] = ()
    first: str = ""
    last: str = ""

    @property
    def is_done(self) -> bool:
        """All of it."""
        return self.done == self.of

    @property
    def told(self) -> str:
        """When it was done, after how many tries, and on which jobs."""
        if not self.done:
            return ""
        when = self.last if self.first == self.last else f"{self.first} to {self.last}"
        tries = "1 try" if self.tries == 1 else f"{self.tries} tries"
        return _letters_of(f"{when}, {tries}, on {'; '.join(self.jobs)}")


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
        days = sorted(one.time[:10] for one in right)
        found.append(
            LessonDone(
                number, lesson.title, len({one.exercise for one in right}), len(names), len(mine),
                tuple(dict.fromkeys(one.job for one in right)), *((days[0], days[-1]) if days else ()),
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
        """A sheet to print: what was done, when, on which job, and how many tries it took.

        Args:
            name: of the learner, as it should stand on the sheet.
            path: where to; a PDF, or with ``.html`` a page for a browser. What the PDF has no letters for
                goes to a page, whose fonts know every alphabet.

        Returns:
            A sentence that says where it is.
        """
        name = _letters_of(name)
        said = "".join([name, *(each.told for each in self.lessons)])
        target = own_file(path) if can_letter(said) else own_file(path).with_suffix(".html")
        sheet = _printed(self.lessons, name)
        try:
            written = write_whole(target, _page_of(sheet) if target.suffix == ".html" else _as_pdf(sheet))
        except Refused as error:
            return Said(str(error))
        return Said(f"Written: {written.name}. Open it from the list of files, and print it.")

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
    told = "done" if each.is_done else "begun" if each.tries else "not begun"
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
    y = 238.0
    for each in lessons:
        shade = PALE if each.is_done else PAPER
        sheet.area([[20, y - 6], [190, y - 6], [190, y + 5], [20, y + 5]], Look(shade, None), 1)
        _line(sheet, y, each, 22.0)
        sheet.lettering((31, y - 4), _cut_to(each.told, 156.0), 6.5, ink=INK if each.is_done else GREY)
        y -= 12.4
    sheet.lettering(
        (22, 40), "This sheet says what was answered in the notebooks. It is no examination.", 8, ink=GREY
    )
    sheet.line([[22, 26], [92, 26]], Look(width=0.5))
    sheet.lettering((22, 22), "seen by", 7, ink=GREY)
    return sheet


def _as_pdf(sheet: Sheet) -> bytes:
    out = BytesIO()
    sheet.figure.savefig(out, format="pdf", metadata={"CreationDate": None})
    return out.getvalue()


def _page_of(sheet: Sheet) -> bytes:
    """A page that prints on one sheet of A4."""
    return page_file("progress.html", drawing=as_svg(sheet, "What was done, lesson by lesson."))


def _letters_of(text: str) -> str:
    """A text with nothing in it that no printer knows."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def _cut_to(text: str, wide: float) -> str:
    """A text that is not wider than so many mm."""
    if text_width(text, 6.5) <= wide:
        return text
    while text and text_width(f"{text} ...", 6.5) > wide:
        text = text[:-1]
    return f"{text} ..."


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
    aside = put_aside_as(path)
    try:
        path.rename(aside)
    except OSError as error:
        return Said(f"{path.name} could not be put aside: {error.strerror}. Nothing was changed.")
    return Said(f"Your earlier answers are kept in {aside.name}. Run each lesson again from the top.")


def progress_box(record: str | Path = ANSWERS) -> Any:
    """A name to type and two buttons: make the sheet to print, and start over.

    Args:
        record: the file of answers.

    Returns:
        The widgets.
    """
    import ipywidgets as widgets

    wide = widgets.Layout(width="22em", max_width="100%")
    name = widgets.Text(description="Your name", placeholder="as it should stand on the sheet", layout=wide)
    sheet = widgets.Button(description="Make a sheet to print", layout=widgets.Layout(width="14em"))
    sure = widgets.Checkbox(value=False, description="I want to start over", indent=False)
    over = widgets.Button(description="Start over", disabled=True)
    told = widgets.HTML()

    def tell(said: Said) -> None:
        told.value = page_from("told.html", role="status", text=said.text)

    def begin_anew(_: object) -> None:
        tell(start_over(record))
        sure.value = False

    sheet.on_click(lambda _: tell(progress(record).print_it(name.value.strip())))
    sure.observe(lambda change: setattr(over, "disabled", not change["new"]), "value")
    over.on_click(begin_anew)
    rows = [
        widgets.HBox(row, layout=widgets.Layout(flex_flow="row wrap"))
        for row in ((name, sheet), (sure, over))
    ]
    return widgets.VBox([*rows, told])
