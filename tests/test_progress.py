"""Progress, glossary and the form of lesson 14: nothing is lost, and one's own earring comes through."""

import csv
import json
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

import course_lib
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder, rows_of
from course_lib.classroom.exercise import find_lesson, lesson_numbers
from course_lib.classroom.glossary import glossary, word
from course_lib.classroom.job_in_hand import CannotGoOn, demo_job
from course_lib.classroom.progress import lessons_done, progress, start_over
from course_lib.classroom.record import Try, keep, stamped
from course_lib.classroom.sheet_form import asked_rows, card_of, finished_beside, sheet_form

from .drawn import crossing, off_the_paper

TOP = Path(course_lib.__file__).resolve().parent.parent


def tried(path: Path, lesson: str, name: str, verdict: str) -> None:
    keep(path, stamped(Try(lesson, name, "1 mm", verdict, "", "a job", "0000")))


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


def words_of_lessons() -> list[tuple[str, str, str, str]]:
    found = []
    for path in sorted((TOP / "solutions").glob("[0-9][0-9]-*.ipynb")):
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            text = "".join(cell["source"])
            if "**Words of this lesson**" in text:
                for line in text.split("**Words of this lesson**")[1].strip().splitlines()[2:]:
                    cells = [each.strip().replace("*", "") for each in line.strip().strip("|").split("|")]
                    found.append((path.name[:2], *[*cells, "", ""][:3]))
    return found


def test_the_words_of_every_lesson_stand_in_the_glossary_with_the_same_meaning() -> None:
    known = {row["word"]: row for row in rows_of("glossary")}
    told = words_of_lessons()
    assert len({lesson for lesson, *_ in told}) == 15
    for lesson, said, means, also in told:
        row = known[said.replace("`", "")]
        assert row["means"] == means, (lesson, said)
        assert row["also_said"] == re.sub(r", ", "; ", also), (lesson, said)


def test_a_word_is_found_by_its_other_names_too() -> None:
    assert word("prong").rows == word("claw").rows
    assert len(glossary().rows) == len(rows_of("glossary")) >= 60
    assert "<table>" in glossary()._repr_html_()
    with pytest.raises(Refused, match="Nearest"):
        word("clow")


# --- the form ---


def readings_of(demo: str) -> dict[str, tuple[str, str]]:
    """Gauge and readings of a demo sheet, by part and size."""
    with (data_folder() / demo).open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    return {
        f"{row['part']}, {row['size']}": (
            row["instrument"],
            " ".join(row[f"reading {at}"] for at in (1, 2, 3) if row[f"reading {at}"]),
        )
        for row in rows
    }


def test_a_learner_types_an_earring_in_and_takes_the_card_away(tmp_path: Path) -> None:
    """Another form, alloy and stone than the first demo; two rows typed wrong at first, and mended."""
    form = sheet_form(tmp_path / "mine.csv")
    typed = readings_of("demo-three-claws.csv")
    assert "21 needed rows are empty" in form.said.value
    for key, row in form.rows.items():
        if row.name not in typed or key == "title":
            continue
        gauge, text = typed[row.name]
        if key == "post_wire":
            row.box.value = "8.0"
            assert "course-wrong" in row.box._dom_classes and "Did you mean" in row.said.value
        row.gauge.value = gauge if gauge in row.gauge.options else row.gauge.value
        # the list holds gems by one name each; a sapphire is a corundum
        row.box.value = "corundum" if key == "gem" else text
        assert row.trouble == "" and "course-wrong" not in row.box._dom_classes, row.trouble
    form.rows["title"].box.value = "My own three claws"
    assert "Complete, and saved as mine.csv" in form.said.value
    job = form.job()
    assert (job.title, job.claws, job.alloy) == ("My own three claws", 3, "750 palladium white")
    pattern = demo_job("three claws").readings["claw_wire"].value
    assert job.readings["claw_wire"].value == pytest.approx(pattern, abs=0.01)
    said = card_of(job, tmp_path / "mine.pdf")
    assert "mine.pdf" in repr(said)
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "mine.pdf").pages)
    assert "My own three claws" in text and "Demo" not in text and "harbour" not in text


def test_what_is_typed_is_there_again_when_the_page_is_opened_anew(tmp_path: Path) -> None:
    sheet_form(tmp_path / "mine.csv").fill(claw_wire="0.80 0.81 mm", alloy="925 silver", claws="4")
    again = sheet_form(tmp_path / "mine.csv")
    assert again.rows["claw_wire"].box.value == "0.80 0.81"
    assert (again.rows["alloy"].box.value, again.rows["claws"].box.value) == ("925 silver", "4")


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("claw_wire", "thick", "not a number"),
        ("claw_wire", "8", "cannot be right"),
        ("claws", "2", "between 3 and 8"),
        ("claw_wire", "1e308", ""),
        ("claw_wire", "-0.8", ""),
        ("weight", "400", ""),
        ("post_length", "<b>", "not a number"),
    ],
)
def test_what_cannot_be_right_turns_its_row_and_nothing_raises(
    tmp_path: Path, key: str, text: str, said: str
) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    form.fill(**{key: text})
    assert "course-wrong" in form.rows[key].box._dom_classes
    assert said in form.rows[key].said.value and "<b>" not in form.rows[key].said.value
    with pytest.raises(CannotGoOn):
        form.job()
    assert form.job_or(demo_job()).title == demo_job().title


def test_the_form_asks_for_every_size_of_the_sheet() -> None:
    assert {row["key"] for row in asked_rows()} == {row["key"] for row in rows_of("sheet_sizes")}


def test_the_finished_duplicate_is_set_beside_its_pattern(tmp_path: Path) -> None:
    job = demo_job()
    assert "Fill the second form" in repr(finished_beside(job, tmp_path / "none.csv"))
    table = finished_beside(job, data_folder() / "demo-four-claws.csv")
    assert set(table.verdict) == {"accept"} and len(table) > 10
    (tmp_path / "bad.csv").write_text("part,size\n")
    assert "column" in repr(finished_beside(job, tmp_path / "bad.csv"))
