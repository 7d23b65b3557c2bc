"""Progress and glossary: what was done is shown and can be printed, and starting over loses nothing."""

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

import course_lib
from course_lib.bench.tables import rows_of
from course_lib.classroom.exercises.course import find_lesson, lesson_numbers
from course_lib.classroom.page.glossary import glossary, word
from course_lib.classroom.page.progress import lessons_done, progress, progress_box, start_over
from course_lib.classroom.page.record import Try, keep, tries_in
from course_lib.classroom.pieces.job_in_hand import CannotGoOn

from .drawn import crossing, off_the_paper

TOP = Path(course_lib.__file__).resolve().parent.parent


def tried(
    path: Path, lesson: str, name: str, verdict: str, job: str = "a job", day: str = "2026-03-07"
) -> None:
    time = f"{day}T10:00:00+00:00"
    keep(path, Try(lesson, name, "1 mm", verdict, "", job, "0000", "", time, "0.1.0"))


# --- progress ---


def test_progress_counts_each_exercise_once_and_only_what_is_right(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    first, second = (each.name for each in find_lesson("07").exercises[:2])
    for verdict in ("slip", "right", "right"):
        tried(path, "07", first, verdict)
    tried(path, "07", second, "right, finer than can be read")
    tried(path, "07", "no such exercise", "right")
    ring = next(each for each in lessons_done(path) if each.number == "07")
    assert (ring.done, ring.of, ring.tries) == (2, 7, 4)
    shown = progress(path)
    assert "2 of 104 exercises are right." in shown.words.replace("  ", " ")
    assert [each.number for each in shown.lessons] == lesson_numbers()
    assert crossing(shown.sheet()) == [] and off_the_paper(shown.sheet()) == []


def test_the_sheet_to_print_names_what_was_done(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    for exercise in find_lesson("13").exercises:
        tried(path, "13", exercise.name, "right")
    said = progress(path).print_it("Wilma Example", tmp_path / "sheet.pdf")
    assert "sheet.pdf" in repr(said)
    text = PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text()
    assert "Wilma Example" in text and "7 of 7" in text and "1 of 15 lessons whole" in " ".join(text.split())
    refused = progress(path).print_it(path=tmp_path / "no" / "sheet.pdf")
    assert "Written" not in repr(refused) and len(repr(refused)) > 20


def test_the_sheet_says_when_and_on_which_job(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    first, second, third = (each.name for each in find_lesson("05").exercises[:3])
    tried(path, "05", first, "slip", "The harbour pair", "2026-03-05")
    tried(path, "05", first, "right", "The harbour pair", "2026-03-07")
    tried(path, "05", second, "right", "My aunt's studs", "2026-03-09")
    tried(path, "05", third, "wrong", "A third one", "2026-03-11")
    plate = lessons_done(path)[5]
    assert plate.jobs == ("The harbour pair", "My aunt's studs")
    assert plate.told == "2026-03-07 to 2026-03-09, 4 tries, on The harbour pair; My aunt's studs"
    assert lessons_done(path)[6].told == ""
    progress(path).print_it("", tmp_path / "sheet.pdf")
    assert plate.told in PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text()


@pytest.mark.parametrize(
    "title",
    [
        "x" * 300,
        "Přemyslová Ærø ß",
        "a <b> & \u202e turned",
        "",
        "$x^2$",
        "$\\nothing{",
        "\ud800",
        "a\x00b\nc",
    ],
)
def test_any_name_and_any_job_can_be_printed(title: str, tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    tried(path, "05", find_lesson("05").exercises[0].name, "right", title)
    written = progress(path).print_it(title, tmp_path / "sheet.pdf")
    assert "Written: sheet." in repr(written)


@pytest.mark.filterwarnings("error")
def test_a_name_of_another_alphabet_goes_to_a_page_that_can_show_it(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    tried(path, "05", find_lesson("05").exercises[0].name, "right")
    assert "Written: sheet.html" in repr(progress(path).print_it("李 <明>", tmp_path / "sheet.pdf"))
    page = (tmp_path / "sheet.html").read_text("utf-8")
    assert "Work of 李 &lt;明&gt;" in page and "1 of 7" in page and not (tmp_path / "sheet.pdf").exists()


def test_the_picture_says_the_same_as_its_words_and_needs_no_colour(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    for exercise in find_lesson("13").exercises[:4]:
        tried(path, "13", exercise.name, "right")
    shown = progress(path)
    rounds = [mark for mark in shown.sheet().marks() if mark.kind == "circle"]
    filled = [mark for mark in rounds if mark.looks[0].fill != "#ffffff"]
    assert (len(filled), len(rounds)) == (4, sum(each.of for each in shown.lessons))
    inks = {look for mark in rounds for look in (mark.looks[0].fill, mark.looks[0].ink)}
    assert all(ink[1:3] == ink[3:5] == ink[5:7] for ink in inks if ink), "greys only"
    said = [mark.looks[0] for mark in shown.sheet().marks() if mark.kind == "lettering"]
    assert {"4 of 7", "begun", "not begun"} <= set(said)
    assert "13 Price the job: 4 of 7" in shown.words
    assert 'alt="4 of ' in shown._repr_mimebundle_()["text/html"]


def test_sheet_and_fresh_start_need_no_code(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "answers.jsonl"
    tried(path, "07", "wire", "right")
    box = progress_box(path)
    (name, sheet), (sure, over) = (row.children for row in box.children[:2])
    name.value = "Wilma Example"
    sheet.click()
    assert "my-progress.pdf" in box.children[2].value
    assert "Wilma Example" in PdfReader(tmp_path / "my-progress.pdf").pages[0].extract_text()
    assert over.disabled, "nobody starts over by one slip of the hand"
    sure.value = True
    over.click()
    assert "kept in answers-until-" in box.children[2].value
    assert tries_in(path) == [] and over.disabled


def test_starting_over_keeps_the_old_record(tmp_path: Path) -> None:
    path = tmp_path / "answers.jsonl"
    assert "nothing to put aside" in repr(start_over(path))
    for _ in range(2):
        tried(path, "07", "wire", "right")
        assert "kept in answers-until-" in repr(start_over(path))
        assert not path.exists()
    kept = sorted(tmp_path.glob("answers-until-*.jsonl"))
    assert len(kept) == 2
    assert all(json.loads(each.read_text())["exercise"] == "wire" for each in kept)
    assert lessons_done(path)[7].done == 0


# --- glossary ---


def test_a_word_is_found_by_its_other_names_too() -> None:
    assert word("prong").rows == word("claw").rows
    assert len(glossary().rows) == len(rows_of("glossary")) >= 60
    assert "<table>" in glossary()._repr_html_()
    with pytest.raises(CannotGoOn, match="Nearest") as refusal:
        word("clow")
    assert refusal.value._render_traceback_() == [str(refusal.value)], "a sentence and no lines of code"
    for odd in ("", "x" * 5000, None, 7):
        with pytest.raises(CannotGoOn):
            word(odd)  # type: ignore[arg-type]


def test_every_word_has_a_meaning_and_the_lesson_that_brings_it() -> None:
    rows = rows_of("glossary")
    assert len({row["word"] for row in rows}) == len(rows)
    for row in rows:
        assert row["means"] and row["lesson"] in lesson_numbers(), row["word"]
    said = [other.strip() for row in rows for other in row["also_said"].split(";") if other.strip()]
    # one word, one meaning: what is also said of a word is neither a word of its own nor said of another
    assert len(set(said)) == len(said)
    assert not set(said) & {row["word"] for row in rows}
    assert {"prong", "pin", "butterfly", "liquidus"} <= set(said)
    assert {"claw", "crossing", "staple", "lemel", "kerf", "solder", "crown"} <= {row["word"] for row in rows}
