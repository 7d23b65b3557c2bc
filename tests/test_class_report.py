"""What a teacher gets: mark list, report and returned pages, looked at as spreadsheet and browser would."""

import csv
import html
import json
import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest

from course_lib.classroom.exercises.exercise import text_for
from course_lib.classroom.school.class_figures import class_figures, needs_help
from course_lib.classroom.school.class_report import report_page
from course_lib.classroom.school.mark_ledger import Mark
from course_lib.classroom.school.mark_list import write_not_marked
from course_lib.classroom.school.marking import mark
from course_lib.classroom.school.returned_page import write_returned
from course_lib.classroom.school.work_record import read_record
from tests.test_class_marking import Room


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Room:
    return Room(tmp_path_factory.mktemp("report"))


@pytest.fixture(scope="module")
def report(room: Room) -> str:
    return report_page(room.marks, room.figures).decode("utf-8")


class Page(HTMLParser):
    """What stands on a page: its words, and every tag that was opened and closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.words, self.open, self.tags, self.labels = "", [], Counter[str](), []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.labels += [value or "" for name, value in attrs if name == "aria-label"]
        if tag not in ("meta", "br", "img", "path", "rect", "circle"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("meta", "br", "img", "path", "rect", "circle"):
            assert self.open.pop() == tag, f"{tag} is closed where something else is open"

    def handle_data(self, data: str) -> None:
        self.words += data + " "


def mark_rows(room: Room) -> list[dict[str, str]]:
    with (room.folder / "marks" / "mark-list.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_the_mark_list_has_a_row_a_learner_and_a_column_an_exercise(room: Room) -> None:
    rows = mark_rows(room)
    assert [row["code"] for row in rows] == [given.code for given in room.work.learners]
    for row in rows:
        each = [row[f"{lesson}/{name}"] for lesson, name in room.work.asked]
        if row["points"]:
            assert int(row["points"]) == each.count("1") and int(row["of"]) == len(each)
            # whole per cent: a decimal point is a comma in half of the world's spreadsheets
            assert abs(int(row["per cent"]) - 100 * int(row["points"]) / int(row["of"])) <= 0.5
        else:
            assert set(each) == {""}
    # of the invented class the ninth sent nothing; the files of the next two came and cannot be marked
    needs = {row["number"]: row["needs help"] for row in rows if not row["points"]}
    assert needs["1009"] == "nothing handed in"
    assert needs["1010"] == needs["1011"] == "a file came, and cannot be marked"
    look = {row["number"]: row["look at"] for row in rows}
    assert "cut short" in look["1010"] and "nobody's in this work" in look["1011"]
    assert [row["late"] for row in rows].count("late") == 1


def test_no_cell_of_any_table_runs_as_a_formula(room: Room, tmp_path: Path) -> None:
    write_not_marked(room.marks, tmp_path / "not-marked.csv")
    for path in (
        room.folder / "marks" / "mark-list.csv",
        room.folder / "marks" / "ledger.csv",
        tmp_path / "not-marked.csv",
    ):
        with path.open(encoding="utf-8-sig", newline="") as file:
            for row in csv.reader(file):
                assert not [cell for cell in row if cell.startswith(("=", "+", "-", "@", "\t"))], path


def test_the_report_is_one_page_that_fetches_and_runs_nothing(report: str) -> None:
    page = Page(report)
    assert page.open == [], "everything that is opened is closed"
    assert page.tags["script"] == 0 and page.tags["link"] == 0 and page.tags["iframe"] == 0
    assert not re.search(r"(?:src|href)=[\"'](?!#)", report.replace("xmlns", ""))
    assert "http" not in report.replace("http://www.w3.org/2000/svg", "")


def test_every_picture_says_in_words_what_it_shows(report: str) -> None:
    page = Page(report)
    assert page.tags["svg"] == len(page.labels) >= 6
    assert all(len(label) > 30 for label in page.labels)
    assert sum("right at once" in label for label in page.labels) == 3  # a picture a lesson


def test_the_report_tells_how_many_made_which_slip(room: Room, report: str) -> None:
    """Counted anew: every learner whose tries at an exercise hold a slip, by the exercise's own judgement."""
    made: Counter[tuple[str, str]] = Counter()
    answered: Counter[str] = Counter()
    for given in room.work.learners:
        counted = room.marks.counted.get(given.code)
        if counted is None:
            continue
        job = room.work.job_of(given.code)
        tries = json.loads((room.folder / "in" / counted.path).read_bytes())["tries"]
        for (lesson, name), exercise in zip(room.work.asked, room.work.exercises(), strict=True):
            seen: set[str] = set()
            mine = [one["answer"] for one in tries if (one["lesson"], one["exercise"]) == (lesson, name)]
            answered[f"{lesson}/{name}"] += bool(mine)
            for answer in mine:
                verdict = exercise.judged(answer, job)
                if verdict.is_right:
                    break
                seen |= {verdict.slip} - {""}
            made.update((f"{lesson}/{name}", slip) for slip in seen)
    for each in room.figures.exercises:
        assert each.answered == answered[each.name]
        (exercise,) = [
            e
            for (lesson, name), e in zip(room.work.asked, room.work.exercises(), strict=True)
            if f"{lesson}/{name}" == each.name
        ]
        for slip in exercise.slips:
            wanted = made[each.name, slip.name]
            named = [
                count
                for called, count in each.slips.items()
                if called == slip.name or called.startswith("chose: ")
            ]
            assert wanted == 0 or wanted in named, (each.name, slip.name)
    commonest = max(
        (count, slip, each) for each in room.figures.exercises for slip, count in each.slips.items()
    )[0]
    assert f"<strong>{commonest} of " in report


def test_the_report_says_who_needs_help_and_who_has_very_like_answers(room: Room, report: str) -> None:
    words = Page(report).words
    helped = [each for each in room.figures.named if each.needs]
    assert helped and all(each.name in words for each in helped)
    assert "handed in the very same answers" in words and "Like answers are a reason to ask" in words
    assert room.work.learners[5].name in words and room.work.learners[6].name in words
    assert "cut short or damaged" in words and "Jørgen Prøve" in words


def test_names_break_no_page(report: str) -> None:
    words = Page(report).words
    assert "=cmd|' /C calc'!A0" in words and "山田 見本" in words and "Ulla O'Example" in words


def test_nobody_needs_help_who_gets_on() -> None:
    from course_lib.classroom.school.tally import Judged

    def judged(stands: str, tries: list[int]) -> Judged:
        return Judged("m", "c", "a", "o", 1, "", stands, tries, {}, {}, [], 10, "", [])

    def mark_for(points: int, of: int) -> Mark:
        return Mark(points, of, False, "", "", "")

    assert needs_help(judged("RRr.", [1, 1, 3, 0]), mark_for(3, 4)) == []
    assert needs_help(judged("R...", [1, 0, 0, 0]), mark_for(1, 4)) == ["1 of 4 right"]
    assert "2 exercises tried 5 times or more" in needs_help(judged("RRxx", [1, 1, 5, 9]), mark_for(2, 4))[0]
    assert needs_help(judged("RRxx", [1, 1, 5, 4]), mark_for(2, 4)) == []


def test_everybody_who_handed_in_gets_a_sheet_in_the_words_of_the_lessons(room: Room, tmp_path: Path) -> None:
    index = write_returned(room.marks, room.folder / "in", tmp_path / "returned")
    sheets = sorted(path for path in index.parent.iterdir() if path != index)
    assert len(sheets) == len(room.marks.counted) == index.read_text(encoding="utf-8").count("<li>")
    for path in sheets:
        text = path.read_text(encoding="utf-8")
        page = Page(text)
        assert page.open == [] and page.tags["script"] == 0 and page.tags["section"] == len(room.work.asked)
        code = path.stem[4:]
        (given,) = [each for each in room.work.learners if each.code == code]
        assert given.name in page.words or html.escape(given.name) in text
        points = room.marks.mark_of(code).points
        assert f"<strong>{points} of 21</strong>" in text and text.count('class="right"') == points
        job = room.work.job_of(code)
        for exercise in room.work.exercises()[:5]:
            assert exercise.title in page.words
            # no working and no right answer is given away
            assert text_for(exercise.working, job) not in page.words


def test_sheets_are_made_again_only_when_something_is_new(room: Room, tmp_path: Path) -> None:
    out = tmp_path / "returned"
    write_returned(room.marks, room.folder / "in", out)
    before = {path.name: path.stat().st_mtime_ns for path in out.iterdir() if path.name != "index.html"}
    (gone,) = list(out.glob("003-*"))
    gone.unlink()
    write_returned(room.marks, room.folder / "in", out)
    after = {path.name: path.stat().st_mtime_ns for path in out.iterdir() if path.name != "index.html"}
    assert after.keys() == before.keys()
    assert {name for name in after if after[name] != before[name]} == {gone.name}


def test_the_figures_of_a_class_add_up(room: Room) -> None:
    figures = class_figures(room.marks)
    assert figures.handed_in == len(room.marks.counted) == sum(figures.tenths) and figures.late == 1
    for at, each in enumerate(figures.exercises):
        signs = [counted.stands[at] for counted in room.marks.counted.values()]
        assert (each.at_once, each.later, each.not_right, each.nothing) == tuple(map(signs.count, "Rrx."))
    assert figures.usual_minutes > 5


def test_a_learner_who_left_keeps_no_page_and_their_file_is_named(room: Room, tmp_path: Path) -> None:
    """Taken out of the record by hand: nothing of theirs looks as if it were still kept up."""
    out = tmp_path / "returned"
    write_returned(room.marks, room.folder / "in", out)
    before = {path.name for path in out.glob("*.html")}
    said = json.loads(room.record.read_text(encoding="utf-8"))
    gone = said["learners"].pop(0)["code"]
    fewer = tmp_path / "set-work.json"
    fewer.write_text(json.dumps(said), encoding="utf-8")
    marks = mark(room.folder / "in", read_record(fewer), tmp_path / "marks")
    write_returned(marks, room.folder / "in", out)
    after = {path.name for path in out.glob("*.html")}
    assert any(gone in name for name in before) and not any(gone in name for name in after)
    assert any(gone in one.why for one in marks.not_marked)
