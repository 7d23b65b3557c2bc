"""What was answered stays: whatever becomes of the trade's tables, and wherever the working was opened."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from course_lib.bench import tables
from course_lib.bench.plan import Plan
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.page.answer_box import AnswerBox
from course_lib.classroom.page.asking import OpenLesson
from course_lib.classroom.page.hand_in import hand_in
from course_lib.classroom.page.record import tries_in
from course_lib.classroom.pieces import own_numbers
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job
from course_lib.classroom.pieces.own_numbers import made_up_jobs, my_job

CODE = "RO28-GA42-M"


def right_answer(job: JobInHand, lesson: str, name: str) -> str:
    exercise = find_lesson(lesson).exercise(name)
    return exercise.written(exercise.expected(job), job)


@pytest.fixture
def edited_practice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder with a changed and an added row in practice.csv, as README invites people to do."""
    folder = tmp_path / "data"
    shutil.copytree(data_folder(), folder)
    table = folder / "practice.csv"
    text = table.read_text(encoding="utf-8")
    row = next(line for line in text.splitlines() if line.startswith("labour_rate,"))
    added = row.replace("labour_rate,45", "polish_rate,50") + "\n"
    assert "labour_rate,45" in text and added.startswith("polish_rate")
    table.write_text(text.replace("labour_rate,45", "labour_rate,60") + added, encoding="utf-8")
    return folder


def test_answers_and_hand_in_outlive_a_changed_table(
    tmp_path: Path, edited_practice: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = tmp_path / "home" / "answers.jsonl"
    job = my_job(CODE)
    lesson = OpenLesson(find_lesson("02"), job, record)
    for exercise in lesson.lesson.exercises:
        assert lesson.judge(exercise, right_answer(job, "02", exercise.name)).is_right
    digest = job.digest
    monkeypatch.setattr(tables, "data_folder", lambda: edited_practice)
    for read in (tables.rows_of, tables.table_by):
        read.cache_clear()
    try:
        assert tables.table_by("practice", "parameter")["labour_rate"]["value"] == "60"
        again = my_job(CODE)
        assert again.digest == digest
        assert OpenLesson(find_lesson("02"), again, record).open_ones() == []
        handed = json.loads(hand_in(CODE, record).path.read_bytes())
        assert len(handed["tries"]) == len(lesson.lesson.exercises)
    finally:
        monkeypatch.undo()
        for read in (tables.rows_of, tables.table_by):
            read.cache_clear()


def test_another_reading_gauge_metal_or_own_choice_is_another_piece() -> None:
    job = demo_job()
    sheet = (data_folder() / "demo-four-claws.csv").read_text(encoding="utf-8")
    others = [
        sheet.replace("585 yellow", "750 yellow"),
        sheet.replace("5.81", "5.85", 1),
        sheet + "choice,post spare,mm,,2.5\n",
        sheet + "choice,post spare,mm,,2.6\n",
    ]
    digests = [JobInHand.from_text(text, job.title).digest for text in others]
    assert len({job.digest, *digests}) == 5
    said_twice = JobInHand.from_text(sheet + "choice,post spare,mm,,2.50\n", job.title)
    assert said_twice.digest == digests[2]


def test_answers_of_the_first_version_stand_where_they_are_right_for_the_piece(tmp_path: Path) -> None:
    """Their digests changed with the tables: the title tells whose they are, and they are judged again."""
    record = tmp_path / "answers.jsonl"
    job, other = made_up_jobs(2)
    lesson = OpenLesson(find_lesson("02"), job, record)
    names = [exercise.name for exercise in lesson.lesson.exercises]
    for exercise in lesson.lesson.exercises:
        lesson.judge(exercise, right_answer(job, "02", exercise.name))
    old = [replace(one, digest="0123456789ab", version="0.1.0") for one in tries_in(record)]
    # one that was right of another piece under the same title
    foreign = right_answer(other, "02", names[0])
    old[0] = replace(old[0], answer=foreign)
    record.write_text("".join(json.dumps(vars(one)) + "\n" for one in old), encoding="utf-8")
    assert OpenLesson(find_lesson("02"), job, record).open_ones() == names[:1]
    assert OpenLesson(find_lesson("02"), other, record).open_ones() == names


def test_working_opened_in_the_box_counts_wherever_the_answer_is_typed(tmp_path: Path) -> None:
    record = tmp_path / "answers.jsonl"
    lesson = OpenLesson(find_lesson("02"), demo_job(), record)
    first, second = lesson.lesson.exercises[:2]
    box = AnswerBox(lesson, first, Verdict(Found.UNANSWERED, "Not answered yet."))
    box.steps[0].click()
    box.steps[1].click()
    lesson.ask(first.name, right_answer(lesson.job, "02", first.name))
    lesson.ask(second.name, right_answer(lesson.job, "02", second.name))
    assert [one.seen for one in tries_in(record)] == ["working", ""]
    # and still after the page was opened again
    again = OpenLesson(find_lesson("02"), demo_job(), record)
    again.ask(first.name, "99 mm")
    assert tries_in(record)[-1].seen == "working"


def test_a_codes_earring_is_the_one_that_was_begun_even_if_others_are_drawn_today(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Which drawing is sound hangs on the tables: another one today must not take an earring away."""
    record = tmp_path / "answers.jsonl"
    monkeypatch.setenv("COURSE_ANSWERS", str(tmp_path))
    job = my_job(CODE)
    lesson = OpenLesson(find_lesson("02"), job, record)
    for exercise in lesson.lesson.exercises:
        lesson.judge(exercise, right_answer(job, "02", exercise.name))
    sound, drawings = own_numbers.is_sound, []

    def not_the_first(plan: Plan) -> bool:
        drawings.append(plan)
        return len(drawings) > 3 and sound(plan)

    monkeypatch.setattr(own_numbers, "is_sound", not_the_first)
    own_numbers.sheet_of.cache_clear()
    assert own_numbers.job_of(CODE).digest != job.digest
    again = my_job(CODE)
    assert again.digest == job.digest
    assert OpenLesson(find_lesson("02"), again, record).open_ones() == []
    assert len(json.loads(hand_in(CODE, record).path.read_bytes())["tries"]) == len(lesson.lesson.exercises)
    # what is spoilt there is no earring: the code's own is drawn
    (tmp_path / f"piece-{CODE}.csv").write_bytes(b"\xff\xfe broken")
    drawings.clear()
    assert my_job(CODE).digest != job.digest
    own_numbers.sheet_of.cache_clear()
